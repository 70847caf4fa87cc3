/* SPDX-License-Identifier: ISC */
#include "view_search.h"

#include "rect.h"
#include "search.h"
#include "setup.h"
#include "view_change.h"
#include "view_items.h"
#include "view_state.h"
#include "layout.h"

static int search_rows(const struct cw_view *view) { return cw_search_shown(&view->layout); }

/* The answer's split becomes the setup's; the rest of it is what the answer was found for. */
static void take_over(struct cw_view *view, int row)
{
    const struct cw_search *search = &view->search;
    if (row >= search->count) {
        return;
    }
    const struct cw_setup wanted = search->found[row].rounded;
    for (int id = 0; id < CW_PARAMS; id++) {
        if (cw_param_info[id].group == CW_GROUP_SPLIT) {
            cw_view_set_at_once(view, cw_port_of_param(search->which, id), wanted.value[id]);
        }
    }
    cw_view_turn_to(view, search->which);
}

/* Returns whether the place lies in the list. */
bool cw_view_search_press(struct cw_view *view, const struct cw_event *event)
{
    struct cw_search *search = &view->search;
    if (!search->open || !cw_rect_has(cw_search_box(&view->layout), event->x, event->y)) {
        return false;
    }
    int row = 0;
    switch (event->button == 1 ? cw_search_at(search, &view->layout, event->x, event->y, &row) : CW_SEARCH_NONE) {
    case CW_SEARCH_LOWER: cw_search_ask(search, search->percent - (event->fine ? 1 : 5)); break;
    case CW_SEARCH_HIGHER: cw_search_ask(search, search->percent + (event->fine ? 1 : 5)); break;
    case CW_SEARCH_CLOSE: search->open = false; break;
    case CW_SEARCH_ROW:
        search->row = row;
        take_over(view, row);
        break;
    case CW_SEARCH_NONE:
    default: break;
    }
    cw_view_redraw_all(view);
    return true;
}

bool cw_view_search_follow(struct cw_view *view, const struct cw_event *event)
{
    struct cw_search *search = &view->search;
    if (!search->open || !cw_rect_has(cw_search_box(&view->layout), event->x, event->y)) {
        return false;
    }
    int row = search->row;
    view->hover = cw_no_ref;
    view->crosshair = false;
    if (cw_search_at(search, &view->layout, event->x, event->y, &row) == CW_SEARCH_ROW && row != search->row) {
        search->row = row;
    }
    cw_view_redraw_all(view);
    return true;
}

bool cw_view_search_wheel(struct cw_view *view, const struct cw_event *event)
{
    if (!view->search.open || !cw_rect_has(cw_search_box(&view->layout), event->x, event->y)) {
        return false;
    }
    cw_search_move(&view->search, -event->wheel, search_rows(view));
    cw_view_redraw_all(view);
    return true;
}

bool cw_view_search_key(struct cw_view *view, const struct cw_event *event)
{
    struct cw_search *search = &view->search;
    int by = event->fine ? 1 : 5;
    switch (search->open ? event->key : CW_KEY_TEXT) {
    case CW_KEY_UP: cw_search_move(search, -1, search_rows(view)); return true;
    case CW_KEY_DOWN: cw_search_move(search, 1, search_rows(view)); return true;
    case CW_KEY_LEFT: cw_search_ask(search, search->percent - by); return true;
    case CW_KEY_RIGHT: cw_search_ask(search, search->percent + by); return true;
    case CW_KEY_ENTER: take_over(view, search->row); return true;
    case CW_KEY_ESCAPE: search->open = false; return true;
    default: return false;
    }
}
