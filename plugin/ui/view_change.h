/* SPDX-License-Identifier: ISC */
/** \file view_change.h
 * Changes that the user makes: values, what is heard, copies, steps back.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_CHANGE_H
#define CW_UI_VIEW_CHANGE_H

#include <stdbool.h>

#include "setup.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

void cw_view_show(struct cw_view *view, enum cw_which which);
/** What is heard is what is edited, but where they were unlinked. */
void cw_view_follow(struct cw_view *view);
/** A value that the user chose; and the same as a gesture of its own. */
void cw_view_set(struct cw_view *view, int port, double value);
void cw_view_set_at_once(struct cw_view *view, int port, double value);
void cw_view_step(struct cw_view *view, int port, int steps, bool fine);
void cw_view_listen(struct cw_view *view, int listen);
/** The controls of a setup are turned to: it is heard as well. */
void cw_view_turn_to(struct cw_view *view, enum cw_which which);
/** The same where an item outside the panel reaches a setup that is not shown. */
void cw_view_attend(struct cw_view *view, struct cw_ref what);
void cw_view_toggle(struct cw_view *view, int port);
void cw_view_toggle_split(struct cw_view *view, enum cw_which which);
/** \param action of enum cw_action */
void cw_view_act(struct cw_view *view, int action);

#ifdef __cplusplus
}
#endif
#endif
