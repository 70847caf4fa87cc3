/* SPDX-License-Identifier: ISC */
/** \file output.h
 * Files that are either there in full or not at all.
 *
 * An output is written under a temporary name in the directory of its path and renamed when it
 * is complete. An existing file is refused unless force is set; with force too where the command reads it, by
 * whatever name (cli/claims.h), and where it is a journal. Interrupt, hang-up and
 * termination signals remove what is unfinished. A path of "-" is standard output; a path to
 * something that is no regular file (a device, a pipe) is written in place.
 */
#ifndef CW_OUTPUT_H
#define CW_OUTPUT_H

#include <stdbool.h>
#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** An output under way. Must stay where it is in memory from open to commit or abandon. */
struct cw_output {
    char *path;      /**< as the person gave it, for messages */
    char *target;    /**< what the temporary file becomes; NULL where written in place */
    char *temporary; /**< name of the temporary file, for libraries that want one; NULL where written in place */
    FILE *stream;    /**< open for writing and reading; NULL once closed by cw_output_take_name() */
    bool force;
    int reason;             /**< errno of the first write that failed in cw_output_write(), else 0 */
    struct cw_output *next; /**< list of the unfinished, for the signal handler */
};

/** To be called once at the start of main(): unfinished files go when a signal ends the program;
 * a broken pipe and a file that
 * grows beyond its limit are errors of the write, not signals. */
void cw_output_guard(void);

/** A directory for files that are written one by one, made where it is not there. Reports and returns false where it
 * cannot be made, or nothing can be written in it. */
bool cw_output_directory(const char *path);

/** Whether a name inside a directory that may come from elsewhere is free or a file: a link there, or a device, would
 * be written to wherever that is. Reports and returns false where it is neither. \param what what is replaced, as "a
 * take" */
bool cw_output_plain(const char *path, const char *what);

/** Begin an output. Reports and returns false where the path cannot be written. */
bool cw_output_open(struct cw_output *output, const char *path, bool force);

/** Whether these outputs (NULL for one that is not wanted) could all be begun now: for a command that writes several,
 * or does what cannot be taken back, before it does any of it. Nothing is left behind; a device or pipe is not opened.
 * Reports and returns false for the first that cannot. */
bool cw_outputs_ready(const char *const *path, size_t count, bool force);

/** The turn of this process among those that write several files beside \p path which belong together: waits for others
 * of this program, 10 s at most. \return a descriptor to close() when they are in place; -1 where nothing can be locked
 */
int cw_output_turn(const char *path);

/** Write to the stream, for libraries that call back; remembers why a write failed. */
bool cw_output_write(struct cw_output *output, const void *bytes, size_t count);

/** Close the stream and give the name of the file to write, for a library that opens files by
 * name: the temporary name, or the path itself where it is written in place ("/dev/stdout" for
 * "-"). */
const char *cw_output_take_name(struct cw_output *output);

/** Bring all that was written to the disk, under its temporary name: what is left for cw_output_commit() is the
 * name. Reports and returns false where the disk is full or the pipe is broken; then it is to be abandoned. */
bool cw_output_settle(struct cw_output *output);

/** Take away the file that the output is to replace, where there is one, so that for the time until
 * cw_output_commit() there is none. Needs force. Reports and returns false where it stays. */
bool cw_output_clear(const struct cw_output *output);

/** Finish: flush, close, bring to the disk, rename. Reports and returns false where the disk is full, the pipe is
 * broken or the file exists by now; then nothing is left behind. Frees the output. */
bool cw_output_commit(struct cw_output *output);

/** Give up: remove the temporary file and free. Harmless after commit and on a zeroed output. */
void cw_output_abandon(struct cw_output *output);

/** Flush standard output; reports and returns false where it cannot be written. */
bool cw_stdout_finish(void);

#ifdef __cplusplus
}
#endif
#endif
