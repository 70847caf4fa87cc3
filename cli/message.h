/* SPDX-License-Identifier: ISC */
/** \file message.h
 * Messages to the person at the terminal: one line each, on standard error.
 *
 * A message names the file, the place, what was expected and what was found. What
 * is in a message from elsewhere (a file name may hold anything) is shown as escape.h shows it.
 */
#ifndef CW_MESSAGE_H
#define CW_MESSAGE_H

#include <stdarg.h>
#include <stddef.h>

#include "attributes.h"

#ifdef __cplusplus
extern "C" {
#endif

/** "coilwright: MESSAGE". */
void cw_error(const char *format, ...) CW_PRINTF(1, 2);

/** "coilwright: FILE:LINE: MESSAGE"; the line is left out where it is 0. */
void cw_error_at(const char *file, unsigned line, const char *format, ...) CW_PRINTF(3, 4);

/** "coilwright: out of memory". */
void cw_error_memory(void);

/** The line behind all of the above: "coilwright" WHERE ": " MESSAGE. */
void cw_message(const char *where, const char *format, va_list arguments);

/** From here on, what the calling thread says is not shown: the first of its messages goes to \p line,
 * which is to be empty at first. NULL ends this. So that threads that work together can speak with one
 * voice. */
void cw_message_keep(char *line, size_t size);

/** Show a line that was kept. */
void cw_message_show(const char *line);

#ifdef __cplusplus
}
#endif
#endif
