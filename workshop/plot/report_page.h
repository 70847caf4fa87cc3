/* SPDX-License-Identifier: ISC */
/** \file report_page.h
 * A text of lines on paper, A4, as it stands on a terminal.
 *
 * Threading class: one thread at a time for each surface; not the audio thread (drawing allocates).
 */
#ifndef CW_REPORT_PAGE_H
#define CW_REPORT_PAGE_H

#include <cairo.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A4, points. */
#define CW_PAPER_WIDTH 595.276
#define CW_PAPER_HEIGHT 841.89
#define CW_PAPER_MARGIN 36.0

/** Draw a text over as many pages as it takes, each but the last ended by cairo_show_page(); a line that is too wide is
 * made narrower. \param text lines that end in LF \return where the next thing may stand on the last page, points */
double cw_report_draw(cairo_t *cr, const char *text);

#ifdef __cplusplus
}
#endif
#endif
