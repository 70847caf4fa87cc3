/* SPDX-License-Identifier: ISC */
/** \file page_font.h
 * The face that pages on paper are set in.
 *
 * Threading class: one thread at a time for each surface; not the audio thread (drawing allocates).
 */
#ifndef CW_PAGE_FONT_H
#define CW_PAGE_FONT_H

#include <cairo.h>
#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What is written next is set in it. \param size points */
void cw_page_font(cairo_t *cr, double size, bool bold);

enum { CW_PAGE_TEXT = 640 };

/** A text as pages show it, whatever bytes it has: cairo writes nothing more after one that is no UTF-8.
 * \param to CW_PAGE_TEXT bytes \return \p to */
const char *cw_page_shown(const char *text, char to[CW_PAGE_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
