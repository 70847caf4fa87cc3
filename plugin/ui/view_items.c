/* SPDX-License-Identifier: ISC */
#include "view_items.h"

#include <math.h>

#include "layout.h"
#include "pages.h"
#include "view_state.h"
#include "blind.h"

const struct cw_ref cw_no_ref = {CW_ITEM_NONE, 0};

bool cw_ref_same(struct cw_ref a, struct cw_ref b) { return a.kind == b.kind && a.id == b.id; }

struct cw_ref cw_ref_of(const struct cw_item *item) { return item ? (struct cw_ref){item->kind, item->id} : cw_no_ref; }

const struct cw_item *cw_view_item(const struct cw_view *view, struct cw_ref ref)
{
    int at = cw_layout_find(&view->layout, ref.kind, ref.id);
    return at < 0 ? NULL : &view->layout.item[at];
}

bool cw_view_slides(enum cw_item_kind kind) { return kind == CW_ITEM_SLIDER || kind == CW_ITEM_CABLE; }

bool cw_view_has_port(enum cw_item_kind kind)
{
    return cw_view_slides(kind) || kind == CW_ITEM_TOGGLE || kind == CW_ITEM_LIST;
}

void cw_view_redraw(struct cw_view *view, enum cw_region region) { view->dirty |= 1u << region; }

void cw_view_redraw_all(struct cw_view *view) { view->dirty = CW_DIRTY_ALL; }

bool cw_view_has_page(const struct cw_view *view, int page)
{
    return page == CW_JOB_PAGE || cw_page_applies((enum cw_page)page, &view->model.controls.setup[view->shown]);
}

void cw_view_lay_out(struct cw_view *view)
{
    if (!cw_view_has_page(view, view->page)) {
        view->page = CW_PAGE_COIL;
    }
    const bool blind = view->blind.state != CW_BLIND_OFF, large = view->large && !blind;
    view->zoom = large ? fmax(fmin(view->width / CW_LARGE_WIDTH, view->height / CW_LARGE_HEIGHT), 1.0) : 1.0;
    if (blind) {
        cw_layout_build_blind(&view->layout, view->width, view->height, &view->blind);
    } else if (large) {
        cw_layout_build_large(&view->layout, view->width / view->zoom, view->height / view->zoom);
    } else {
        cw_layout_build(&view->layout, view->width, view->height, &view->model, view->shown, view->page);
    }
    if (!cw_view_item(view, view->menu.what)) {
        view->menu.what = cw_no_ref;
    }
    if (!cw_view_item(view, view->edit.what)) {
        view->edit.what = cw_no_ref;
    }
    cw_view_redraw_all(view);
}
