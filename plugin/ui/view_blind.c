/* SPDX-License-Identifier: ISC */
#include "view_blind.h"

#include <string.h>

#include "blind.h"
#include "layout.h"
#include "model.h"
#include "setup.h"
#include "view_items.h"
#include "view_state.h"

/* Of no step that can be taken back. */
static void put(struct cw_view *view, enum cw_global_id id, double value)
{
    const int port = cw_port_of_global(id);
    view->host.touch(view->host.data, port, true);
    if (cw_model_set(&view->model, port, value)) {
        view->host.write(view->host.data, port, (float)cw_model_value(&view->model, port));
    }
    view->host.touch(view->host.data, port, false);
}

void cw_view_blind_hold(struct cw_view *view)
{
    const bool on = view->blind.state != CW_BLIND_OFF;
    view->blind_held = view->model.now;
    put(view, CW_G_LISTEN, on ? (double)view->blind.listen : view->before_blind[CW_G_LISTEN]);
    put(view, CW_G_LEVEL_MATCH, on ? 1.0 : view->before_blind[CW_G_LEVEL_MATCH]);
    put(view, CW_G_ENABLED, on ? 1.0 : view->before_blind[CW_G_ENABLED]);
}

/* Hosts tell the window its own values again, some of them late. */
static const double ECHO_SECONDS = 0.5;

static bool is_held(int port)
{
    return port == cw_port_of_global(CW_G_LISTEN) || port == cw_port_of_global(CW_G_LEVEL_MATCH) ||
           port == cw_port_of_global(CW_G_ENABLED);
}

void cw_view_blind_guard(struct cw_view *view, int port)
{
    if (view->blind.state == CW_BLIND_OFF) {
        return;
    }
    const bool echo = is_held(port) && view->model.now - view->blind_held < ECHO_SECONDS;
    if (!echo && cw_blind_spoil(&view->blind)) {
        cw_view_lay_out(view);
    }
    if (is_held(port)) {
        cw_view_blind_hold(view);
    }
}

bool cw_view_blind_press(struct cw_view *view, enum cw_blind_button button)
{
    if (button == CW_BLIND_BEGIN && view->blind.state == CW_BLIND_OFF) {
        memcpy(view->before_blind, view->model.controls.global, sizeof view->before_blind);
    }
    if (!cw_blind_press(&view->blind, button)) {
        return false;
    }
    cw_view_blind_hold(view);
    view->search.open = false;
    view->plot_stale = true;
    cw_view_lay_out(view);
    if (!cw_view_item(view, view->focus)) {
        view->focus = cw_ref_of(&view->layout.item[0]);
    }
    return true;
}

void cw_view_drawn(struct cw_view *view, bool heads)
{
    cw_blind_draw(&view->blind, heads);
    cw_view_redraw_all(view);
}

/* Letters that would tell, or change what is compared, do nothing. */
bool cw_view_blind_key(struct cw_view *view, const char *text)
{
    switch (text[0]) {
    case 'x':
    case 'X': return cw_view_blind_press(view, CW_BLIND_X);
    case 'y':
    case 'Y': return cw_view_blind_press(view, CW_BLIND_Y);
    case ' ':
        return view->focus.kind == CW_ITEM_BLIND && cw_view_blind_press(view, (enum cw_blind_button)view->focus.id);
    default: return false;
    }
}
