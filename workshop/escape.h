/* SPDX-License-Identifier: ISC */
/** \file escape.h
 * Texts from elsewhere (labels, comments, file names) on their way out: nothing in them acts on the terminal, the
 * table, the spreadsheet or the page that shows them, and nothing in them hides.
 *
 * A text is shown as it is but for what has no shape of its own: control characters (C0, DEL, C1), line and
 * paragraph separators, marks of direction (Unicode Standard Annex 9) and of no width, tags, and bytes that
 * are no UTF-8 (RFC 3629). These are written out: <U+001B>, <U+202E>, <0xFF>.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_ESCAPE_H
#define CW_ESCAPE_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_PIECE_BYTES = 12, /**< of the longest piece, "<U+10FFFF>", and its zero */
    CW_SHOWN_BYTES = 640 /**< enough for a shown text of ordinary length */
};

/** The next character of \p *text as it is shown; moves \p *text behind it. At the end the piece is empty.
 * \return \p piece */
const char *cw_show_piece(const char **text, char piece[CW_PIECE_BYTES]);

/** A text as it is shown. Where there is no room it is cut between characters and ends in "…".
 * \param size at least 4 \return \p to */
const char *cw_show(const char *text, char *to, size_t size);

/** A copy that fits: cut between characters, with "…" as the last, where it is longer. Nothing else is changed.
 * \param size at least 4 \return \p to */
const char *cw_text_fit(const char *text, char *to, size_t size);

/** Would a spreadsheet take the cell for a formula? So for one that begins with '=', '+', '-', '@' or a blank of
 * some kind before these, and is not a number (common practice: such a cell gets an apostrophe in front). */
bool cw_is_formula(const char *text);

/** What stands for the ASCII character \p c in a line of Markdown (CommonMark 0.30, 2.4: any of its punctuation may
 * be escaped by a backslash; '<' and '&' as entities, so that no renderer takes them for HTML); NULL: itself. */
const char *cw_markdown_escape(char c);

#ifdef __cplusplus
}
#endif
#endif
