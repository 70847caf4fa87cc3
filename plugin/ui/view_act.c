/* SPDX-License-Identifier: ISC */
#include "view_act.h"

#include "acts.h"
#include "blind.h"
#include "layout.h"
#include "setup.h"
#include "view_blind.h"
#include "view_change.h"
#include "view_edit.h"
#include "view_items.h"
#include "view_menu.h"
#include "view_state.h"
#include "model.h"
#include "pages.h"

void cw_view_activate(struct cw_view *view, struct cw_ref what)
{
    switch (what.kind) {
    case CW_ITEM_LISTEN: cw_view_listen(view, what.id); break;
    case CW_ITEM_SPLIT: cw_view_toggle_split(view, (enum cw_which)what.id); break;
    case CW_ITEM_TOGGLE: cw_view_toggle(view, what.id); break;
    case CW_ITEM_WORDS:
    case CW_ITEM_SLIDER:
    case CW_ITEM_CABLE: cw_view_edit(view, what, ""); break;
    case CW_ITEM_LIST: cw_view_open_menu(view, what); break;
    case CW_ITEM_VIEW:
        view->kind = (enum cw_view_kind)what.id;
        view->plot_stale = true;
        cw_view_redraw(view, CW_REGION_VIEWS);
        cw_view_redraw(view, CW_REGION_PLOT);
        break;
    case CW_ITEM_ACTION: cw_view_act(view, what.id); break;
    case CW_ITEM_TAB: cw_view_turn_to(view, (enum cw_which)what.id); break;
    case CW_ITEM_PAGE:
        view->wanted = view->page = what.id;
        cw_view_lay_out(view);
        break;
    case CW_ITEM_LARGE:
        view->large = !view->large;
        view->search.open = false;
        cw_view_lay_out(view);
        break;
    case CW_ITEM_LINK:
        view->unlinked = !view->unlinked;
        cw_view_follow(view);
        cw_view_redraw_all(view);
        break;
    case CW_ITEM_BLIND: cw_view_blind_press(view, (enum cw_blind_button)what.id); break;
    case CW_ITEM_FIGURE:
    case CW_ITEM_NONE:
    default: break;
    }
}

bool cw_view_step_item(struct cw_view *view, struct cw_ref what, int steps, bool fine)
{
    if (cw_view_has_port(what.kind)) {
        cw_view_attend(view, what);
        view->small_step = cw_view_slides(what.kind);
        cw_view_step(view, what.id, steps, fine);
    } else if (what.kind == CW_ITEM_LISTEN) {
        cw_view_step(view, cw_port_of_global(CW_G_LISTEN), steps, false);
        cw_view_follow(view);
        view->focus.id =
            view->focus.kind == CW_ITEM_LISTEN ? (int)view->model.controls.global[CW_G_LISTEN] : view->focus.id;
    } else if (what.kind == CW_ITEM_SPLIT) {
        const struct cw_setup *setup = &view->model.controls.setup[what.id];
        bool on = cw_split_acts(setup);
        if (on != (steps > 0)) {
            cw_view_toggle_split(view, (enum cw_which)what.id);
        }
    } else {
        return false;
    }
    return true;
}
