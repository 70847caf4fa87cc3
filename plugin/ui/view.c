/* SPDX-License-Identifier: ISC */
#include "view.h"

#include <string.h>

#include "blind.h"
#include "history.h"
#include "layout.h"
#include "model.h"
#include "plot_model.h"
#include "search.h"
#include "setup.h"
#include "view_blind.h"
#include "view_change.h"
#include "view_items.h"
#include "view_keys.h"
#include "view_pointer.h"

void cw_view_init(struct cw_view *view, const struct cw_view_host *host)
{
    memset(view, 0, sizeof *view);
    view->host = *host;
    cw_model_init(&view->model);
    view->shown = CW_A;
    view->focus = (struct cw_ref){CW_ITEM_LISTEN, CW_LISTEN_A};
    view->plot_stale = true;
    cw_view_size(view, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT);
}

void cw_view_size(struct cw_view *view, double width, double height)
{
    view->width = width;
    view->height = height;
    cw_view_lay_out(view);
}

static bool held(const struct cw_view *view, int port)
{
    return cw_view_slides(view->drag.what.kind) && view->drag.what.id == port;
}

void cw_view_port(struct cw_view *view, int port, double value)
{
    if (cw_model_report(&view->model, port, value)) {
        cw_view_redraw(view, CW_REGION_READOUTS);
        cw_view_redraw(view, CW_REGION_LISTEN);
        cw_view_redraw(view, CW_REGION_CABLE);
    } else if (!held(view, port) && cw_model_set(&view->model, port, value)) {
        view->plot_stale = true;
        cw_view_lay_out(view);
        cw_view_blind_guard(view, port);
        if (port == cw_port_of_global(CW_G_LISTEN)) {
            cw_view_follow(view);
        }
    }
}

void cw_view_idle(struct cw_view *view)
{
    if (cw_search_step(&view->search, &view->model.controls)) {
        cw_view_redraw_all(view);
    }
}

static bool take_event(struct cw_view *view, const struct cw_event *event)
{
    switch (event->kind) {
    case CW_EVENT_PRESS: return cw_view_press(view, event);
    case CW_EVENT_RELEASE:
        if (event->button == 1 && view->drag.what.kind) {
            cw_view_end_drag(view);
        }
        return true;
    case CW_EVENT_MOVE: return cw_view_move(view, event);
    case CW_EVENT_LEAVE: cw_view_leave(view); return true;
    case CW_EVENT_WHEEL: return cw_view_wheel(view, event);
    case CW_EVENT_KEY: return cw_view_key(view, event);
    default: return false;
    }
}

/* What one event changes is one step; a drag's go on until the button is let go. */
bool cw_view_event(struct cw_view *view, const struct cw_event *event)
{
    view->small_step = false;
    cw_history_begin(&view->history);
    struct cw_event placed = *event;
    placed.x /= view->zoom;
    placed.y /= view->zoom;
    bool meant = take_event(view, &placed);
    view->used |=
        meant && event->kind != CW_EVENT_MOVE && event->kind != CW_EVENT_LEAVE && event->kind != CW_EVENT_RELEASE;
    if (!view->drag.what.kind) {
        cw_history_end(&view->history, event->time, view->small_step);
    }
    return meant;
}

void cw_view_prepare(struct cw_view *view)
{
    cw_model_update(&view->model);
    if (view->plot_stale) {
        cw_model_plot(&view->model, view->kind, &view->plot);
        view->plot_stale = false;
        cw_view_redraw(view, CW_REGION_PLOT);
    }
    view->plot.ground = view->ground_shown ? &view->ground : NULL;
    view->plot.crosshair = view->crosshair && view->frame.width > 0.0;
    if (view->plot.crosshair) {
        view->plot.crosshair_hz = cw_plot_hz_at(&view->frame, view->crosshair_x);
    }
}

void cw_view_close(struct cw_view *view)
{
    if (view->blind.state != CW_BLIND_OFF) {
        view->blind.state = CW_BLIND_OFF;
        cw_view_blind_hold(view);
    }
    if (view->drag.what.kind) {
        view->host.touch(view->host.data, view->drag.what.id, false);
        view->drag.what = cw_no_ref;
    }
}
