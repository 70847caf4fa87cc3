/* SPDX-License-Identifier: ISC */
/** \file show.h
 * The doors by which texts from elsewhere leave: each shows what escape.h shows, and makes nothing of it that the
 * format would act on. HTML and JSON: page_escape.h.
 */
#ifndef CW_SHOW_H
#define CW_SHOW_H

#include <stddef.h>
#include <stdio.h>

#include "attributes.h"

#ifdef __cplusplus
extern "C" {
#endif

/** For a person at the terminal or in a text file. */
void cw_print_shown(FILE *stream, const char *text);

/** Cells on a terminal that a piece of cw_show_piece() takes, never too few: from Hangul on a character may take two.
 */
size_t cw_cells_most(const char *piece);

/** The same with the line's end, from a column on, folded so that a terminal of 80 columns does not: what goes on
 * begins at \p indent, where no line of ours begins, whatever blanks or long words are in the text. */
void cw_print_folded(FILE *stream, const char *text, size_t column, size_t indent);

/** The same of a text of at most 1023 bytes that is put together, from the margin, indented by CW_INDENT. */
enum { CW_INDENT = 5 };
void cw_print_quoting(FILE *stream, const char *format, ...) CW_PRINTF(2, 3);

/** A cell of CSV (RFC 4180), in quotes where it needs them; what a spreadsheet would take for a formula gets an
 * apostrophe in front, behind a semicolon too. */
void cw_print_csv(FILE *stream, const char *text);

/** Within a line of Markdown. */
void cw_print_markdown(FILE *stream, const char *text);

/** A file's name as a word of a shell's command, in quotes where it needs them, and never an option. */
void cw_print_word(FILE *stream, const char *text);

/** The address of a file: "file://" and the path, with all but unreserved characters encoded (RFC 3986, RFC 8089); the
 * path as it is where it does not begin at the root. */
void cw_print_address(FILE *stream, const char *path);

#ifdef __cplusplus
}
#endif
#endif
