/* SPDX-License-Identifier: ISC */
#include "view_change.h"

#include "acts.h"
#include "control.h"
#include "history.h"
#include "model.h"
#include "names.h"
#include "pages.h"
#include "search.h"
#include "seals.h"
#include "setup.h"
#include "view_items.h"
#include "view_state.h"
#include "layout.h"

void cw_view_show(struct cw_view *view, enum cw_which which)
{
    view->shown = which;
    view->page = cw_view_has_page(view, view->wanted) ? view->wanted : view->page;
    cw_view_lay_out(view);
}

/* What is heard is what is edited, but where they were unlinked. A recording heard as it is shows what it was made
 * through; that is edited while A or B is heard, since there alone it is heard. */
void cw_view_follow(struct cw_view *view)
{
    static const enum cw_which setup[] = {[CW_LISTEN_RECORDED] = CW_REC, [CW_LISTEN_A] = CW_A, [CW_LISTEN_B] = CW_B};
    if (!view->unlinked && !view->drag.what.kind && !view->edit.what.kind) {
        cw_view_show(view, setup[(int)view->model.controls.global[CW_G_LISTEN]]);
    }
}

/* Whether taking a change back takes this one back: not what only says which of them is heard. */
static bool is_remembered(int port)
{
    return port != cw_port_of_global(CW_G_LISTEN) && port != cw_port_of_global(CW_G_ENABLED);
}

void cw_view_set(struct cw_view *view, int port, double value)
{
    double before = cw_model_value(&view->model, port);
    if (cw_model_set(&view->model, port, value)) {
        double after = cw_model_value(&view->model, port);
        view->host.write(view->host.data, port, (float)after);
        if (is_remembered(port)) {
            cw_history_note(&view->history, port, before, after);
        }
        view->plot_stale = true;
        cw_view_lay_out(view);
    }
}

void cw_view_set_at_once(struct cw_view *view, int port, double value)
{
    view->host.touch(view->host.data, port, true);
    cw_view_set(view, port, value);
    view->host.touch(view->host.data, port, false);
}

void cw_view_step(struct cw_view *view, int port, int steps, bool fine)
{
    cw_view_set_at_once(view, port,
                        cw_control_step(cw_control_info(port), cw_model_value(&view->model, port), steps, fine));
}

void cw_view_listen(struct cw_view *view, int listen)
{
    cw_view_set_at_once(view, cw_port_of_global(CW_G_LISTEN), listen);
    cw_view_follow(view);
}

void cw_view_turn_to(struct cw_view *view, enum cw_which which)
{
    cw_view_show(view, which);
    if (!view->unlinked && which != CW_REC) {
        cw_view_set_at_once(view, cw_port_of_global(CW_G_LISTEN), which == CW_A ? CW_LISTEN_A : CW_LISTEN_B);
    }
}

void cw_view_attend(struct cw_view *view, struct cw_ref what)
{
    struct cw_control control;
    if (!view->unlinked && cw_view_has_port(what.kind) && cw_control_of(what.id, &control) && !control.global &&
        control.which != view->shown) {
        cw_view_turn_to(view, control.which);
    }
}

void cw_view_toggle(struct cw_view *view, int port)
{
    cw_view_set_at_once(view, port, cw_model_value(&view->model, port) > 0.0 ? 0.0 : 1.0);
}

/* A split that is to be heard needs two coils in series: they come with it. */
void cw_view_toggle_split(struct cw_view *view, enum cw_which which)
{
    const struct cw_setup *setup = &view->model.controls.setup[which];
    int split = cw_port_of_param(which, CW_P_SPLIT), coils = cw_port_of_param(which, CW_P_COILS);
    bool on = cw_split_acts(setup);
    view->wanted = on ? view->wanted : CW_PAGE_SPLIT;
    cw_view_turn_to(view, which);
    if (!on) {
        cw_view_set_at_once(view, coils, CW_COILS_SERIES);
    }
    cw_view_set_at_once(view, split, on ? 0.0 : 1.0);
}

static void copy_setup(struct cw_view *view, const struct cw_setup *from, enum cw_which to)
{
    for (int id = 0; id < CW_PARAMS; id++) {
        int port = cw_port_of_param(to, id);
        if (cw_model_value(&view->model, port) != from->value[id]) {
            cw_view_set_at_once(view, port, from->value[id]);
        }
    }
}

/* What goes with the controls of a step, there or back. */
static void carry_along(struct cw_view *view, const struct cw_step *step, bool back)
{
    /* What was typed last before a swap was typed of the name where it stood then. */
    if (step->swaps && back) {
        cw_names_swap(&view->names);
    }
    if (step->text.any) {
        cw_names_set(&view->names, step->text.which, back ? step->text.before : step->text.after);
        cw_view_redraw_all(view);
    }
    if (step->swaps && !back) {
        cw_names_swap(&view->names);
    }
    if (step->sealed) {
        cw_seals_take(&view->model.seals, back ? &step->before : &step->after, false);
        cw_view_lay_out(view);
    }
}

static void take_back(struct cw_view *view)
{
    const struct cw_step *step = cw_history_undo(&view->history);
    if (step) {
        carry_along(view, step, true);
    }
    for (int i = step ? step->count - 1 : -1; i >= 0; i--) {
        cw_view_set_at_once(view, step->change[i].port, (double)step->change[i].before);
    }
}

static void do_again(struct cw_view *view)
{
    const struct cw_step *step = cw_history_redo(&view->history);
    if (step) {
        carry_along(view, step, false);
    }
    for (int i = 0; step && i < step->count; i++) {
        cw_view_set_at_once(view, step->change[i].port, (double)step->change[i].after);
    }
}

void cw_view_act(struct cw_view *view, int action)
{
    const struct cw_setup a = view->model.controls.setup[CW_A], b = view->model.controls.setup[CW_B];
    struct cw_seals *seals = &view->model.seals;
    const struct cw_seal_texts before = seals->text;
    switch (action) {
    case CW_ACTION_COPY:
        copy_setup(view, &a, CW_B);
        cw_seals_copy(seals, CW_A, CW_B);
        break;
    case CW_ACTION_SWAP:
        copy_setup(view, &a, CW_B);
        copy_setup(view, &b, CW_A);
        cw_seals_swap(seals);
        break;
    case CW_ACTION_RECORD:
        copy_setup(view, &a, CW_REC);
        cw_seals_copy(seals, CW_A, CW_REC);
        break;
    case CW_ACTION_UNDO: take_back(view); return;
    case CW_ACTION_REDO: do_again(view); return;
    case CW_ACTION_FIND: cw_search_open(&view->search, view->shown); break;
    default: break;
    }
    cw_history_seals(&view->history, &before, &seals->text);
    if (action == CW_ACTION_SWAP) {
        cw_names_swap(&view->names);
        cw_history_swap(&view->history);
    }
    cw_view_lay_out(view);
}
