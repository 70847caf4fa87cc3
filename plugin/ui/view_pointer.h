/* SPDX-License-Identifier: ISC */
/** \file view_pointer.h
 * Events of the pointer.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_POINTER_H
#define CW_UI_VIEW_POINTER_H

#include <stdbool.h>

#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

bool cw_view_press(struct cw_view *view, const struct cw_event *event);
bool cw_view_move(struct cw_view *view, const struct cw_event *event);
void cw_view_leave(struct cw_view *view);
bool cw_view_wheel(struct cw_view *view, const struct cw_event *event);
void cw_view_end_drag(struct cw_view *view);

#ifdef __cplusplus
}
#endif
#endif
