/* SPDX-License-Identifier: ISC */
/** \file view_act.h
 * Doing what an item does.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_ACT_H
#define CW_UI_VIEW_ACT_H

#include <stdbool.h>

#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

void cw_view_activate(struct cw_view *view, struct cw_ref what);
/** Steps of a wheel or an arrow key on an item. */
bool cw_view_step_item(struct cw_view *view, struct cw_ref what, int steps, bool fine);

#ifdef __cplusplus
}
#endif
#endif
