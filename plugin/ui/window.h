/* SPDX-License-Identifier: ISC */
/** \file window.h
 * The X window: events in, picture out. Plain Xlib on a connection of its own; cairo draws on an
 * image in memory that is put on the window, so that neither side keeps anything of the other.
 *
 * Threading class: the host's user interface thread.
 */
#ifndef CW_UI_WINDOW_H
#define CW_UI_WINDOW_H

#include <stdbool.h>

#include "view.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

struct cw_window;

/** Open a window inside another one.
 * \param parent X window of the host
 * \param scale  pixels for an unscaled pixel; 0 for what the display says
 * \param view   kept, not owned; its size follows the window's
 * \return NULL where there is no display, no true-colour visual or no memory; a line on the
 * standard error says which. */
struct cw_window *cw_window_open(unsigned long parent, double scale, struct cw_view *view);

/** The X window. */
unsigned long cw_window_id(const struct cw_window *window);

/** Its size, pixels. */
void cw_window_size(const struct cw_window *window, int *width, int *height);

/** Handle what has come in and draw what has changed; nothing is drawn or sent where nothing has.
 * \return false once the window is gone, because the host closed its own first. */
bool cw_window_idle(struct cw_window *window);

/** Close it, in whatever state. */
void cw_window_close(struct cw_window *window);

#ifdef __cplusplus
}
#endif
#endif
