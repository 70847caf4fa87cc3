/* SPDX-License-Identifier: ISC */
#include "draw.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "acts.h"
#include "blind.h"
#include "constants.h"
#include "control.h"
#include "draw_search.h"
#include "draw_words.h"
#include "figure_words.h"
#include "figures.h"
#include "hint.h"
#include "history.h"
#include "ink.h"
#include "layout.h"
#include "model.h"
#include "numbers.h"
#include "pages.h"
#include "plot.h"
#include "rect.h"
#include "seal_mark.h"
#include "seals.h"
#include "setup.h"
#include "view_menu.h"
#include "words.h"
#include "view_state.h"

/* One drawing. */
struct page {
    struct cw_ink ink;
    struct cw_view *view;
    double scale;
};

static bool is(struct cw_ref ref, const struct cw_item *item) { return ref.kind == item->kind && ref.id == item->id; }

static void ground(struct page *page, const struct cw_item *item, double radius)
{
    bool hover = is(page->view->hover, item) || is(page->view->drag.what, item);
    cw_ink_colour(&page->ink, hover ? CW_INK_HOVER : CW_INK_PANEL);
    cw_ink_box(&page->ink, item->box, radius);
}

static void focus_ring(struct page *page, const struct cw_item *item, double radius)
{
    if (page->view->keys && is(page->view->focus, item)) {
        cw_ink_colour(&page->ink, CW_INK_FOCUS);
        cw_ink_edge(&page->ink, item->box, radius, 2.0);
    }
}

/* What is being typed, in a box that ends at x + w and grows to the left. */
static void draw_edit(struct page *page, double x, double y, double w)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_view *view = page->view;
    cw_ink_font(ink, 12, false);
    double wide = fmax(cw_ink_width(ink, view->edit.text) + 12, w + 4);
    struct cw_rect box = {fmax(x + w + 4 - wide, 2), y - 13, wide, 18};
    cw_ink_colour(ink, view->edit.fresh ? CW_INK_FOCUS : CW_INK_BRIGHT);
    cw_ink_box(ink, box, 3);
    cw_ink_colour(ink, view->edit.why[0] ? CW_INK_WRONG : CW_INK_FOCUS);
    cw_ink_edge(ink, box, 3, 2);
    cw_ink_colour(ink, CW_INK_DARK);
    cw_ink_text(ink, box.x + 5, y, wide - 10, CW_LEFT, view->edit.text);
    double caret = box.x + 5.5 + cw_ink_width(ink, view->edit.text);
    cairo_rectangle(ink->cr, caret, y - 10, 1, 12);
    cairo_fill(ink->cr);
}

/* --- the listening row --- */

/* What it is called, or what is being typed for that; without a name, what is to be known of it. */
static void draw_called(struct page *page, const struct cw_item *item, const char *name, const char *below)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_rect b = item->box;
    if (is(page->view->edit.what, item)) {
        draw_edit(page, b.x + 8, b.y + 44, b.w - 20);
        return;
    }
    cw_ink_font(ink, 11, name[0] != '\0');
    const char *hz = strstr(below, ", "); /* alone where room is short: the cable's length stands further down too */
    if (hz && cw_ink_width(ink, below) > b.w - 14) {
        below = hz + 2;
    }
    cw_ink_text(ink, b.x + 10, b.y + 44, b.w - 14, CW_LEFT, name[0] ? name : below);
}

/* The recording's line, beside what stands below the title; where that is a name, beside the title itself. */
static void draw_input_swatch(struct cw_ink *ink, struct cw_rect b, bool named)
{
    const double from = named ? 10 + cw_ink_width(ink, "As recorded") + 8 : 66;
    const double wide = fmin(b.w - from - 12, 60);
    if (wide > 14) {
        cw_plot_swatch(ink->cr, cw_model_style(CW_REC), true, b.x + from, b.y + (named ? 18.5 : 40), wide, 1);
    }
}

static void draw_listen(struct page *page, const struct cw_item *item)
{
    static const enum cw_which setup[] = {CW_REC, CW_A, CW_B};
    static const char *const key[] = {"R", "A", "B"};
    struct cw_ink *ink = &page->ink;
    const struct cw_view *view = page->view;
    struct cw_rect b = item->box;
    bool chosen = (int)view->model.controls.global[CW_G_LISTEN] == item->id;
    /* Switched off, the plugin passes the input on, whatever is chosen. */
    bool on = chosen && view->model.controls.global[CW_G_ENABLED] > 0.0;
    char below[64];
    if (on) {
        cw_ink_setup(ink, setup[item->id]);
        cw_ink_box(ink, b, 6);
    } else {
        ground(page, item, 6);
    }
    if (chosen && !on) {
        cw_ink_setup(ink, setup[item->id]);
        cw_ink_edge(ink, b, 6, 2);
    }
    cw_ink_colour(ink, on ? CW_INK_DARK : CW_INK_TEXT);
    cw_ink_font(ink, b.w < 124 ? 12.5 : 15, true);
    cw_ink_text(ink, b.x + 10, b.y + 24, b.w - 14, CW_LEFT,
                item->id == CW_LISTEN_RECORDED ? "As recorded" : key[item->id]);
    if (item->id == CW_LISTEN_RECORDED) {
        /* Switched off, the input is what is heard. */
        bool heard = on || view->model.controls.global[CW_G_ENABLED] <= 0.0;
        snprintf(below, sizeof below, "%s", heard ? "heard now" : "the input");
        if (!heard) {
            draw_input_swatch(ink, b, view->names.text[CW_REC][0] != '\0');
        }
    } else {
        const struct cw_setup *s = &view->model.controls.setup[setup[item->id]];
        char hz[24];
        cw_print_resonance(view->model.figures[setup[item->id]].value[CW_M_RESONANCE], hz, sizeof hz);
        snprintf(below, sizeof below, "%.3g m, %s", s->value[CW_P_CABLE_LENGTH], hz);
        double x = b.x + 32, wide = fmin(b.w - 44, 60);
        if (chosen) {
            cw_ink_font(ink, 11, false);
            cw_ink_text(ink, x, b.y + 23, b.w - 36, CW_LEFT, on ? "heard now" : b.w < 124 ? "off" : "switched off");
        } else {
            cw_plot_swatch(ink->cr, cw_model_style(setup[item->id]), true, x, b.y + 18.5, wide, 1);
        }
    }
    draw_called(page, item, view->names.text[setup[item->id]], below);
    focus_ring(page, item, 6);
}

static void draw_tick(struct page *page, const struct cw_item *item, const char *label, bool on)
{
    struct cw_rect b = item->box;
    ground(page, item, 4);
    cw_ink_tick(&page->ink, b.x + 6, b.y + b.h / 2 - 6.5, 13, on);
    cw_ink_colour(&page->ink, CW_INK_TEXT);
    cw_ink_font(&page->ink, 12, false);
    cw_ink_text(&page->ink, b.x + 24, b.y + b.h / 2 + 4.3, b.w - 25, CW_LEFT, label);
    focus_ring(page, item, 4);
}

/* What is left of the level stands on the button, beside the thumb that flicks it. */
static void draw_split(struct page *page, const struct cw_item *item)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_model *model = &page->view->model;
    struct cw_rect b = item->box;
    const char *label = item->id == CW_A ? "Split A" : "Split B";
    draw_tick(page, item, label, model->path[item->id].split);
    if (!model->path[item->id].split) {
        return;
    }
    char percent[16], db[24], text[48];
    double level = model->figures[item->id].value[CW_M_LEVEL];
    cw_words_share(100.0 * pow(10.0, level / 20.0), percent, sizeof percent);
    cw_words_db(level, db, sizeof db);
    snprintf(text, sizeof text, "%s, %s", percent, db);
    cw_ink_font(ink, 12, false);
    double room = b.w - 24 - cw_ink_width(ink, label) - 12;
    cw_ink_font(ink, 11, false);
    const char *shown = cw_ink_width(ink, text) <= room ? text : percent;
    if (cw_ink_width(ink, shown) <= room) {
        cw_ink_colour(ink, CW_INK_FADED);
        cw_ink_text(ink, b.x + b.w - 6 - room, b.y + b.h / 2 + 4, room, CW_RIGHT, shown);
    }
}

static void draw_toggle(struct page *page, const struct cw_item *item)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_model *model = &page->view->model;
    const bool on = cw_model_value(model, item->id) > 0.0;
    draw_tick(page, item, cw_control_info(item->id)->name, on);
    if (on && item->id == cw_port_of_global(CW_G_LEVEL_MATCH)) {
        const char *by = model->match_by == CW_MATCH_BY_PLAYED ? "by playing" : "assumed";
        const double room = item->box.w - 30 - cw_ink_width(ink, cw_control_info(item->id)->name) - 10;
        cw_ink_font(ink, 11, false);
        if (cw_ink_width(ink, by) <= room) {
            cw_ink_colour(ink, CW_INK_FADED);
            cw_ink_text(ink, item->box.x + item->box.w - 6 - room, item->box.y + item->box.h / 2 + 4, room, CW_RIGHT,
                        by);
        }
    }
}

/* --- sliders and lists --- */

static void draw_bar(struct page *page, const struct cw_item *item, double y)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_param_info *info = cw_control_info(item->id);
    double share = cw_control_share(info, cw_model_value(&page->view->model, item->id));
    double x = item->track.x, w = item->track.w, preset = x + w * cw_control_share(info, info->preset);
    cw_ink_colour(ink, CW_INK_LINE);
    cw_ink_box(ink, (struct cw_rect){x - 2, y - 2, w + 4, 4}, 2);
    cairo_rectangle(ink->cr, preset - 0.75, y - 6, 1.5, 12);
    cairo_fill(ink->cr);
    cw_ink_colour(ink, CW_INK_FADED);
    cw_ink_box(ink, (struct cw_rect){x - 2, y - 2, w * share + 4, 4}, 2);
    struct cw_rect thumb = {x + w * share - 4, y - 7, 8, 14};
    cw_ink_colour(ink, ink->idle ? CW_INK_PANEL : CW_INK_BRIGHT);
    cw_ink_box(ink, thumb, 3);
    if (ink->idle) { /* told without colour too */
        cw_ink_colour(ink, CW_INK_BRIGHT);
        cw_ink_edge(ink, thumb, 3, 1.2);
    }
}

/* The value, or what is being typed in its place. */
static void draw_value(struct page *page, const struct cw_item *item, double x, double y, double w)
{
    struct cw_ink *ink = &page->ink;
    char text[80];
    if (is(page->view->edit.what, item)) {
        draw_edit(page, x, y, w);
        return;
    }
    cw_ink_font(ink, 12, false);
    cw_ink_colour(ink, CW_INK_TEXT);
    cw_control_print(cw_control_info(item->id), cw_model_value(&page->view->model, item->id), text, sizeof text);
    cw_ink_text(ink, x, y, w, CW_RIGHT, text);
}

/* On one line: name, slider, value. */
static void draw_trim(struct page *page, const struct cw_item *item)
{
    struct cw_rect b = item->box;
    double y = b.y + b.h / 2;
    ground(page, item, 4);
    cw_ink_colour(&page->ink, CW_INK_TEXT);
    cw_ink_font(&page->ink, 12, false);
    cw_ink_text(&page->ink, b.x + 8, y + 4.3, 34, CW_LEFT, cw_control_info(item->id)->name);
    draw_bar(page, item, y);
    draw_value(page, item, b.x + b.w - 56, y + 4.3, 50);
    focus_ring(page, item, 4);
}

/* A word is abbreviated where room is short; the foot of the window has it in full. */
static void draw_name(struct page *page, const struct cw_item *item)
{
    static const char lengthy[] = "Calibration ";
    struct cw_rect b = item->box;
    char name[64];
    snprintf(name, sizeof name, "%s", cw_control_info(item->id)->name);
    cw_ink_colour(&page->ink, CW_INK_FADED);
    cw_ink_font(&page->ink, 11, false);
    if (b.w < 165 && strncmp(name, lengthy, strlen(lengthy)) == 0) {
        snprintf(name, sizeof name, "Cal. %s", cw_control_info(item->id)->name + strlen(lengthy));
    }
    cw_ink_text(&page->ink, b.x + 8, b.y + 13, b.w - 11, CW_LEFT, name);
}

static void draw_slider(struct page *page, const struct cw_item *item)
{
    struct cw_rect b = item->box;
    double y = b.y + b.h - 11;
    ground(page, item, 4);
    draw_name(page, item);
    draw_bar(page, item, y);
    draw_value(page, item, b.x + b.w - 70, y + 4.3, 62);
    focus_ring(page, item, 4);
}

static void draw_list(struct page *page, const struct cw_item *item)
{
    struct cw_ink *ink = &page->ink;
    struct cw_rect b = item->box;
    double y = b.y + b.h - 11, x = b.x + b.w - 16;
    char text[80];
    ground(page, item, 4);
    draw_name(page, item);
    cw_control_print(cw_control_info(item->id), cw_model_value(&page->view->model, item->id), text, sizeof text);
    cw_ink_colour(ink, CW_INK_TEXT);
    cw_ink_font(ink, 12, false);
    cw_ink_text(ink, b.x + 8, y + 4.3, b.w - 30, CW_LEFT, text);
    cairo_set_line_width(ink->cr, 1.6);
    cairo_move_to(ink->cr, x - 4, y - 2);
    cairo_line_to(ink->cr, x, y + 2);
    cairo_line_to(ink->cr, x + 4, y - 2);
    cairo_stroke(ink->cr);
    focus_ring(page, item, 4);
}

/* --- the figures --- */

/* More turns than the former holds: marked without colour too. */
static void draw_figure(struct page *page, struct cw_rect box, double base, enum cw_which which, int row)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_figures *figures = &page->view->model.figures[which];
    bool full = row == CW_ROW_FILL && figures->value[CW_M_FILL] > 100.0;
    char text[40];
    cw_words_figure(&page->view->model.controls.setup[which], figures, (enum cw_figure_row)row, text, sizeof text);
    cw_ink_font(ink, page->view->layout.figure_height < 15.5 ? 11 : 12, full);
    cw_ink_colour(ink, full ? CW_INK_WRONG : CW_INK_TEXT);
    cw_ink_text(ink, box.x, base, box.w, CW_RIGHT, text);
    if (full) {
        double x = box.x + box.w - cw_ink_width(ink, text) - 5;
        cairo_move_to(ink->cr, x, base);
        cairo_line_to(ink->cr, x - 8, base);
        cairo_line_to(ink->cr, x - 4, base - 8);
        cairo_close_path(ink->cr);
        cairo_fill(ink->cr);
    }
}

/* As many digits of the fingerprint as there is room for; a change is told without colour too. */
static void draw_standing(struct page *page, struct cw_rect box, double base, enum cw_which which)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_seals *seals = &page->view->model.seals;
    const bool off = seals->standing[which] == CW_SEAL_CHANGED || seals->standing[which] == CW_SEAL_UNREAD;
    char text[40];
    cw_ink_font(ink, page->view->layout.figure_height < 15.5 ? 11 : 12, off);
    for (int digits = 8; digits >= 4; digits -= 2) {
        cw_seals_words(seals, which, digits, text, sizeof text);
        if (cw_ink_width(ink, text) <= box.w) {
            break;
        }
    }
    cw_ink_colour(ink, off ? CW_INK_WRONG : CW_INK_TEXT);
    cw_ink_text(ink, box.x, base, box.w, CW_RIGHT, text);
}

static double figure_label_width(const struct page *page)
{
    return 0.33 * page->view->layout.region[CW_REGION_READOUTS].w;
}

static struct cw_rect figure_column(const struct page *page, int which)
{
    struct cw_rect r = page->view->layout.region[CW_REGION_READOUTS];
    double label = figure_label_width(page), w = (r.w - label) / CW_SETUPS;
    return (struct cw_rect){r.x + label + w * which, r.y, w - 4, r.h};
}

static void draw_figure_row(struct page *page, const struct cw_item *item)
{
    struct cw_ink *ink = &page->ink;
    struct cw_rect b = item->box;
    double base = b.y + 0.5 * b.h + 4;
    if (is(page->view->hover, item)) {
        cw_ink_colour(ink, CW_INK_PANEL);
        cw_ink_box(ink, b, 3);
    }
    cw_ink_font(ink, b.h < 15.5 ? 10.5 : 11.5, false);
    cw_ink_colour(ink, CW_INK_FADED);
    cw_ink_text(ink, b.x + 4, base, figure_label_width(page) - 4, CW_LEFT,
                item->id == CW_SEAL_ROW ? "Seal" : cw_figure_row_name[item->id]);
    for (int which = 0; which < CW_SETUPS; which++) {
        if (item->id == CW_SEAL_ROW) {
            draw_standing(page, figure_column(page, which), base, (enum cw_which)which);
        } else {
            draw_figure(page, figure_column(page, which), base, (enum cw_which)which, item->id);
        }
    }
}

/* What B changes, at a few frequencies: to be read out to someone who reads no curves. */
static void draw_against(struct page *page)
{
    static const double hz[] = {200, 1000, 2000, 4000, 8000};
    enum { COLUMNS = sizeof hz / sizeof hz[0] };
    struct cw_ink *ink = &page->ink;
    const struct cw_model *model = &page->view->model;
    struct cw_rect r = page->view->layout.against;
    char text[64];
    if (r.h <= 0.0) {
        return;
    }
    cw_ink_colour(ink, CW_INK_LINE);
    cairo_rectangle(ink->cr, r.x, r.y, r.w, 1);
    cairo_fill(ink->cr);
    cw_ink_font(ink, 11, true);
    cw_ink_setup(ink, CW_B);
    cw_ink_text(ink, r.x + 4, r.y + 17, 100, CW_LEFT, "B against A");
    if (cw_words_resonance_of_b(model, text, sizeof text)) {
        cw_ink_font(ink, 11.5, false);
        cw_ink_colour(ink, CW_INK_TEXT);
        cw_ink_text(ink, r.x + 104, r.y + 17, r.w - 108, CW_RIGHT, text);
    }
    for (int i = 0; i < COLUMNS && r.h > 30.0; i++) {
        double w = r.w / COLUMNS, x = r.x + w * i;
        cw_ink_font(ink, 11, false);
        cw_ink_colour(ink, CW_INK_FADED);
        snprintf(text, sizeof text, hz[i] < 1000 ? "%.0f Hz" : "%.0f kHz", hz[i] < 1000 ? hz[i] : hz[i] / 1000);
        cw_ink_text(ink, x, r.y + 36, w - 4, CW_RIGHT, text);
        cw_words_level_of_b(model, hz[i], text, sizeof text);
        cw_ink_colour(ink, CW_INK_TEXT);
        cw_ink_text(ink, x, r.y + 53, w - 4, CW_RIGHT, text);
    }
}

static void draw_readouts(struct page *page)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_layout *layout = &page->view->layout;
    double base = layout->region[CW_REGION_READOUTS].y + 0.5 * layout->figure_height + 4;
    cw_ink_font(ink, 11, true);
    for (int which = 0; which < CW_SETUPS; which++) {
        struct cw_rect column = figure_column(page, which);
        cw_ink_setup(ink, (enum cw_which)which);
        cw_ink_text(ink, column.x, base, column.w, CW_RIGHT, cw_model_short[which]);
    }
    draw_against(page);
}

/* --- tabs and buttons --- */

static void draw_tab(struct page *page, const struct cw_item *item, const char *label, bool on)
{
    struct cw_ink *ink = &page->ink;
    struct cw_rect b = item->box, inner = {b.x + 1, b.y, b.w - 2, b.h};
    bool hover = is(page->view->hover, item);
    cw_ink_colour(ink, on ? CW_INK_BRIGHT : hover ? CW_INK_HOVER : CW_INK_PANEL);
    cw_ink_box(ink, inner, 4);
    cw_ink_colour(ink, on ? CW_INK_DARK : CW_INK_TEXT);
    cw_ink_font(ink, 12, false);
    cw_ink_text(ink, b.x + 4, b.y + b.h / 2 + 4.3, b.w - 8, CW_CENTRE, label);
    focus_ring(page, item, 4);
}

/* The tab of a setup is marked with its line. */
static void draw_setup_tab(struct page *page, const struct cw_item *item)
{
    struct cw_rect b = item->box;
    bool on = (int)page->view->shown == item->id;
    draw_tab(page, item, cw_model_short[item->id], on);
    if (!on) {
        cw_plot_swatch(page->ink.cr, cw_model_style((enum cw_which)item->id), true, b.x + 8, b.y + b.h - 3.5, b.w - 16,
                       0.8);
    }
}

/* Two links of a chain, joined or apart; in words where there is room. */
static void draw_link(struct page *page, const struct cw_item *item)
{
    struct cw_ink *ink = &page->ink;
    struct cw_rect b = item->box;
    bool linked = !page->view->unlinked;
    double y = b.y + b.h / 2, x = b.x + (b.w < 60 ? b.w / 2 : 14), apart = linked ? 3.6 : 6.6;
    ground(page, item, 4);
    cw_ink_colour(ink, linked ? CW_INK_BRIGHT : CW_INK_FADED);
    for (int side = -1; side <= 1; side += 2) {
        cw_ink_edge(ink, (struct cw_rect){x + side * apart - 5.5, y - 4, 11, 8}, 3.9, 1.7);
    }
    if (b.w >= 60) {
        cw_ink_font(ink, 12, false);
        cw_ink_text(ink, b.x + 30, y + 4.3, b.w - 32, CW_LEFT, linked ? "Edit what I hear" : "Edit apart");
    }
    focus_ring(page, item, 4);
}

static const char *const blind_label[CW_BLIND_BUTTONS] = {[CW_BLIND_BEGIN] = "Blind",
                                                          [CW_BLIND_8] = "8 trials",
                                                          [CW_BLIND_12] = "12 trials",
                                                          [CW_BLIND_16] = "16 trials",
                                                          [CW_BLIND_24] = "24 trials",
                                                          [CW_BLIND_OPEN] = "Until I stop",
                                                          [CW_BLIND_X] = "X",
                                                          [CW_BLIND_Y] = "Y",
                                                          [CW_BLIND_PREFER_X] = "X is better",
                                                          [CW_BLIND_PREFER_Y] = "Y is better",
                                                          [CW_BLIND_END] = "End"};

/* What is heard is marked by its letter alone. */
static void draw_blind_button(struct page *page, const struct cw_item *item)
{
    const struct cw_blind *blind = &page->view->blind;
    const bool x = item->id == CW_BLIND_X, letter = x || item->id == CW_BLIND_Y;
    const enum cw_listen behind = x == blind->x_is_b ? CW_LISTEN_B : CW_LISTEN_A;
    page->ink.idle = !cw_blind_can(blind, (enum cw_blind_button)item->id);
    draw_tab(page, item, blind_label[item->id], letter && blind->state == CW_BLIND_TRIAL && blind->listen == behind);
}

/* The words above the buttons; nothing in the window tells A from B. */
static void draw_blind(struct page *page)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_rect r = page->view->layout.region[CW_REGION_PLOT];
    const struct cw_blind *blind = &page->view->blind;
    char first[200], second[200] = "A and B stand behind X and Y, drawn anew for each trial, at one level.";
    if (blind->state == CW_BLIND_DONE) {
        cw_blind_result(blind, first, second, sizeof first);
    } else if (blind->state == CW_BLIND_SETTING_OUT) {
        snprintf(first, sizeof first, "A blind choice: which of the two is better? First, how many trials?");
    } else {
        cw_blind_progress(blind, first, sizeof first);
        if (blind->spoilt > 0) {
            snprintf(second, sizeof second,
                     "The host changed what is compared: %d trial%s spoilt, drawn anew, not counted.", blind->spoilt,
                     blind->spoilt == 1 ? "" : "s");
        }
    }
    const double y = r.y + 0.5 * r.h - 120;
    cw_ink_colour(ink, CW_INK_TEXT);
    cw_ink_font(ink, 15, true);
    cw_ink_text(ink, r.x + 20, y, r.w - 40, CW_CENTRE, first);
    cw_ink_font(ink, 12, false);
    cw_ink_text(ink, r.x + 20, y + 24, r.w - 40, CW_CENTRE, second);
    cw_ink_colour(ink, CW_INK_FADED);
    cw_ink_text(ink, r.x + 20, r.y + r.h - 20, r.w - 40, CW_CENTRE,
                "The host's own sliders and meters still tell which is heard: close them.");
}

static void draw_words(struct page *page, const struct cw_item *item)
{
    ground(page, item, 4);
    cw_draw_words(&page->ink, page->view, item);
    focus_ring(page, item, 4);
}

static void draw_item(struct page *page, const struct cw_item *item)
{
    static const char *const view_name[CW_VIEWS] = {"Level", "Against recording", "B against A"};
    static const char *const action_name[CW_ACTIONS] = {"Copy A to B", "Swap A and B", "A to recorded",
                                                        "Undo",        "Redo",         "Find a split"};
    const struct cw_history *history = &page->view->history;
    bool has_port = item->kind == CW_ITEM_TOGGLE || item->kind == CW_ITEM_SLIDER || item->kind == CW_ITEM_LIST;
    bool ended = item->kind == CW_ITEM_ACTION && ((item->id == CW_ACTION_UNDO && !cw_history_last(history)) ||
                                                  (item->id == CW_ACTION_REDO && !cw_history_next(history)));
    page->ink.idle = ended || (has_port && cw_control_idle(&page->view->model.controls, item->id) != CW_ACTS);
    switch (item->kind) {
    case CW_ITEM_LISTEN: draw_listen(page, item); break;
    case CW_ITEM_SPLIT: draw_split(page, item); break;
    case CW_ITEM_TOGGLE: draw_toggle(page, item); break;
    case CW_ITEM_SLIDER: (item->region == CW_REGION_LISTEN ? draw_trim : draw_slider)(page, item); break;
    case CW_ITEM_LIST: draw_list(page, item); break;
    case CW_ITEM_VIEW: draw_tab(page, item, view_name[item->id], (int)page->view->kind == item->id); break;
    case CW_ITEM_ACTION: draw_tab(page, item, action_name[item->id], false); break;
    case CW_ITEM_TAB: draw_setup_tab(page, item); break;
    case CW_ITEM_PAGE:
        draw_tab(page, item, item->id == CW_JOB_PAGE ? "Job" : cw_page_name[item->id], page->view->page == item->id);
        break;
    case CW_ITEM_WORDS: draw_words(page, item); break;
    case CW_ITEM_LINK: draw_link(page, item); break;
    case CW_ITEM_LARGE: draw_tab(page, item, page->view->large ? "All of it" : "Large", false); break;
    case CW_ITEM_BLIND: draw_blind_button(page, item); break;
    case CW_ITEM_FIGURE: draw_figure_row(page, item); break;
    case CW_ITEM_CABLE:
    case CW_ITEM_NONE:
    default: break;
    }
    page->ink.idle = false;
}

/* --- the cables --- */

static void draw_scale(struct page *page, struct cw_rect track, double y)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_param_info *info = &cw_param_info[CW_P_CABLE_LENGTH];
    cw_ink_font(ink, 9.5, false);
    for (double m = info->minimum; m <= info->maximum; m += 5) {
        double x = track.x + track.w * cw_control_share(info, m);
        char text[16];
        snprintf(text, sizeof text, m >= info->maximum ? "%.0f m" : "%.0f", m);
        cw_ink_colour(ink, CW_INK_FADED);
        cw_ink_text(ink, x - 20, y, 40, CW_CENTRE, text);
    }
}

/* A plug at each end, a line between them that goes on, faintly, to the longest cable there is. */
static void draw_line_and_plugs(struct cw_ink *ink, enum cw_which which, struct cw_rect t, double y, double end)
{
    cw_ink_colour(ink, CW_INK_LINE);
    cairo_set_line_width(ink->cr, 1);
    cairo_move_to(ink->cr, end, y);
    cairo_line_to(ink->cr, t.x + t.w, y);
    cairo_stroke(ink->cr);
    cw_ink_setup(ink, which);
    cw_ink_box(ink, (struct cw_rect){t.x - 16, y - 5, 14, 10}, 2);
    cairo_set_line_width(ink->cr, 5);
    cairo_set_line_cap(ink->cr, CAIRO_LINE_CAP_ROUND);
    cairo_move_to(ink->cr, t.x, y);
    cairo_line_to(ink->cr, end, y);
    cairo_stroke(ink->cr);
    cw_ink_colour(ink, CW_INK_BRIGHT);
    cw_ink_box(ink, (struct cw_rect){end - 4, y - 7, 14, 14}, 3);
    cw_ink_colour(ink, CW_INK_DARK);
    cairo_set_line_cap(ink->cr, CAIRO_LINE_CAP_BUTT);
    cairo_set_line_width(ink->cr, 1);
    for (int i = 0; i < 3; i++) {
        cairo_move_to(ink->cr, floor(end) + 0.5 + 3 * i, y - 4);
        cairo_line_to(ink->cr, floor(end) + 0.5 + 3 * i, y + 4);
    }
    cairo_stroke(ink->cr);
}

static void draw_cable(struct page *page, const struct cw_item *item)
{
    struct cw_ink *ink = &page->ink;
    const struct cw_view *view = page->view;
    enum cw_which which = item->id == cw_port_of_param(CW_A, CW_P_CABLE_LENGTH) ? CW_A : CW_B;
    struct cw_rect b = item->box, t = item->track;
    double y = b.y + 24.5,
           end = t.x + t.w * cw_control_share(cw_control_info(item->id), cw_model_value(&view->model, item->id));
    char words[400];
    ground(page, item, 4);
    cw_ink_colour(ink, CW_INK_TEXT);
    cw_ink_font(ink, 11, true);
    cw_ink_text(ink, b.x + 8, b.y + 13, 52, CW_LEFT, which == CW_A ? "Cable A" : "Cable B");
    cw_ink_font(ink, 11, false);
    if (is(view->edit.what, item)) {
        draw_value(page, item, b.x + 70, b.y + 14, 90);
    } else {
        for (int detail = CW_FULL; detail >= CW_BRIEF; detail--) { /* as much as there is room for */
            cw_words_cable(&view->model.controls.setup[which], &view->model.figures[which],
                           &view->model.path[which].no_cable, (enum cw_detail)detail, words, sizeof words);
            if (cw_ink_width(ink, words) <= b.w - 68) {
                break;
            }
        }
        char *bare = strchr(words, ';');
        if (bare && cw_ink_width(ink, words) > b.w - 68) { /* in the large view: without what it would be without */
            *bare = '\0';
        }
        cw_ink_text(ink, b.x + 62, b.y + 13, b.w - 68, CW_LEFT, words);
    }
    draw_scale(page, t, b.y + 41);
    draw_line_and_plugs(ink, which, t, y, end);
    focus_ring(page, item, 4);
}

/* --- plot, foot, menu --- */

static void draw_plot(struct page *page)
{
    struct cw_view *view = page->view;
    struct cw_rect r = view->layout.region[CW_REGION_PLOT];
    cairo_t *cr = page->ink.cr;
    /* The drawing routine scales its own text and lines. */
    view->plot.bare = r.h < 240;
    cairo_save(cr);
    cairo_translate(cr, r.x, r.y);
    cairo_scale(cr, 1.0 / page->scale, 1.0 / page->scale);
    cw_plot_draw(cr, &view->plot, r.w * page->scale, r.h * page->scale, page->scale, &view->frame);
    cairo_restore(cr);
    view->frame.x /= page->scale;
    view->frame.y /= page->scale;
    view->frame.width /= page->scale;
    view->frame.height /= page->scale;
}

static void draw_hint(struct page *page)
{
    struct cw_ink *ink = &page->ink;
    struct cw_rect r = page->view->layout.region[CW_REGION_HINT];
    struct cw_hint hint;
    cw_hint_of(page->view, &hint);
    cw_ink_colour(ink, CW_INK_PANEL);
    cairo_rectangle(ink->cr, r.x, r.y, r.w, r.h);
    cairo_fill(ink->cr);
    double x = r.x + 10;
    if (hint.name[0]) {
        cw_ink_font(ink, 11, true);
        cw_ink_colour(ink, CW_INK_TEXT);
        cw_ink_text(ink, x, r.y + 15, r.w - 20, CW_LEFT, hint.name);
        x += cw_ink_width(ink, hint.name) + 10;
    }
    cw_ink_font(ink, 11, false);
    cw_ink_colour(ink, hint.trouble ? CW_INK_WRONG : CW_INK_TEXT);
    cw_ink_text(ink, x, r.y + 15, r.w - 10 - x, CW_LEFT, hint.meaning);
    cw_ink_colour(ink, CW_INK_FADED);
    cw_ink_text(ink, r.x + 10, r.y + 31, r.w - 20, CW_LEFT, hint.keys);
}

static void draw_menu(struct page *page)
{
    struct cw_ink *ink = &page->ink;
    struct cw_rect box;
    const struct cw_param_info *info;
    if (!cw_view_menu(page->view, &box, &info)) {
        return;
    }
    double value = cw_model_value(&page->view->model, page->view->menu.what.id);
    cw_ink_colour(ink, CW_INK_BACK);
    cw_ink_box(ink, box, 5);
    cw_ink_colour(ink, CW_INK_FADED);
    cw_ink_edge(ink, box, 5, 1);
    cw_ink_font(ink, 12, false);
    for (size_t i = 0; i < info->point_count; i++) {
        struct cw_rect row = {box.x + 4, box.y + 4 + CW_MENU_ROW * (double)i, box.w - 8, CW_MENU_ROW};
        bool here = (int)i == page->view->menu.row;
        if (here) {
            cw_ink_colour(ink, CW_INK_BRIGHT);
            cw_ink_box(ink, row, 3);
        }
        cw_ink_colour(ink, here ? CW_INK_DARK : CW_INK_TEXT);
        if (info->points[i].value == value) {
            cairo_arc(ink->cr, row.x + 9, row.y + CW_MENU_ROW / 2, 3, 0, CW_TAU);
            cairo_fill(ink->cr);
        }
        cw_ink_text(ink, row.x + 18, row.y + 15.5, row.w - 22, CW_LEFT, info->points[i].label);
    }
}

static void draw_region(struct page *page, enum cw_region region)
{
    struct cw_rect r = page->view->layout.region[region];
    cairo_t *cr = page->ink.cr;
    if (r.w <= 0.0) { /* none of it while a blind choice is on */
        return;
    }
    cairo_save(cr);
    cairo_rectangle(cr, r.x, r.y, r.w, r.h);
    cairo_clip(cr);
    cw_ink_colour(&page->ink, CW_INK_BACK);
    cairo_paint(cr);
    if (region == CW_REGION_PLOT && page->view->blind.state != CW_BLIND_OFF) {
        draw_blind(page);
    } else if (region == CW_REGION_PLOT) {
        draw_plot(page);
    } else if (region == CW_REGION_HINT) {
        draw_hint(page);
    } else if (region == CW_REGION_READOUTS) {
        draw_readouts(page);
    }
    for (int i = 0; i < page->view->layout.count; i++) {
        const struct cw_item *item = &page->view->layout.item[i];
        if (item->region == region && item->kind == CW_ITEM_CABLE) {
            draw_cable(page, item);
        } else if (item->region == region) {
            draw_item(page, item);
        }
    }
    cairo_restore(cr);
}

/* Text of the same width at every scale. */
static void set_font_options(cairo_t *cr)
{
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_set_font_options(cr, options);
    cairo_font_options_destroy(options);
}

int cw_draw(cairo_t *cr, struct cw_view *view, double scale, unsigned regions)
{
    struct page page = {.ink = {.cr = cr}, .view = view, .scale = scale * view->zoom};
    cairo_save(cr);
    cairo_scale(cr, page.scale, page.scale);
    set_font_options(cr);
    if ((regions & CW_DIRTY_ALL) == CW_DIRTY_ALL) {
        cw_ink_colour(&page.ink, CW_INK_BACK);
        cairo_paint(cr);
    }
    for (int region = 0; region < CW_REGIONS; region++) {
        if (regions & 1u << region && view->layout.region[region].h > 0.0) {
            draw_region(&page, (enum cw_region)region);
        }
    }
    cw_draw_search(&page.ink, view);
    draw_menu(&page);
    cairo_restore(cr);
    return page.ink.shortened;
}
