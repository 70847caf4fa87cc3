/* SPDX-License-Identifier: ISC */
/** \file view.h
 * What the window does with the pointer and the keys: events in, values for ports out.
 *
 * Knows nothing of X or of cairo's surfaces, so that every habit is tested without either.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_H
#define CW_UI_VIEW_H

#include <stdbool.h>

#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Defaults; \p host is copied. */
void cw_view_init(struct cw_view *view, const struct cw_view_host *host);

/** A new size, in unscaled pixels. */
void cw_view_size(struct cw_view *view, double width, double height);

/** A value from the host, for a control input or a meter. While the pointer holds a control, the
 * host's word on it is passed over. */
void cw_view_port(struct cw_view *view, int port, double value);

/** An event. \return whether it meant something */
bool cw_view_event(struct cw_view *view, const struct cw_event *event);

/** The host lets the window idle: what is worked out in slices goes on by one. */
void cw_view_idle(struct cw_view *view);

/** The window is about to close: a control that is still held is let go. */
void cw_view_close(struct cw_view *view);

/** Work out what is to be drawn: curves, figures, crosshair. */
void cw_view_prepare(struct cw_view *view);

#ifdef __cplusplus
}
#endif
#endif
