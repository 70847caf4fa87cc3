/* SPDX-License-Identifier: ISC */
/** \file sheet_page.h
 * A winder's sheet on paper: black on white, A4, two pages.
 *
 * Threading class: one thread at a time for each surface; not the audio thread (drawing allocates).
 */
#ifndef CW_SHEET_PAGE_H
#define CW_SHEET_PAGE_H

#include <cairo.h>

#include "seal.h"
#include "sheet.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A4, points. */
#define CW_SHEET_WIDTH 595.276
#define CW_SHEET_HEIGHT 841.89

/** Squares of a two-dimensional code, row by row, dark where the lowest bit is set. */
struct cw_sheet_code {
    const unsigned char *square;
    int width; /**< squares along a side; 0: there is no code */
};

/** Draw both pages, each ended by cairo_show_page(): what is to be made, then the split's schematic where there is
 * one, and room for readings. */
void cw_sheet_draw(cairo_t *cr, const struct cw_seal *seal, bool sealed, const struct cw_sheet *sheet,
                   const struct cw_sheet_code *code);

#ifdef __cplusplus
}
#endif
#endif
