/* SPDX-License-Identifier: ISC */
/** \file view_blind.h
 * Events for the blind choice.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_BLIND_H
#define CW_UI_VIEW_BLIND_H

#include <stdbool.h>

#include "blind.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A coin was tossed for the next trial of a blind choice; to be called while its state is CW_BLIND_DRAWING. */
void cw_view_drawn(struct cw_view *view, bool heads);

bool cw_view_blind_press(struct cw_view *view, enum cw_blind_button button);
/** A value came from the host while a blind choice is on. What the choice holds is put back, and where that or what is
 * compared was moved, the trial does not count. A late echo of the window's own word is no change of the host's. */
void cw_view_blind_guard(struct cw_view *view, int port);
bool cw_view_blind_key(struct cw_view *view, const char *text);
/** What it holds: levels alike, and one of three heard; once it is off, all is as it was. */
void cw_view_blind_hold(struct cw_view *view);

#ifdef __cplusplus
}
#endif
#endif
