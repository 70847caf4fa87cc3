/* SPDX-License-Identifier: ISC */
/** \file view_search.h
 * Events for the list of splits that were found. Each tells whether the event was for it.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_SEARCH_H
#define CW_UI_VIEW_SEARCH_H

#include <stdbool.h>

#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

bool cw_view_search_press(struct cw_view *view, const struct cw_event *event);
bool cw_view_search_follow(struct cw_view *view, const struct cw_event *event);
bool cw_view_search_wheel(struct cw_view *view, const struct cw_event *event);
bool cw_view_search_key(struct cw_view *view, const struct cw_event *event);

#ifdef __cplusplus
}
#endif
#endif
