/* SPDX-License-Identifier: ISC */
/** \file jig_page.h
 * The instruction of instruction.h on paper: the jig in symbols after IEC 60617, and the words; black on white, A4,
 * one page.
 *
 * Threading class: one thread at a time for each surface; not the audio thread (drawing allocates).
 */
#ifndef CW_JIG_PAGE_H
#define CW_JIG_PAGE_H

#include <cairo.h>

#include "instruction.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A4, points. */
#define CW_JIG_PAGE_WIDTH 595.276
#define CW_JIG_PAGE_HEIGHT 841.89

/** Draw the page, ended by cairo_show_page(). \return where the words end, points from the top */
double cw_jig_page_draw(cairo_t *cr, const struct cw_instruction_sweep *sweep);

#ifdef __cplusplus
}
#endif
#endif
