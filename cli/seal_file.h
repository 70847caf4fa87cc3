/* SPDX-License-Identifier: ISC */
/** \file seal_file.h
 * Seals in files, and designs that stand in either a seal or a preset.
 */
#ifndef CW_SEAL_FILE_H
#define CW_SEAL_FILE_H

#include <stdbool.h>
#include <stddef.h>

#include "candidate.h"
#include "seal.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Read a seal. Reports and returns false where there is none. */
bool cw_seal_load(const char *path, struct cw_seal *seal);

/** The same, and its very bytes, to be freed: what is checked further is what was read. */
char *cw_seal_load_text(const char *path, struct cw_seal *seal, size_t *length);

/** Add the design of a seal, whose label is its title and revision, or the candidates of a preset. Reports and returns
 * false on failure. \param seal that was read; of a preset, one without a fingerprint */
bool cw_design_add(struct cw_candidates *list, const char *name, struct cw_seal *seal);

#ifdef __cplusplus
}
#endif
#endif
