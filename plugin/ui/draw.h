/* SPDX-License-Identifier: ISC */
/** \file draw.h
 * Draws the window with cairo, on any surface.
 *
 * Threading class: the window's thread. Allocates (cairo does).
 */
#ifndef CW_UI_DRAW_H
#define CW_UI_DRAW_H

#include <cairo.h>

#include "view.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Draw some regions of a view that cw_view_prepare() was called for; an open menu goes over all.
 * \param scale   pixels of the surface for an unscaled pixel
 * \param regions bits 1 << enum cw_region
 * \return number of texts that did not fit and were shortened. */
int cw_draw(cairo_t *cr, struct cw_view *view, double scale, unsigned regions);

#ifdef __cplusplus
}
#endif
#endif
