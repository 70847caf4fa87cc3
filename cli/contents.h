/* SPDX-License-Identifier: ISC */
/** \file contents.h
 * contents.txt: the list by which a directory of results is known again.
 *
 * The first line is a mark of ours; each further line has the SHA-256 of a file and its name below the
 * directory, as `sha256sum -c contents.txt` reads it. Names have one or two parts of ASCII letters, digits, '.',
 * '_' and '-', none beginning with a dot.
 */
#ifndef CW_CONTENTS_H
#define CW_CONTENTS_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/stat.h>

#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

#define CW_CONTENTS_NAME "contents.txt"
enum { CW_CONTENTS_NAME_BYTES = 160, CW_CONTENTS_MAX_BYTES = 1 << 20 };

/** A list. Zeroed is empty. */
struct cw_contents {
    struct cw_contents_item {
        char name[CW_CONTENTS_NAME_BYTES];
        unsigned char digest[CW_SHA256_BYTES];
        struct stat seen; /**< when its digest was last found right */
    } * item;
    size_t count;
};

/** Add a name. \return NULL where it is none that a list can hold or where memory is short (errno: EINVAL, ENOMEM) */
struct cw_contents_item *cw_contents_add(struct cw_contents *list, const char *name);
void cw_contents_free(struct cw_contents *list);

/** Read the list of a directory.
 * \return -1 where it has none that can be read (errno), 0 on success, else the line that is no part of a list */
int cw_contents_read(int directory, struct cw_contents *list);

/** Fill in the digests of the files that are there, drop the others, write the list; all is on the disk then.
 * \param stop true gives up \return false on failure (errno) */
bool cw_contents_write(int directory, struct cw_contents *list, bool (*stop)(void));

/** Some names for a message: the first few in quotes, and how many more. */
struct cw_odd {
    char text[400];
    int count;
};

/** What stands below the directory and is neither a file of the list nor the list. \param list NULL: everything */
void cw_contents_strangers(int directory, const struct cw_contents *list, struct cw_odd *odd);

/** What is not as it was written; notes what is, for cw_contents_remove(). \return false when stopped */
bool cw_contents_changed(int directory, struct cw_contents *list, bool (*stop)(void), struct cw_odd *odd);

/** Remove the files of the list, the list, and the directories that are empty then.
 * \param written only files that are as they were written; else whatever stands there by their names */
void cw_contents_remove(int directory, const struct cw_contents *list, bool written, bool (*stop)(void));

#ifdef __cplusplus
}
#endif
#endif
