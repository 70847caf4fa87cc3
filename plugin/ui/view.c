/* SPDX-License-Identifier: ISC */
#include "view.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "acts.h"
#include "pages.h"
#include "plot_model.h"
#include "quantity.h"
#include "rect.h"
#include "search.h"
#include "setup.h"
#include "usual.h"

static const struct cw_ref nothing = {CW_ITEM_NONE, 0};
static const uint32_t double_click_ms = 400;

bool cw_ref_same(struct cw_ref a, struct cw_ref b) { return a.kind == b.kind && a.id == b.id; }

static struct cw_ref ref_of(const struct cw_item *item)
{
    return item ? (struct cw_ref){item->kind, item->id} : nothing;
}

static const struct cw_item *item_of(const struct cw_view *view, struct cw_ref ref)
{
    int at = cw_layout_find(&view->layout, ref.kind, ref.id);
    return at < 0 ? NULL : &view->layout.item[at];
}

/* Items whose value runs from end to end. */
static bool slides(enum cw_item_kind kind) { return kind == CW_ITEM_SLIDER || kind == CW_ITEM_CABLE; }

static bool has_port(enum cw_item_kind kind) { return slides(kind) || kind == CW_ITEM_TOGGLE || kind == CW_ITEM_LIST; }

static void redraw(struct cw_view *view, enum cw_region region) { view->dirty |= 1u << region; }

static void redraw_all(struct cw_view *view) { view->dirty = CW_DIRTY_ALL; }

/* After a change of what applies. */
static void lay_out(struct cw_view *view)
{
    if (!cw_page_applies(view->page, &view->model.controls.setup[view->shown])) {
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
    if (!item_of(view, view->menu.what)) {
        view->menu.what = nothing;
    }
    if (!item_of(view, view->edit.what)) {
        view->edit.what = nothing;
    }
    redraw_all(view);
}

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
    lay_out(view);
}

static void show_setup(struct cw_view *view, enum cw_which which)
{
    view->shown = which;
    view->page = cw_page_applies(view->wanted, &view->model.controls.setup[which]) ? view->wanted : view->page;
    lay_out(view);
}

/* What is heard is what is edited, but where they were unlinked. A recording heard as it is shows what it was made
 * through; that is edited while A or B is heard, since there alone it is heard. */
static void follow_listening(struct cw_view *view)
{
    static const enum cw_which setup[] = {[CW_LISTEN_RECORDED] = CW_REC, [CW_LISTEN_A] = CW_A, [CW_LISTEN_B] = CW_B};
    if (!view->unlinked && !view->drag.what.kind && !view->edit.what.kind) {
        show_setup(view, setup[(int)view->model.controls.global[CW_G_LISTEN]]);
    }
}

static bool held(const struct cw_view *view, int port)
{
    return slides(view->drag.what.kind) && view->drag.what.id == port;
}

void cw_view_port(struct cw_view *view, int port, double value)
{
    if (cw_model_report(&view->model, port, value)) {
        redraw(view, CW_REGION_READOUTS);
        redraw(view, CW_REGION_LISTEN);
        redraw(view, CW_REGION_CABLE);
    } else if (!held(view, port) && cw_model_set(&view->model, port, value)) {
        view->plot_stale = true;
        lay_out(view);
        if (port == cw_port_of_global(CW_G_LISTEN)) {
            follow_listening(view);
        }
    }
}

/* Whether taking a change back takes this one back: not what only says which of them is heard. */
static bool is_remembered(int port)
{
    return port != cw_port_of_global(CW_G_LISTEN) && port != cw_port_of_global(CW_G_ENABLED);
}

/* A value that the user chose. */
static void set(struct cw_view *view, int port, double value)
{
    double before = cw_model_value(&view->model, port);
    if (cw_model_set(&view->model, port, value)) {
        double after = cw_model_value(&view->model, port);
        view->host.write(view->host.data, port, (float)after);
        if (is_remembered(port)) {
            cw_history_note(&view->history, port, before, after);
        }
        view->plot_stale = true;
        lay_out(view);
    }
}

/* The same, as a gesture of its own. */
static void set_at_once(struct cw_view *view, int port, double value)
{
    view->host.touch(view->host.data, port, true);
    set(view, port, value);
    view->host.touch(view->host.data, port, false);
}

static const struct cw_param_info *info_of(int port)
{
    struct cw_control control;
    return cw_control_of(port, &control) ? control.info : NULL;
}

static void step(struct cw_view *view, int port, int steps, bool fine)
{
    set_at_once(view, port, cw_control_step(info_of(port), cw_model_value(&view->model, port), steps, fine));
}

static void listen_to(struct cw_view *view, int listen)
{
    set_at_once(view, cw_port_of_global(CW_G_LISTEN), listen);
    follow_listening(view);
}

/* The controls of a setup are turned to: it is heard as well. */
static void edit_setup(struct cw_view *view, enum cw_which which)
{
    show_setup(view, which);
    if (!view->unlinked && which != CW_REC) {
        set_at_once(view, cw_port_of_global(CW_G_LISTEN), which == CW_A ? CW_LISTEN_A : CW_LISTEN_B);
    }
}

/* The same where an item outside the panel reaches a setup that is not shown. */
static void attend(struct cw_view *view, struct cw_ref what)
{
    struct cw_control control;
    if (!view->unlinked && has_port(what.kind) && cw_control_of(what.id, &control) && !control.global &&
        control.which != view->shown) {
        edit_setup(view, control.which);
    }
}

static void toggle(struct cw_view *view, int port)
{
    set_at_once(view, port, cw_model_value(&view->model, port) > 0.0 ? 0.0 : 1.0);
}

/* A split that is to be heard needs two coils in series: they come with it. */
static void toggle_split(struct cw_view *view, enum cw_which which)
{
    const struct cw_setup *setup = &view->model.controls.setup[which];
    int split = cw_port_of_param(which, CW_P_SPLIT), coils = cw_port_of_param(which, CW_P_COILS);
    bool on = cw_split_acts(setup);
    view->wanted = on ? view->wanted : CW_PAGE_SPLIT;
    edit_setup(view, which);
    if (!on) {
        set_at_once(view, coils, CW_COILS_SERIES);
    }
    set_at_once(view, split, on ? 0.0 : 1.0);
}

static void copy_setup(struct cw_view *view, const struct cw_setup *from, enum cw_which to)
{
    for (int id = 0; id < CW_PARAMS; id++) {
        int port = cw_port_of_param(to, id);
        if (cw_model_value(&view->model, port) != from->value[id]) {
            set_at_once(view, port, from->value[id]);
        }
    }
}

static void take_back(struct cw_view *view)
{
    const struct cw_step *step = cw_history_undo(&view->history);
    if (step && step->swaps) {
        cw_names_swap(&view->names);
    }
    for (int i = step ? step->count - 1 : -1; i >= 0; i--) {
        set_at_once(view, step->change[i].port, (double)step->change[i].before);
    }
}

static void do_again(struct cw_view *view)
{
    const struct cw_step *step = cw_history_redo(&view->history);
    if (step && step->swaps) {
        cw_names_swap(&view->names);
    }
    for (int i = 0; step && i < step->count; i++) {
        set_at_once(view, step->change[i].port, (double)step->change[i].after);
    }
}

static void act(struct cw_view *view, int action)
{
    const struct cw_setup a = view->model.controls.setup[CW_A], b = view->model.controls.setup[CW_B];
    switch (action) {
    case CW_ACTION_COPY: copy_setup(view, &a, CW_B); break;
    case CW_ACTION_SWAP:
        copy_setup(view, &a, CW_B);
        copy_setup(view, &b, CW_A);
        cw_names_swap(&view->names);
        cw_history_swap(&view->history);
        break;
    case CW_ACTION_RECORD: copy_setup(view, &a, CW_REC); break;
    case CW_ACTION_UNDO: take_back(view); break;
    case CW_ACTION_REDO: do_again(view); break;
    case CW_ACTION_FIND: cw_search_open(&view->search, view->shown); break;
    default: break;
    }
}

/* --- typing a value --- */

static void begin_edit(struct cw_view *view, struct cw_ref what, const char *first)
{
    attend(view, what);
    view->edit.what = what;
    view->edit.why[0] = '\0';
    view->edit.fresh = first[0] == '\0';
    if (what.kind == CW_ITEM_LISTEN) {
        snprintf(view->edit.text, sizeof view->edit.text, "%s", view->names.text[what.id]);
    } else if (view->edit.fresh) {
        cw_control_print(info_of(what.id), cw_model_value(&view->model, what.id), view->edit.text,
                         sizeof view->edit.text);
    } else {
        snprintf(view->edit.text, sizeof view->edit.text, "%s", first);
    }
    redraw_all(view);
}

static void end_edit(struct cw_view *view)
{
    view->edit.what = nothing;
    view->edit.why[0] = '\0';
    redraw_all(view);
}

/* Returns false where the text is no name: it stays, with what is wrong. */
static bool take_name(struct cw_view *view)
{
    const char *why =
        view->edit.fresh ? NULL : cw_names_set(&view->names, (enum cw_which)view->edit.what.id, view->edit.text);
    if (why) {
        snprintf(view->edit.why, sizeof view->edit.why, "%s", why);
        redraw_all(view);
        return false;
    }
    end_edit(view);
    return true;
}

/* Returns false where the text is no value: it stays, with what is wrong. */
static bool take_edit(struct cw_view *view)
{
    double value;
    int port = view->edit.what.id;
    if (view->edit.what.kind == CW_ITEM_LISTEN) {
        return take_name(view);
    }
    if (!view->edit.fresh) {
        if (!cw_value_parse(info_of(port), view->edit.text, &value, view->edit.why)) {
            redraw_all(view);
            return false;
        }
        set_at_once(view, port, value);
    }
    end_edit(view);
    return true;
}

static void type(struct cw_view *view, const char *text)
{
    if (view->edit.fresh) {
        view->edit.text[0] = '\0';
        view->edit.fresh = false;
    }
    if (strlen(view->edit.text) + strlen(text) < sizeof view->edit.text) {
        strcat(view->edit.text, text);
    }
    redraw_all(view);
}

static void delete_last(struct cw_view *view)
{
    size_t length = view->edit.fresh ? 0 : strlen(view->edit.text);
    while (length > 0 && ((unsigned char)view->edit.text[--length] & 0xc0) == 0x80) {
    }
    view->edit.text[length] = '\0';
    view->edit.fresh = false;
    redraw_all(view);
}

static bool edit_key(struct cw_view *view, const struct cw_event *event)
{
    switch (event->key) {
    case CW_KEY_TEXT: type(view, event->text); return true;
    case CW_KEY_BACKSPACE:
    case CW_KEY_DELETE: delete_last(view); return true;
    case CW_KEY_ENTER: take_edit(view); return true;
    case CW_KEY_ESCAPE: end_edit(view); return true;
    default: return false;
    }
}

/* --- the menu of a list --- */

bool cw_view_menu(const struct cw_view *view, struct cw_rect *box, const struct cw_param_info **info)
{
    const struct cw_item *item = view->menu.what.kind ? item_of(view, view->menu.what) : NULL;
    if (!item) {
        return false;
    }
    *info = info_of(item->id);
    *box = cw_layout_menu(&view->layout, item, (int)(*info)->point_count, 150.0);
    return true;
}

static void open_menu(struct cw_view *view, struct cw_ref what)
{
    view->menu.what = what;
    view->menu.row = cw_control_point(info_of(what.id), cw_model_value(&view->model, what.id));
    redraw_all(view);
}

static void close_menu(struct cw_view *view)
{
    view->menu.what = nothing;
    redraw_all(view);
}

static int menu_row_at(const struct cw_view *view, double x, double y)
{
    struct cw_rect box;
    const struct cw_param_info *info;
    if (!cw_view_menu(view, &box, &info) || !cw_rect_has(box, x, y)) {
        return -1;
    }
    int row = (int)((y - box.y - 4) / CW_MENU_ROW);
    return row < 0 ? 0 : row >= (int)info->point_count ? (int)info->point_count - 1 : row;
}

static void choose(struct cw_view *view, int row)
{
    int port = view->menu.what.id;
    view->menu.what = nothing;
    if (row >= 0) {
        set_at_once(view, port, info_of(port)->points[row].value);
    }
    redraw_all(view);
}

static bool menu_key(struct cw_view *view, const struct cw_event *event)
{
    int last = (int)info_of(view->menu.what.id)->point_count - 1, *row = &view->menu.row;
    switch (event->key) {
    case CW_KEY_UP:
    case CW_KEY_LEFT: *row = *row > 0 ? *row - 1 : 0; break;
    case CW_KEY_DOWN:
    case CW_KEY_RIGHT: *row = *row < last ? *row + 1 : last; break;
    case CW_KEY_HOME:
    case CW_KEY_PAGE_UP: *row = 0; break;
    case CW_KEY_END:
    case CW_KEY_PAGE_DOWN: *row = last; break;
    case CW_KEY_ENTER: choose(view, *row); break;
    case CW_KEY_TEXT:
        if (event->text[0] == ' ') {
            choose(view, *row);
        }
        break;
    default: close_menu(view); break;
    }
    redraw_all(view);
    return true;
}

/* --- the list of splits that were found --- */

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
            set_at_once(view, cw_port_of_param(search->which, id), wanted.value[id]);
        }
    }
    edit_setup(view, search->which);
}

/* Returns whether the place lies in the list. */
static bool search_press(struct cw_view *view, const struct cw_event *event)
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
    redraw_all(view);
    return true;
}

static bool search_follow(struct cw_view *view, const struct cw_event *event)
{
    struct cw_search *search = &view->search;
    if (!search->open || !cw_rect_has(cw_search_box(&view->layout), event->x, event->y)) {
        return false;
    }
    int row = search->row;
    view->hover = nothing;
    view->crosshair = false;
    if (cw_search_at(search, &view->layout, event->x, event->y, &row) == CW_SEARCH_ROW && row != search->row) {
        search->row = row;
    }
    redraw_all(view);
    return true;
}

static bool search_wheel(struct cw_view *view, const struct cw_event *event)
{
    if (!view->search.open || !cw_rect_has(cw_search_box(&view->layout), event->x, event->y)) {
        return false;
    }
    cw_search_move(&view->search, -event->wheel, search_rows(view));
    redraw_all(view);
    return true;
}

static bool search_key(struct cw_view *view, const struct cw_event *event)
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

/* --- the blind choice --- */

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

/* What a blind choice holds: levels alike, and one of three heard. Afterwards all is as it was. */
static void hold_for_blind(struct cw_view *view)
{
    const bool on = view->blind.state != CW_BLIND_OFF;
    put(view, CW_G_LISTEN, on ? (double)view->blind.listen : view->before_blind[CW_G_LISTEN]);
    put(view, CW_G_LEVEL_MATCH, on ? 1.0 : view->before_blind[CW_G_LEVEL_MATCH]);
    put(view, CW_G_ENABLED, on ? 1.0 : view->before_blind[CW_G_ENABLED]);
}

static bool press_blind(struct cw_view *view, enum cw_blind_button button)
{
    if (button == CW_BLIND_BEGIN && view->blind.state == CW_BLIND_OFF) {
        memcpy(view->before_blind, view->model.controls.global, sizeof view->before_blind);
    }
    if (!cw_blind_press(&view->blind, button)) {
        return false;
    }
    hold_for_blind(view);
    view->search.open = false;
    view->plot_stale = true;
    lay_out(view);
    if (!item_of(view, view->focus)) {
        view->focus = ref_of(&view->layout.item[0]);
    }
    return true;
}

void cw_view_drawn(struct cw_view *view, bool heads)
{
    cw_blind_draw(&view->blind, heads);
    redraw_all(view);
}

/* Letters that would tell, or change what is compared, do nothing. */
static bool blind_key(struct cw_view *view, const char *text)
{
    switch (text[0]) {
    case 'x':
    case 'X': return press_blind(view, CW_BLIND_X);
    case 'y':
    case 'Y': return press_blind(view, CW_BLIND_Y);
    case ' ': return view->focus.kind == CW_ITEM_BLIND && press_blind(view, (enum cw_blind_button)view->focus.id);
    default: return false;
    }
}

void cw_view_idle(struct cw_view *view)
{
    if (cw_search_step(&view->search, &view->model.controls)) {
        redraw_all(view);
    }
}

/* --- doing what an item does --- */

static void activate(struct cw_view *view, struct cw_ref what)
{
    switch (what.kind) {
    case CW_ITEM_LISTEN: listen_to(view, what.id); break;
    case CW_ITEM_SPLIT: toggle_split(view, (enum cw_which)what.id); break;
    case CW_ITEM_TOGGLE: toggle(view, what.id); break;
    case CW_ITEM_SLIDER:
    case CW_ITEM_CABLE: begin_edit(view, what, ""); break;
    case CW_ITEM_LIST: open_menu(view, what); break;
    case CW_ITEM_VIEW:
        view->kind = (enum cw_view_kind)what.id;
        view->plot_stale = true;
        redraw(view, CW_REGION_VIEWS);
        redraw(view, CW_REGION_PLOT);
        break;
    case CW_ITEM_ACTION: act(view, what.id); break;
    case CW_ITEM_TAB: edit_setup(view, (enum cw_which)what.id); break;
    case CW_ITEM_PAGE:
        view->wanted = view->page = (enum cw_page)what.id;
        lay_out(view);
        break;
    case CW_ITEM_LARGE:
        view->large = !view->large;
        view->search.open = false;
        lay_out(view);
        break;
    case CW_ITEM_LINK:
        view->unlinked = !view->unlinked;
        follow_listening(view);
        redraw_all(view);
        break;
    case CW_ITEM_BLIND: press_blind(view, (enum cw_blind_button)what.id); break;
    case CW_ITEM_FIGURE:
    case CW_ITEM_NONE:
    default: break;
    }
}

/* Steps of a wheel or an arrow key on an item. */
static bool step_item(struct cw_view *view, struct cw_ref what, int steps, bool fine)
{
    if (has_port(what.kind)) {
        attend(view, what);
        view->small_step = slides(what.kind);
        step(view, what.id, steps, fine);
    } else if (what.kind == CW_ITEM_LISTEN) {
        step(view, cw_port_of_global(CW_G_LISTEN), steps, false);
        follow_listening(view);
        view->focus.id =
            view->focus.kind == CW_ITEM_LISTEN ? (int)view->model.controls.global[CW_G_LISTEN] : view->focus.id;
    } else if (what.kind == CW_ITEM_SPLIT) {
        const struct cw_setup *setup = &view->model.controls.setup[what.id];
        bool on = cw_split_acts(setup);
        if (on != (steps > 0)) {
            toggle_split(view, (enum cw_which)what.id);
        }
    } else {
        return false;
    }
    return true;
}

/* --- the pointer --- */

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
    const struct cw_param_info *info = info_of(item->id);
    double value = cw_control_at(info, view->drag.share, fine);
    if (!fine) {
        cw_usual_near(info, view->drag.share, catch_px / travel_of(item), &value);
    }
    set(view, item->id, value);
}

static void begin_drag(struct cw_view *view, const struct cw_item *item, const struct cw_event *event)
{
    double share = cw_control_share(info_of(item->id), cw_model_value(&view->model, item->id));
    attend(view, ref_of(item));
    view->drag.what = ref_of(item);
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
    const struct cw_item *item = item_of(view, view->drag.what);
    if (!item || event->x == view->drag.x) {
        return;
    }
    view->drag.share += (event->x - view->drag.x) / travel_of(item) * (event->fine ? 0.1 : 1.0);
    view->drag.x = event->x;
    view->drag.moved = true;
    set_dragged(view, item, event->fine);
}

static void end_drag(struct cw_view *view)
{
    struct cw_ref what = view->drag.what;
    view->drag.what = nothing;
    view->host.touch(view->host.data, what.id, false);
    if (view->drag.on_value && !view->drag.moved) {
        begin_edit(view, what, "");
    }
    redraw_all(view);
}

static bool is_second_click(struct cw_view *view, const struct cw_item *item, const struct cw_event *event)
{
    bool second = cw_ref_same(view->click.what, ref_of(item)) && event->time - view->click.time < double_click_ms &&
                  fabs(event->x - view->click.x) < 4 && fabs(event->y - view->click.y) < 4;
    view->click.what = second ? nothing : ref_of(item);
    view->click.time = event->time;
    view->click.x = event->x;
    view->click.y = event->y;
    return second;
}

static bool press(struct cw_view *view, const struct cw_event *event)
{
    if (view->menu.what.kind) {
        choose(view, menu_row_at(view, event->x, event->y));
        return true;
    }
    const struct cw_item *item = cw_layout_at(&view->layout, event->x, event->y);
    bool second = is_second_click(view, item, event);
    if (view->edit.what.kind && (second || !take_edit(view))) {
        end_edit(view);
    }
    view->keys = false;
    redraw_all(view);
    if (search_press(view, event)) {
        return true;
    }
    if (!item || item->kind == CW_ITEM_FIGURE) {
        return false;
    }
    view->focus = ref_of(item);
    if ((slides(item->kind) || item->kind == CW_ITEM_LISTEN) && event->button == 3) {
        begin_edit(view, ref_of(item), "");
    } else if (slides(item->kind) && event->button == 1 && second) {
        set_at_once(view, item->id, info_of(item->id)->preset);
    } else if (slides(item->kind) && event->button == 1) {
        begin_drag(view, item, event);
    } else if (event->button == 1 || (event->button == 3 && item->kind == CW_ITEM_LIST)) {
        activate(view, ref_of(item));
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
        redraw(view, CW_REGION_PLOT);
        redraw(view, CW_REGION_HINT);
    }
    const struct cw_item *item = cw_layout_at(&view->layout, event->x, event->y);
    struct cw_ref hover = ref_of(item);
    if (!cw_ref_same(hover, view->hover)) {
        const struct cw_item *left = item_of(view, view->hover);
        view->hover = hover;
        view->pointed = true;
        if (left) {
            redraw(view, left->region);
        }
        if (item) {
            redraw(view, item->region);
        }
        redraw(view, CW_REGION_HINT);
    }
}

static bool move(struct cw_view *view, const struct cw_event *event)
{
    if (view->drag.what.kind) {
        go_on_dragging(view, event);
    } else if (view->menu.what.kind) {
        int row = menu_row_at(view, event->x, event->y);
        if (row >= 0 && row != view->menu.row) {
            view->menu.row = row;
            redraw_all(view);
        }
    } else if (!search_follow(view, event)) {
        follow(view, event);
    }
    return true;
}

static void leave(struct cw_view *view)
{
    if (view->crosshair) {
        view->crosshair = false;
        redraw(view, CW_REGION_PLOT);
        redraw(view, CW_REGION_HINT);
    }
    const struct cw_item *left = item_of(view, view->hover);
    view->hover = nothing;
    if (left) {
        redraw(view, left->region);
        redraw(view, CW_REGION_HINT);
    }
}

static bool wheel(struct cw_view *view, const struct cw_event *event)
{
    if (search_wheel(view, event)) {
        return true;
    }
    const struct cw_item *item = cw_layout_at(&view->layout, event->x, event->y);
    if (view->menu.what.kind || view->edit.what.kind || view->drag.what.kind || !item || item->kind == CW_ITEM_FIGURE) {
        return false;
    }
    if (!cw_ref_same(view->focus, ref_of(item))) {
        view->focus = ref_of(item);
        view->keys = false;
        redraw_all(view);
    }
    return step_item(view, view->focus, event->wheel, event->fine);
}

/* --- the keys --- */

static void move_focus(struct cw_view *view, int by)
{
    int at = cw_layout_find(&view->layout, view->focus.kind, view->focus.id), count = view->layout.count;
    at = at < 0 && by < 0 ? 0 : at;
    do {
        at = (at + by + count) % count;
    } while (view->layout.item[at].kind == CW_ITEM_FIGURE);
    view->focus = ref_of(&view->layout.item[at]);
    view->keys = true;
    redraw_all(view);
}

static bool letter(struct cw_view *view, char c)
{
    switch (c) {
    case 'r':
    case 'R': listen_to(view, CW_LISTEN_RECORDED); return true;
    case 'a':
    case 'A': listen_to(view, CW_LISTEN_A); return true;
    case 'b':
    case 'B': listen_to(view, CW_LISTEN_B); return true;
    case 'x':
    case 'X':
        listen_to(view, view->model.controls.global[CW_G_LISTEN] == CW_LISTEN_A ? CW_LISTEN_B : CW_LISTEN_A);
        return true;
    case 's':
    case 'S': toggle_split(view, view->shown); return true;
    case 'm':
    case 'M': toggle(view, cw_port_of_global(CW_G_LEVEL_MATCH)); return true;
    case 'u':
    case 'U': toggle(view, cw_port_of_global(CW_G_UNDO_RECORDING)); return true;
    case 'n':
    case 'N':
        begin_edit(view, (struct cw_ref){CW_ITEM_LISTEN, (int)view->model.controls.global[CW_G_LISTEN]}, "");
        return true;
    case 'l':
    case 'L': activate(view, (struct cw_ref){CW_ITEM_LARGE, 0}); return true;
    case 'v':
    case 'V': activate(view, (struct cw_ref){CW_ITEM_VIEW, ((int)view->kind + 1) % CW_VIEWS}); return true;
    default: return false;
    }
}

static bool text_key(struct cw_view *view, const char *text)
{
    if (view->blind.state != CW_BLIND_OFF) {
        return blind_key(view, text);
    }
    if (slides(view->focus.kind) && item_of(view, view->focus) && strchr("0123456789.,-+", text[0])) {
        begin_edit(view, view->focus, text);
        return true;
    }
    if (text[0] == ' ') {
        activate(view, view->focus);
        return true;
    }
    return letter(view, text[0]);
}

/* To an end of the range, or to the default. */
static bool jump(struct cw_view *view, enum cw_key key)
{
    if (!has_port(view->focus.kind)) {
        return false;
    }
    const struct cw_param_info *info = info_of(view->focus.id);
    attend(view, view->focus);
    double to = key == CW_KEY_HOME ? info->minimum : key == CW_KEY_END ? info->maximum : info->preset;
    set_at_once(view, view->focus.id, to);
    return true;
}

static bool plain_key(struct cw_view *view, const struct cw_event *event)
{
    switch (event->key) {
    case CW_KEY_TEXT: return text_key(view, event->text);
    case CW_KEY_LEFT:
    case CW_KEY_DOWN: return step_item(view, view->focus, -1, event->fine);
    case CW_KEY_RIGHT:
    case CW_KEY_UP: return step_item(view, view->focus, 1, event->fine);
    case CW_KEY_PAGE_DOWN: return step_item(view, view->focus, -10, event->fine);
    case CW_KEY_PAGE_UP: return step_item(view, view->focus, 10, event->fine);
    case CW_KEY_HOME:
    case CW_KEY_END:
    case CW_KEY_DELETE:
    case CW_KEY_BACKSPACE: return jump(view, event->key);
    case CW_KEY_ENTER: activate(view, view->focus); return true;
    default: return false;
    }
}

static bool step_in_time(struct cw_view *view, enum cw_key key)
{
    if (key != CW_KEY_UNDO && key != CW_KEY_REDO) {
        return false;
    }
    if (view->edit.what.kind) {
        end_edit(view);
    } else if (view->menu.what.kind) {
        close_menu(view);
    } else if (!view->drag.what.kind) {
        act(view, key == CW_KEY_UNDO ? CW_ACTION_UNDO : CW_ACTION_REDO);
    }
    return true;
}

static bool press_key(struct cw_view *view, const struct cw_event *event)
{
    bool moves = event->key == CW_KEY_TAB || event->key == CW_KEY_BACK_TAB;
    view->keys = true;
    view->pointed = false;
    redraw_all(view);
    if (view->blind.state == CW_BLIND_OFF && step_in_time(view, event->key)) {
        return true;
    }
    if (view->edit.what.kind && !moves) {
        return edit_key(view, event);
    }
    if (view->menu.what.kind) {
        return menu_key(view, event);
    }
    if (view->edit.what.kind && !take_edit(view)) {
        return true;
    }
    if (search_key(view, event)) {
        return true;
    }
    if (moves) {
        move_focus(view, event->key == CW_KEY_TAB ? 1 : -1);
        return true;
    }
    return (item_of(view, view->focus) || event->key == CW_KEY_TEXT) && plain_key(view, event);
}

static bool take_event(struct cw_view *view, const struct cw_event *event)
{
    switch (event->kind) {
    case CW_EVENT_PRESS: return press(view, event);
    case CW_EVENT_RELEASE:
        if (event->button == 1 && view->drag.what.kind) {
            end_drag(view);
        }
        return true;
    case CW_EVENT_MOVE: return move(view, event);
    case CW_EVENT_LEAVE: leave(view); return true;
    case CW_EVENT_WHEEL: return wheel(view, event);
    case CW_EVENT_KEY: return press_key(view, event);
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
        redraw(view, CW_REGION_PLOT);
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
        hold_for_blind(view);
    }
    if (view->drag.what.kind) {
        view->host.touch(view->host.data, view->drag.what.id, false);
        view->drag.what = nothing;
    }
}
