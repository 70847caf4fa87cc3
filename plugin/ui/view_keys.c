/* SPDX-License-Identifier: ISC */
#include "view_keys.h"

#include <string.h>

#include "control.h"
#include "layout.h"
#include "setup.h"
#include "view_act.h"
#include "view_blind.h"
#include "view_change.h"
#include "view_edit.h"
#include "view_items.h"
#include "view_menu.h"
#include "view_search.h"
#include "view_state.h"
#include "blind.h"
#include "model.h"

static void move_focus(struct cw_view *view, int by)
{
    int at = cw_layout_find(&view->layout, view->focus.kind, view->focus.id), count = view->layout.count;
    at = at < 0 && by < 0 ? 0 : at;
    do {
        at = (at + by + count) % count;
    } while (view->layout.item[at].kind == CW_ITEM_FIGURE);
    view->focus = cw_ref_of(&view->layout.item[at]);
    view->keys = true;
    cw_view_redraw_all(view);
}

static bool letter(struct cw_view *view, char c)
{
    switch (c) {
    case 'r':
    case 'R': cw_view_listen(view, CW_LISTEN_RECORDED); return true;
    case 'a':
    case 'A': cw_view_listen(view, CW_LISTEN_A); return true;
    case 'b':
    case 'B': cw_view_listen(view, CW_LISTEN_B); return true;
    case 'x':
    case 'X':
        cw_view_listen(view, view->model.controls.global[CW_G_LISTEN] == CW_LISTEN_A ? CW_LISTEN_B : CW_LISTEN_A);
        return true;
    case 's':
    case 'S': cw_view_toggle_split(view, view->shown); return true;
    case 'm':
    case 'M': cw_view_toggle(view, cw_port_of_global(CW_G_LEVEL_MATCH)); return true;
    case 'u':
    case 'U': cw_view_toggle(view, cw_port_of_global(CW_G_UNDO_RECORDING)); return true;
    case 'n':
    case 'N':
        cw_view_edit(view, (struct cw_ref){CW_ITEM_LISTEN, (int)view->model.controls.global[CW_G_LISTEN]}, "");
        return true;
    case 'l':
    case 'L': cw_view_activate(view, (struct cw_ref){CW_ITEM_LARGE, 0}); return true;
    case 'v':
    case 'V': cw_view_activate(view, (struct cw_ref){CW_ITEM_VIEW, ((int)view->kind + 1) % CW_VIEWS}); return true;
    default: return false;
    }
}

static bool text_key(struct cw_view *view, const char *text)
{
    if (view->blind.state != CW_BLIND_OFF) {
        return cw_view_blind_key(view, text);
    }
    if (cw_view_slides(view->focus.kind) && cw_view_item(view, view->focus) && strchr("0123456789.,-+", text[0])) {
        cw_view_edit(view, view->focus, text);
        return true;
    }
    if (text[0] == ' ') {
        cw_view_activate(view, view->focus);
        return true;
    }
    return letter(view, text[0]);
}

/* To an end of the range, or to the default. */
static bool jump(struct cw_view *view, enum cw_key key)
{
    if (!cw_view_has_port(view->focus.kind)) {
        return false;
    }
    const struct cw_param_info *info = cw_control_info(view->focus.id);
    cw_view_attend(view, view->focus);
    double to = key == CW_KEY_HOME ? info->minimum : key == CW_KEY_END ? info->maximum : info->preset;
    cw_view_set_at_once(view, view->focus.id, to);
    return true;
}

static bool plain_key(struct cw_view *view, const struct cw_event *event)
{
    switch (event->key) {
    case CW_KEY_TEXT: return text_key(view, event->text);
    case CW_KEY_LEFT:
    case CW_KEY_DOWN: return cw_view_step_item(view, view->focus, -1, event->fine);
    case CW_KEY_RIGHT:
    case CW_KEY_UP: return cw_view_step_item(view, view->focus, 1, event->fine);
    case CW_KEY_PAGE_DOWN: return cw_view_step_item(view, view->focus, -10, event->fine);
    case CW_KEY_PAGE_UP: return cw_view_step_item(view, view->focus, 10, event->fine);
    case CW_KEY_HOME:
    case CW_KEY_END:
    case CW_KEY_DELETE:
    case CW_KEY_BACKSPACE: return jump(view, event->key);
    case CW_KEY_ENTER: cw_view_activate(view, view->focus); return true;
    default: return false;
    }
}

static bool step_in_time(struct cw_view *view, enum cw_key key)
{
    if (key != CW_KEY_UNDO && key != CW_KEY_REDO) {
        return false;
    }
    if (view->edit.what.kind) {
        cw_view_end_edit(view);
    } else if (view->menu.what.kind) {
        cw_view_close_menu(view);
    } else if (!view->drag.what.kind) {
        cw_view_act(view, key == CW_KEY_UNDO ? CW_ACTION_UNDO : CW_ACTION_REDO);
    }
    return true;
}

bool cw_view_key(struct cw_view *view, const struct cw_event *event)
{
    bool moves = event->key == CW_KEY_TAB || event->key == CW_KEY_BACK_TAB;
    view->keys = true;
    view->pointed = false;
    cw_view_redraw_all(view);
    if (view->blind.state == CW_BLIND_OFF && step_in_time(view, event->key)) {
        return true;
    }
    if (view->edit.what.kind && !moves) {
        return cw_view_edit_key(view, event);
    }
    if (view->menu.what.kind) {
        return cw_view_menu_key(view, event);
    }
    if (view->edit.what.kind && !cw_view_take_edit(view)) {
        return true;
    }
    if (cw_view_search_key(view, event)) {
        return true;
    }
    if (moves) {
        move_focus(view, event->key == CW_KEY_TAB ? 1 : -1);
        return true;
    }
    return (cw_view_item(view, view->focus) || event->key == CW_KEY_TEXT) && plain_key(view, event);
}
