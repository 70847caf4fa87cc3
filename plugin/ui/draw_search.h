/* SPDX-License-Identifier: ISC */
/** \file draw_search.h
 * Draws the list of splits that were found (search.h).
 *
 * Threading class: the window's thread. Allocates (cairo does).
 */
#ifndef CW_UI_DRAW_SEARCH_H
#define CW_UI_DRAW_SEARCH_H

#include "ink.h"
#include "view.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Draw the list where it is open. */
void cw_draw_search(struct cw_ink *ink, const struct cw_view *view);

#ifdef __cplusplus
}
#endif
#endif
