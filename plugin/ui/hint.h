/* SPDX-License-Identifier: ISC */
/** \file hint.h
 * The words at the foot of the window: what is under the pointer, and what can be done with it.
 *
 * Threading class: the window's thread.
 */
#ifndef CW_UI_HINT_H
#define CW_UI_HINT_H

#include "view.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_HINT_SIZE = 360 };

struct cw_hint {
    char name[CW_HINT_SIZE];    /**< the term, or empty */
    char meaning[CW_HINT_SIZE]; /**< one sentence */
    char keys[CW_HINT_SIZE];    /**< how it is worked */
    bool trouble;               /**< the meaning says what is wrong with a typed value */
};

/** The hint for what the window shows now. */
void cw_hint_of(const struct cw_view *view, struct cw_hint *hint);

#ifdef __cplusplus
}
#endif
#endif
