/* SPDX-License-Identifier: ISC */
/** \file digest_file.h
 * The digest of a file.
 */
#ifndef CW_DIGEST_FILE_H
#define CW_DIGEST_FILE_H

#include <stdbool.h>

#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

/** SHA-256 of a file's bytes, as sha256sum prints it. Reports and returns false where it cannot be read. */
bool cw_digest_file(const char *path, char text[CW_SHA256_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
