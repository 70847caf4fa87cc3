/* SPDX-License-Identifier: ISC */
/** \file seal_schema.h
 * The parameters that a seal covers, in its order, and the lines that they are in it: what it begins with, and what a
 * setup is known by.
 *
 * Threading class: pure functions, any thread; no allocation. Expects the C locale's decimal point.
 */
#ifndef CW_SEAL_SCHEMA_H
#define CW_SEAL_SCHEMA_H

#include <stdbool.h>
#include <stddef.h>

#include "fingerprint.h"
#include "setup.h"
#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Number of the schema, and room for its lines. */
enum { CW_SEAL_SCHEMA = 1, CW_SCHEMA_TEXT = CW_CANONICAL_TEXT * 2 };

/** A parameter of it. Strings are static. */
struct cw_schema_row {
    const char *symbol, *unit;
};
extern const struct cw_schema_row cw_schema[];
extern const int cw_schema_rows;

/** Whether a setup can be sealed: the program knows all of the schema, and what the schema does not know stands at its
 * default. \param symbol of the first parameter that is in the way */
bool cw_seal_fits(const struct cw_setup *setup, const char **symbol);

/** `coilwright seal 1`, then `parameter SYMBOL VALUE UNIT` for each, as a host stores it; lines that end in LF.
 * \return its length */
size_t cw_schema_print(const struct cw_setup *setup, char text[CW_SCHEMA_TEXT]);

/** SHA-256 of that. */
void cw_schema_digest(const struct cw_setup *setup, char hex[CW_SHA256_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
