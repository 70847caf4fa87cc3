/* SPDX-License-Identifier: ISC */
/** \file below.h
 * Files and directories reached from an open directory, by a name of one part, with no symbolic link
 * followed: what stands outside that directory cannot be read, written or removed through it.
 *
 * Calls that fail leave the reason in errno.
 */
#ifndef CW_BELOW_H
#define CW_BELOW_H

#include <stdbool.h>
#include <sys/stat.h>

#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Open a directory. \return a descriptor, or -1 */
int cw_below_directory(int directory, const char *name);

/** Open a regular file to read; what is none (a link, a device, a pipe) is refused without waiting for it.
 * \param status of the file \return a descriptor, or -1 */
int cw_below_file(int directory, const char *name, struct stat *status);

/** SHA-256 of a regular file. \param durable bring it to the disk as well
 * \param stop asked between pieces: true gives up \return false on failure */
bool cw_below_digest(int directory, const char *name, bool durable, bool (*stop)(void),
                     unsigned char digest[CW_SHA256_BYTES]);

/** Let two directories change their names: in one step where the system can, else in three.
 * \return false on failure; then both have the names they had */
bool cw_below_exchange(int directory, const char *one, const char *other);

/** What is behind the descriptor is on the disk when this returns; true where the file system knows no such
 * promise. */
bool cw_below_durable(int descriptor);

#ifdef __cplusplus
}
#endif
#endif
