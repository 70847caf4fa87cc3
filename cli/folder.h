/* SPDX-License-Identifier: ISC */
/** \file folder.h
 * A directory of results that is either there in full or not at all.
 *
 * It is filled under a hidden name beside its place, brought to the disk, and changes its name with
 * what stands there in one step. With force, only results of earlier runs are replaced: a directory that
 * contents.txt, with a mark of ours and the digest of each file, describes in full. Whatever
 * else is found in it is named and nothing is touched; what comes into it meanwhile is kept beside. No
 * symbolic link is followed below the directory.
 */
#ifndef CW_FOLDER_H
#define CW_FOLDER_H

#include <stdbool.h>
#include <stddef.h>

#include "contents.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A directory under way. Zeroed is none. */
struct cw_folder {
    char *path;      /**< as the person gave it */
    char *above;     /**< the directory in which it will stand */
    char *name;      /**< its name there */
    char *temporary; /**< where it is filled: a path, the last part a name in \p above; NULL: not begun */
    int parent;      /**< descriptors: of \p above, */
    int own;         /**< of what is being filled, */
    int old;         /**< and of what is replaced; -1 for none */
    struct cw_contents contents, replaced;
    char **file; /**< paths handed out */
    size_t count;
};

/** Begin. Reports and returns false where the place is taken or cannot be written. From here to
 * the end, interrupt, hang-up and termination signals only set cw_folder_interrupted(). One at a
 * time. */
bool cw_folder_open(struct cw_folder *folder, const char *path, bool force);

/** Path of a new file of the directory, made known to contents.txt; a directory in \p name ("a/b")
 * is made. Names as cw_contents_add() takes them. \return NULL on failure, which is reported. The folder owns the
 * text. */
const char *cw_folder_file(struct cw_folder *folder, const char *name);

/** Did a signal ask to stop? Long loops look at it and give up. */
bool cw_folder_interrupted(void);

/** Put the directory in its place. Reports and returns false on failure, an interrupt among them;
 * then nothing is left behind. Frees the folder in both cases. */
bool cw_folder_commit(struct cw_folder *folder);

/** Remove everything; then die of the signal where one came. Harmless on a zeroed folder. */
void cw_folder_abandon(struct cw_folder *folder);

#ifdef __cplusplus
}
#endif
#endif
