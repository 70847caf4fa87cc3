/* SPDX-License-Identifier: ISC */
/** \file view_menu.h
 * The menu of a list.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_MENU_H
#define CW_UI_VIEW_MENU_H

#include <stdbool.h>

#include "control.h"
#include "rect.h"
#include "view_state.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The open menu: its place, its list. \return false where none is open */
bool cw_view_menu(const struct cw_view *view, struct cw_rect *box, const struct cw_param_info **info);

void cw_view_open_menu(struct cw_view *view, struct cw_ref what);
void cw_view_close_menu(struct cw_view *view);
/** -1 where the place lies beside it. */
int cw_view_menu_row(const struct cw_view *view, double x, double y);
void cw_view_choose(struct cw_view *view, int row);
bool cw_view_menu_key(struct cw_view *view, const struct cw_event *event);

#ifdef __cplusplus
}
#endif
#endif
