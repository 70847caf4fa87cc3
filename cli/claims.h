/* SPDX-License-Identifier: ISC */
/** \file claims.h
 * Which files a command reads and which it writes: none is both, by whatever name it goes.
 *
 * A file is known by device and inode, one that is not there yet by its directory and its name in it. Everything that
 * reads a file claims it here, and cli/output.h and cli/folder.h ask before they replace one, --force or not.
 *
 * Threading class: any thread, but for cw_claims_forget(), which is called while no other runs.
 */
#ifndef CW_CLAIMS_H
#define CW_CLAIMS_H

#include <stdbool.h>
#include <sys/stat.h>

/** What is said of a file that would be replaced though it is read by the name %s. */
#define CW_CLAIM_MESSAGE                                                                                               \
    "expected another file to write than '%s', which this command needs itself; --force does not replace it"

#ifdef __cplusplus
extern "C" {
#endif

/** A command begins: nothing is read or written yet. */
void cw_claims_forget(void);

/** A file is read, or will be; it need not be there. \return false where memory runs out, after a message */
bool cw_claim_read(const char *path);

/** A file will be written. \param shown its name in a message \return false after a message where it is one that is
 * read or another that is written */
bool cw_claim_write(const char *path, const char *shown);

/** The same before it is written: cw_claim_write() by this path will be the same claim. */
bool cw_claim_promise(const char *path, const char *shown);

/** By which name a file is read; NULL where it is not. For a last look before it is replaced. */
const char *cw_claimed_name(const struct stat *status);

#ifdef __cplusplus
}
#endif
#endif
