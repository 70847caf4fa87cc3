/* SPDX-License-Identifier: ISC */
/** \file wrap.h
 * Text broken into lines for a terminal.
 */
#ifndef CW_WRAP_H
#define CW_WRAP_H

#include <stddef.h>
#include <stdio.h>

#include "attributes.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Columns that a text takes on a terminal: characters, not bytes (of one cell each). */
size_t cw_text_width(const char *text);

/** Print a text with its line's end. A line break in it is as good as a space; an empty line parts
 * paragraphs; a line that begins with a space stands as it is.
 * \param column where the first line begins
 * \param indent where the others do
 * \param width  columns of a line, at most, where the words allow it */
void cw_wrap(FILE *stream, const char *text, size_t column, size_t indent, size_t width);

/** The same of a text of at most 1023 bytes that is put together, from the margin. */
void cw_wrap_format(FILE *stream, size_t width, const char *format, ...) CW_PRINTF(3, 4);

#ifdef __cplusplus
}
#endif
#endif
