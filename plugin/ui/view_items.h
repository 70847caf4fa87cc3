/* SPDX-License-Identifier: ISC */
/** \file view_items.h
 * Items of the view, and what is to be drawn again.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_ITEMS_H
#define CW_UI_VIEW_ITEMS_H

#include <stdbool.h>

#include "layout.h"
#include "view_state.h"

#ifdef __cplusplus
extern "C" {
#endif

extern const struct cw_ref cw_no_ref;
/** Whether two references are the same item. */
bool cw_ref_same(struct cw_ref a, struct cw_ref b);
struct cw_ref cw_ref_of(const struct cw_item *item);
/** NULL where the layout does not show it. */
const struct cw_item *cw_view_item(const struct cw_view *view, struct cw_ref ref);
/** Items whose value runs from end to end. */
bool cw_view_slides(enum cw_item_kind kind);
bool cw_view_has_port(enum cw_item_kind kind);
void cw_view_redraw(struct cw_view *view, enum cw_region region);
void cw_view_redraw_all(struct cw_view *view);
/** Whether a page is there for the setup that is shown: enum cw_page, or CW_JOB_PAGE. */
bool cw_view_has_page(const struct cw_view *view, int page);

/** After a change of what applies. */
void cw_view_lay_out(struct cw_view *view);

#ifdef __cplusplus
}
#endif
#endif
