/* SPDX-License-Identifier: ISC */
#include "control_chart.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>

#include "constants.h"
#include "numbers.h"
#include "page_font.h"
#include "plot.h"

static const double TITLE = 14.0, TEXT = 11.0, LEFT = 64.0, RIGHT = 150.0, DOT = 3.0;

/* A panel: where it stands, and which values its top and bottom are. */
struct panel {
    cairo_t *cr;
    const struct cw_control_chart *chart;
    double left, right, top, bottom, high, low;
    double label; /* height of the last name that was written at the right */
};

static double y_of(const struct panel *panel, double value)
{
    return panel->bottom - (value - panel->low) / (panel->high - panel->low) * (panel->bottom - panel->top);
}

static double x_of(const struct panel *panel, size_t at)
{
    return panel->left + ((double)at + 0.5) / (double)panel->chart->count * (panel->right - panel->left);
}

static void ink(cairo_t *cr, double grey) { cairo_set_source_rgb(cr, grey, grey, grey); }

static void write_text(cairo_t *cr, double x, double y, double size, bool bold, const char *text)
{
    char shown[CW_PAGE_TEXT];
    cw_page_font(cr, size, bold);
    cairo_move_to(cr, x, y);
    cairo_show_text(cr, cw_page_shown(text, shown));
    cairo_new_path(cr);
}

static void write_left_of(cairo_t *cr, double x, double y, const char *text)
{
    cairo_text_extents_t extents;
    cairo_set_font_size(cr, TEXT);
    cairo_text_extents(cr, text, &extents);
    write_text(cr, x - extents.x_advance, y, TEXT, false, text);
}

/* ---- levels ---- */

/* Lines across: their dashes say what they are, and a name at the right end does. */
struct level {
    double value;
    const char *name;
    double dash[2], width;
};

static void draw_level(struct panel *panel, const struct level *level)
{
    char text[64];
    double y = y_of(panel, level->value);
    if (!(y >= panel->top - 0.5 && y <= panel->bottom + 0.5)) {
        return;
    }
    cairo_set_line_width(panel->cr, level->width);
    cairo_set_dash(panel->cr, level->dash, level->dash[0] > 0.0 ? 2 : 0, 0.0);
    cairo_move_to(panel->cr, panel->left, y);
    cairo_line_to(panel->cr, panel->right, y);
    cairo_stroke(panel->cr);
    cairo_set_dash(panel->cr, NULL, 0, 0.0);
    snprintf(text, sizeof text, "%s %.*f", level->name, panel->chart->decimals, level->value * panel->chart->scale);
    panel->label = fmin(y + 0.35 * TEXT, panel->label - TEXT); /* from below upwards, none on another */
    write_text(panel->cr, panel->right + 6.0, panel->label, TEXT, false, cw_true_minus(text, sizeof text));
}

/* From the lowest to the highest, so that names keep clear of one another. */
static void draw_levels(struct panel *panel, struct level *level, int count)
{
    for (int i = 1; i < count; i++) {
        for (int k = i; k > 0 && level[k - 1].value > level[k].value; k--) {
            struct level swap = level[k];
            level[k] = level[k - 1];
            level[k - 1] = swap;
        }
    }
    panel->label = HUGE_VAL;
    for (int i = 0; i < count; i++) {
        draw_level(panel, &level[i]);
    }
}

/* ---- points ---- */

static void draw_frame(const struct panel *panel, const char *name)
{
    char text[64];
    const struct cw_control_chart *c = panel->chart;
    ink(panel->cr, 0.45);
    cairo_set_line_width(panel->cr, 0.8);
    cairo_rectangle(panel->cr, panel->left, panel->top, panel->right - panel->left, panel->bottom - panel->top);
    cairo_stroke(panel->cr);
    ink(panel->cr, 0.1);
    snprintf(text, sizeof text, "%.*f", c->decimals, panel->high * c->scale);
    write_left_of(panel->cr, panel->left - 5.0, panel->top + 0.8 * TEXT, cw_true_minus(text, sizeof text));
    snprintf(text, sizeof text, "%.*f", c->decimals, panel->low * c->scale);
    write_left_of(panel->cr, panel->left - 5.0, panel->bottom, cw_true_minus(text, sizeof text));
    write_left_of(panel->cr, panel->left - 5.0, 0.5 * (panel->top + panel->bottom), name);
}

/* A ring and a dot: one that is outside stands out in black and white too. */
static void draw_point(const struct panel *panel, size_t at, double value, bool outside)
{
    cairo_arc(panel->cr, x_of(panel, at), y_of(panel, value), DOT, 0.0, CW_TAU);
    cairo_fill(panel->cr);
    if (outside) {
        char number[24];
        snprintf(number, sizeof number, "%zu", at + 1);
        write_text(panel->cr, x_of(panel, at) + 3.2 * DOT, y_of(panel, value) + 0.35 * TEXT, TEXT, true, number);
        cairo_set_line_width(panel->cr, 1.6);
        cairo_arc(panel->cr, x_of(panel, at), y_of(panel, value), 2.6 * DOT, 0.0, CW_TAU);
        cairo_stroke(panel->cr);
    }
}

/* Values from index \p first on, those beyond two bounds marked. */
static void draw_points(const struct panel *panel, const double *value, size_t first, double low, double high)
{
    double rgb[3];
    cw_plot_colour(0, false, rgb);
    cairo_set_source_rgb(panel->cr, rgb[0], rgb[1], rgb[2]);
    cairo_set_line_width(panel->cr, 1.2);
    for (size_t i = first; i < panel->chart->count; i++) {
        cairo_line_to(panel->cr, x_of(panel, i), y_of(panel, value[i]));
    }
    cairo_stroke(panel->cr);
    for (size_t i = first; i < panel->chart->count; i++) {
        draw_point(panel, i, value[i], value[i] < low || value[i] > high);
    }
}

static void include(struct panel *panel, double value)
{
    if (isfinite(value)) {
        panel->low = fmin(panel->low, value);
        panel->high = fmax(panel->high, value);
    }
}

static void widen(struct panel *panel)
{
    double room = 0.06 * (panel->high - panel->low) + 1e-9 * fabs(panel->high);
    panel->low -= room;
    panel->high += room;
}

/* ---- panels ---- */

static void draw_individuals(struct panel *panel)
{
    const struct cw_control_chart *c = panel->chart;
    struct level level[] = {
        {c->chart.mean, "mean", {0.0, 0.0}, 1.2},
        {c->chart.limits.low, "chart low", {6.0, 4.0}, 1.2},
        {c->chart.limits.high, "chart high", {6.0, 4.0}, 1.2},
        {c->nominal, "design", {1.5, 3.0}, 1.2},
        {c->accept.low, "limit low", {14.0, 3.0}, 1.8},
        {c->accept.high, "limit high", {14.0, 3.0}, 1.8},
    };
    enum { LEVELS = sizeof level / sizeof level[0] };
    panel->low = panel->high = c->nominal;
    for (int i = 0; i < LEVELS; i++) {
        include(panel, level[i].value);
    }
    for (size_t i = 0; i < c->count; i++) {
        include(panel, c->value[i]);
    }
    widen(panel);
    draw_frame(panel, c->unit);
    draw_levels(panel, level, LEVELS);
    draw_points(panel, c->value, 0, c->chart.limits.low, c->chart.limits.high);
}

static void draw_ranges(struct panel *panel)
{
    const struct cw_control_chart *c = panel->chart;
    struct level level[] = {
        {c->chart.mean_range, "mean range", {0.0, 0.0}, 1.2},
        {c->chart.range_high, "chart high", {6.0, 4.0}, 1.2},
    };
    double rgb[3];
    panel->low = panel->high = 0.0;
    include(panel, c->chart.range_high);
    for (size_t i = 1; i < c->count; i++) {
        include(panel, fabs(c->value[i] - c->value[i - 1]));
    }
    panel->high += 0.08 * panel->high + 1e-9 * fabs(c->nominal);
    draw_frame(panel, "range");
    draw_levels(panel, level, 2);
    cw_plot_colour(0, false, rgb);
    cairo_set_source_rgb(panel->cr, rgb[0], rgb[1], rgb[2]);
    for (size_t i = 1; i < c->count; i++) {
        double range = fabs(c->value[i] - c->value[i - 1]);
        cairo_move_to(panel->cr, x_of(panel, i), panel->bottom);
        cairo_line_to(panel->cr, x_of(panel, i), y_of(panel, range));
        cairo_stroke(panel->cr);
        draw_point(panel, i, range, range > c->chart.range_high);
    }
}

void cw_control_chart_draw(cairo_t *cr, const struct cw_control_chart *chart, double width, double height)
{
    double top = 2.0 * TITLE + TEXT + 8.0, split = top + 0.66 * (height - top);
    struct panel panel = {.cr = cr, .chart = chart, .left = LEFT, .right = width - RIGHT, .top = top};
    cairo_save(cr);
    cairo_set_source_rgb(cr, 1.0, 1.0, 1.0);
    cairo_rectangle(cr, 0.0, 0.0, width, height);
    cairo_fill(cr);
    ink(cr, 0.1);
    write_text(cr, LEFT, TITLE + 6.0, TITLE, true, chart->title);
    write_text(cr, LEFT, 2.0 * TITLE + 8.0, TEXT, false, chart->note);
    panel.bottom = split;
    draw_individuals(&panel);
    panel.top = split + 10.0;
    panel.bottom = height - 8.0;
    ink(cr, 0.1);
    draw_ranges(&panel);
    cairo_restore(cr);
}
