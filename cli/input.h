/* SPDX-License-Identifier: ISC */
/** \file input.h
 * Files that come in. All that reads a text or a digest opens it here: what is read is claimed (cli/claims.h), a pipe
 * that nobody writes to ends in a message, and what came through a pipe can be read again.
 */
#ifndef CW_INPUT_H
#define CW_INPUT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Open a regular file. Reports and returns NULL for anything else.
 * \param expected what it should be, for messages: "a key" */
FILE *cw_input_open(const char *path, const char *expected);

/** The bytes of a file or pipe of 1 to \p most bytes, with a zero behind them, to be freed. Reports and returns NULL on
 * failure. A pipe gives the same bytes as often as it is asked for. */
char *cw_input_text(const char *path, const char *expected, size_t most, size_t *length);

/** Forget what came through pipes and which files were read and written: a command begins. */
void cw_input_forget(void);

#ifdef __cplusplus
}
#endif
#endif
