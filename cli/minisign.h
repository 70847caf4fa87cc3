/* SPDX-License-Identifier: ISC */
/** \file minisign.h
 * Signatures of files as minisign makes them: Ed25519 over the file or its BLAKE2b, and over the trusted comment.
 */
#ifndef CW_MINISIGN_H
#define CW_MINISIGN_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_COMMENT_TEXT = 512 };

/** Check a signature.
 * \param key  a file with a public key, or the key itself ("RW...")
 * \param path of the file that was signed, for messages \param bytes that are in it \param signature file of its
 * signature \param comment the trusted comment \return false after a message: something cannot be read, or the
 * signature is not of this file and key */
bool cw_minisign_verify(const char *key, const char *path, const void *bytes, size_t length, const char *signature,
                        char comment[CW_COMMENT_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
