/* SPDX-License-Identifier: ISC */
/** \file fingerprint.h
 * A setup as one exact text, and the digest of it: two setups have one fingerprint only where every value
 * is the same.
 *
 * Threading class: pure functions, any thread; no allocation. Expects the C locale's decimal point.
 */
#ifndef CW_FINGERPRINT_H
#define CW_FINGERPRINT_H

#include "setup.h"
#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_CANONICAL_TEXT = CW_PARAMS * 80 + 64 };

/** Every parameter, defaults too, sorted by symbol, a line each: "symbol value unit", after a line that
 * names the form. Values are the shortest decimals of the float that a host stores; UTF-8, LF, no -0.
 * \return text */
const char *cw_canonical_text(const struct cw_setup *setup, char text[CW_CANONICAL_TEXT]);

enum { CW_VALUE_TEXT = 32 };

/** The fewest digits that give the float back that a host stores; never -0. \return text */
const char *cw_canonical_value(double value, char text[CW_VALUE_TEXT]);

/** SHA-256 of the canonical text. */
void cw_fingerprint(const struct cw_setup *setup, unsigned char digest[CW_SHA256_BYTES]);

#ifdef __cplusplus
}
#endif
#endif
