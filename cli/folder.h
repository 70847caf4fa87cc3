/* SPDX-License-Identifier: ISC */
/** \file folder.h
 * A directory of results that is either there in full or not at all.
 *
 * It is filled under a temporary name beside its place and renamed when complete. It holds
 * contents.txt, the list of its files: with force, only a directory that holds nothing but what
 * such a list names is replaced, so that no file of the person's own can be lost.
 */
#ifndef CW_FOLDER_H
#define CW_FOLDER_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A directory under way. Zeroed is none. */
struct cw_folder {
    char *path;      /**< as the person gave it */
    char *target;    /**< where it will stand */
    char *temporary; /**< where it is filled */
    char **file;     /**< names of its files, below the directory */
    size_t count;
    bool replaces;
};

/** Begin. Reports and returns false where the place is taken or cannot be written. From here to
 * the end, interrupt, hang-up and termination signals only set cw_folder_interrupted(). One at a
 * time. */
bool cw_folder_open(struct cw_folder *folder, const char *path, bool force);

/** Path of a new file of the directory, made known to contents.txt; a directory in \p name ("a/b")
 * is made. \return NULL on failure, which is reported. The folder owns the text. */
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
