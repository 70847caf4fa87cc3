/* SPDX-License-Identifier: ISC */
/** \file draw_words.h
 * Job and notes, as they stand there or as they are being typed.
 *
 * Threading class: the window's thread.
 */
#ifndef CW_UI_DRAW_WORDS_H
#define CW_UI_DRAW_WORDS_H

#include "ink.h"
#include "layout.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What a box of words holds, over its ground. \param item of kind CW_ITEM_WORDS */
void cw_draw_words(struct cw_ink *ink, const struct cw_view *view, const struct cw_item *item);

#ifdef __cplusplus
}
#endif
#endif
