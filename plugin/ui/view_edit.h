/* SPDX-License-Identifier: ISC */
/** \file view_edit.h
 * Typing a value or a name.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_EDIT_H
#define CW_UI_VIEW_EDIT_H

#include <stdbool.h>

#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

/** \param first what was typed already; "" keeps the old value until something is */
void cw_view_edit(struct cw_view *view, struct cw_ref what, const char *first);
void cw_view_end_edit(struct cw_view *view);
/** \return false where the text cannot be taken over: it stays, with what is wrong */
bool cw_view_take_edit(struct cw_view *view);
bool cw_view_edit_key(struct cw_view *view, const struct cw_event *event);

#ifdef __cplusplus
}
#endif
#endif
