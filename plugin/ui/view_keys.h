/* SPDX-License-Identifier: ISC */
/** \file view_keys.h
 * Events of the keys.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_KEYS_H
#define CW_UI_VIEW_KEYS_H

#include <stdbool.h>

#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

bool cw_view_key(struct cw_view *view, const struct cw_event *event);

#ifdef __cplusplus
}
#endif
#endif
