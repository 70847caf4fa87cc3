/* SPDX-License-Identifier: ISC */
#include "view_menu.h"

#include "control.h"
#include "layout.h"
#include "model.h"
#include "rect.h"
#include "setup.h"
#include "view_change.h"
#include "view_items.h"
#include "view_state.h"

bool cw_view_menu(const struct cw_view *view, struct cw_rect *box, const struct cw_param_info **info)
{
    const struct cw_item *item = view->menu.what.kind ? cw_view_item(view, view->menu.what) : NULL;
    if (!item) {
        return false;
    }
    *info = cw_control_info(item->id);
    *box = cw_layout_menu(&view->layout, item, (int)(*info)->point_count, 150.0);
    return true;
}

void cw_view_open_menu(struct cw_view *view, struct cw_ref what)
{
    view->menu.what = what;
    view->menu.row = cw_control_point(cw_control_info(what.id), cw_model_value(&view->model, what.id));
    cw_view_redraw_all(view);
}

void cw_view_close_menu(struct cw_view *view)
{
    view->menu.what = cw_no_ref;
    cw_view_redraw_all(view);
}

int cw_view_menu_row(const struct cw_view *view, double x, double y)
{
    struct cw_rect box;
    const struct cw_param_info *info;
    if (!cw_view_menu(view, &box, &info) || !cw_rect_has(box, x, y)) {
        return -1;
    }
    int row = (int)((y - box.y - 4) / CW_MENU_ROW);
    return row < 0 ? 0 : row >= (int)info->point_count ? (int)info->point_count - 1 : row;
}

void cw_view_choose(struct cw_view *view, int row)
{
    int port = view->menu.what.id;
    view->menu.what = cw_no_ref;
    if (row >= 0) {
        cw_view_set_at_once(view, port, cw_control_info(port)->points[row].value);
    }
    cw_view_redraw_all(view);
}

bool cw_view_menu_key(struct cw_view *view, const struct cw_event *event)
{
    int last = (int)cw_control_info(view->menu.what.id)->point_count - 1, *row = &view->menu.row;
    switch (event->key) {
    case CW_KEY_UP:
    case CW_KEY_LEFT: *row = *row > 0 ? *row - 1 : 0; break;
    case CW_KEY_DOWN:
    case CW_KEY_RIGHT: *row = *row < last ? *row + 1 : last; break;
    case CW_KEY_HOME:
    case CW_KEY_PAGE_UP: *row = 0; break;
    case CW_KEY_END:
    case CW_KEY_PAGE_DOWN: *row = last; break;
    case CW_KEY_ENTER: cw_view_choose(view, *row); break;
    case CW_KEY_TEXT:
        if (event->text[0] == ' ') {
            cw_view_choose(view, *row);
        }
        break;
    default: cw_view_close_menu(view); break;
    }
    cw_view_redraw_all(view);
    return true;
}
