/* SPDX-License-Identifier: ISC */
/** \file plot.h
 * Draws a plot (plot_model.h): one routine for the window, PNG, SVG and PDF.
 *
 * Threading class: one thread at a time for each model and surface; not the audio thread
 * (drawing allocates).
 */
#ifndef CW_PLOT_H
#define CW_PLOT_H

#include <cairo.h>
#include <stdbool.h>

#include "plot_model.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Draw into the rectangle from 0, 0 to width, height of the context's user space.
 * \param scale size of text and lines: 1 for about 96 dots an inch
 * \param frame where the curves came to stand, or NULL
 * Nothing is drawn outside the rectangle. */
void cw_plot_draw(cairo_t *cr, const struct cw_plot *plot, double width, double height, double scale,
                  struct cw_plot_frame *frame);

/** Colour of a line style, so that names elsewhere match the curves: red, green, blue from 0 to 1. */
void cw_plot_colour(int style, bool dark, double rgb[3]);

/** Draw a sample of a line style from x to the right. */
void cw_plot_swatch(cairo_t *cr, int style, bool dark, double x, double y, double width, double scale);

#ifdef __cplusplus
}
#endif
#endif
