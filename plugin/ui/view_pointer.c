/* SPDX-License-Identifier: ISC */
#include "view_pointer.h"

#include <math.h>

#include "control.h"
#include "layout.h"
#include "model.h"
#include "rect.h"
#include "setup.h"
#include "usual.h"
#include "view_act.h"
#include "view_change.h"
#include "view_edit.h"
#include "view_items.h"
#include "view_menu.h"
#include "view_search.h"
#include "view_state.h"

static const uint32_t double_click_ms = 400;

/* Where a click means the figure itself: right of the slider. */
static bool on_value(const struct cw_item *item, double x)
{
    return item->kind == CW_ITEM_SLIDER && x > item->track.x + item->track.w + 6;
}

/* How near a drag comes to a usual value before it catches it, unscaled pixels. */
static const double catch_px = 4.0;

/* A short slider moves slower than the pointer, so that it can be set with care. */
static double travel_of(const struct cw_item *item)
{
    return item->kind == CW_ITEM_CABLE ? item->track.w : fmax(item->track.w, 160.0);
}

/* The value where a drag stands: a usual one where one is near, any with the key for fine ones. */
static void set_dragged(struct cw_view *view, const struct cw_item *item, bool fine)
{
    const struct cw_param_info *info = cw_control_info(item->id);
    double value = cw_control_at(info, view->drag.share, fine);
    if (!fine) {
        cw_usual_near(info, view->drag.share, catch_px / travel_of(item), &value);
    }
    cw_view_set(view, item->id, value);
}

static void begin_drag(struct cw_view *view, const struct cw_item *item, const struct cw_event *event)
{
    double share = cw_control_share(cw_control_info(item->id), cw_model_value(&view->model, item->id));
    cw_view_attend(view, cw_ref_of(item));
    view->drag.what = cw_ref_of(item);
    view->drag.x = event->x;
    view->drag.share = share;
    view->drag.moved = false;
    view->drag.on_value = on_value(item, event->x);
    view->host.touch(view->host.data, item->id, true);
    /* A click on the cable puts its end there, unless it takes hold of the end. */
    double end = item->track.x + share * item->track.w;
    if (item->kind == CW_ITEM_CABLE && fabs(event->x - end) > 14.0 && event->y >= item->track.y && !event->fine) {
        view->drag.share = (event->x - item->track.x) / item->track.w;
        set_dragged(view, item, false);
    }
}

static void go_on_dragging(struct cw_view *view, const struct cw_event *event)
{
    const struct cw_item *item = cw_view_item(view, view->drag.what);
    if (!item || event->x == view->drag.x) {
        return;
    }
    view->drag.share += (event->x - view->drag.x) / travel_of(item) * (event->fine ? 0.1 : 1.0);
    view->drag.x = event->x;
    view->drag.moved = true;
    set_dragged(view, item, event->fine);
}

void cw_view_end_drag(struct cw_view *view)
{
    struct cw_ref what = view->drag.what;
    view->drag.what = cw_no_ref;
    view->host.touch(view->host.data, what.id, false);
    if (view->drag.on_value && !view->drag.moved) {
        cw_view_edit(view, what, "");
    }
    cw_view_redraw_all(view);
}

static bool is_second_click(struct cw_view *view, const struct cw_item *item, const struct cw_event *event)
{
    bool second = cw_ref_same(view->click.what, cw_ref_of(item)) && event->time - view->click.time < double_click_ms &&
                  fabs(event->x - view->click.x) < 4 && fabs(event->y - view->click.y) < 4;
    view->click.what = second ? cw_no_ref : cw_ref_of(item);
    view->click.time = event->time;
    view->click.x = event->x;
    view->click.y = event->y;
    return second;
}

bool cw_view_press(struct cw_view *view, const struct cw_event *event)
{
    if (view->menu.what.kind) {
        cw_view_choose(view, cw_view_menu_row(view, event->x, event->y));
        return true;
    }
    const struct cw_item *item = cw_layout_at(&view->layout, event->x, event->y);
    bool second = is_second_click(view, item, event);
    if (view->edit.what.kind && (second || !cw_view_take_edit(view))) {
        cw_view_end_edit(view);
    }
    view->keys = false;
    cw_view_redraw_all(view);
    if (cw_view_search_press(view, event)) {
        return true;
    }
    if (!item || item->kind == CW_ITEM_FIGURE) {
        return false;
    }
    view->focus = cw_ref_of(item);
    if ((cw_view_slides(item->kind) || item->kind == CW_ITEM_LISTEN || item->kind == CW_ITEM_WORDS) &&
        event->button == 3) {
        cw_view_edit(view, cw_ref_of(item), "");
    } else if (cw_view_slides(item->kind) && event->button == 1 && second) {
        cw_view_set_at_once(view, item->id, cw_control_info(item->id)->preset);
    } else if (cw_view_slides(item->kind) && event->button == 1) {
        begin_drag(view, item, event);
    } else if (event->button == 1 || (event->button == 3 && item->kind == CW_ITEM_LIST)) {
        cw_view_activate(view, cw_ref_of(item));
    }
    return true;
}

static void follow(struct cw_view *view, const struct cw_event *event)
{
    struct cw_rect plot = view->layout.region[CW_REGION_PLOT];
    bool over = cw_rect_has(plot, event->x, event->y);
    if (over || view->crosshair) {
        view->crosshair = over;
        view->pointed = true;
        view->crosshair_x = event->x - plot.x;
        cw_view_redraw(view, CW_REGION_PLOT);
        cw_view_redraw(view, CW_REGION_HINT);
    }
    const struct cw_item *item = cw_layout_at(&view->layout, event->x, event->y);
    struct cw_ref hover = cw_ref_of(item);
    if (!cw_ref_same(hover, view->hover)) {
        const struct cw_item *left = cw_view_item(view, view->hover);
        view->hover = hover;
        view->pointed = true;
        if (left) {
            cw_view_redraw(view, left->region);
        }
        if (item) {
            cw_view_redraw(view, item->region);
        }
        cw_view_redraw(view, CW_REGION_HINT);
    }
}

bool cw_view_move(struct cw_view *view, const struct cw_event *event)
{
    if (view->drag.what.kind) {
        go_on_dragging(view, event);
    } else if (view->menu.what.kind) {
        int row = cw_view_menu_row(view, event->x, event->y);
        if (row >= 0 && row != view->menu.row) {
            view->menu.row = row;
            cw_view_redraw_all(view);
        }
    } else if (!cw_view_search_follow(view, event)) {
        follow(view, event);
    }
    return true;
}

void cw_view_leave(struct cw_view *view)
{
    if (view->crosshair) {
        view->crosshair = false;
        cw_view_redraw(view, CW_REGION_PLOT);
        cw_view_redraw(view, CW_REGION_HINT);
    }
    const struct cw_item *left = cw_view_item(view, view->hover);
    view->hover = cw_no_ref;
    if (left) {
        cw_view_redraw(view, left->region);
        cw_view_redraw(view, CW_REGION_HINT);
    }
}

bool cw_view_wheel(struct cw_view *view, const struct cw_event *event)
{
    if (cw_view_search_wheel(view, event)) {
        return true;
    }
    const struct cw_item *item = cw_layout_at(&view->layout, event->x, event->y);
    if (view->menu.what.kind || view->edit.what.kind || view->drag.what.kind || !item || item->kind == CW_ITEM_FIGURE) {
        return false;
    }
    if (!cw_ref_same(view->focus, cw_ref_of(item))) {
        view->focus = cw_ref_of(item);
        view->keys = false;
        cw_view_redraw_all(view);
    }
    return cw_view_step_item(view, view->focus, event->wheel, event->fine);
}
