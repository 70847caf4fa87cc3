/* SPDX-License-Identifier: ISC */
#include "split_schematic.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "coil.h"
#include "constants.h"
#include "numbers.h"
#include "plot_model.h"
#include "split_kind.h"
#include "split_words.h"
#include "symbols.h"

/* The places that everything hangs on. Hot is the upper rail, the common the lower. */
static const double COIL_X = 250, BRANCH_X = 450, SECOND_X = 600, TERMINAL_X = 660;
static const double HOT_Y = 120, JUNCTION_Y = 320, COMMON_Y = 520;
static const double COIL_LENGTH = 96, LINE = 2.0, TEXT = 15.0, SMALL = 13.0;

/* ---- what only a split has ----------------------------------------------------------------- */

/* A line from the left margin, smaller where it would not fit; the text may come from anywhere. */
static void write_line(cairo_t *cr, double y, double size, const char *from)
{
    char text[CW_PLOT_TEXT];
    cw_plot_text(text, from);
    const double margin = 30, room = CW_SCHEMATIC_WIDTH - 2 * margin;
    cairo_text_extents_t extents;
    cairo_set_font_size(cr, size);
    cairo_text_extents(cr, text, &extents);
    cw_symbol_text(cr, margin, y, CW_ALIGN_LEFT, size * fmin(1.0, room / fmax(extents.x_advance, 1.0)), text);
}

/* Make contact, vertical, drawn open. */
static void make_contact(cairo_t *cr, double x, double y1, double y2) { cw_symbol_wire(cr, x, y2, x - 16, y1 + 2); }

/* Change-over contact, break before make: fixed contacts left at y_upper and y_lower, the moving
 * one right between them; drawn touching the lower or the upper. */
static void change_over(cairo_t *cr, double x, double y_upper, double y_lower, bool touches_lower)
{
    double middle = 0.5 * (y_upper + y_lower), y = touches_lower ? y_lower : y_upper;
    double other = touches_lower ? y_upper : y_lower, step = touches_lower ? 1 : -1;
    cw_symbol_wire(cr, x - 8, y, x + 6, y);
    cw_symbol_wire(cr, x + 6, y, x + 6, y - step * 7); /* the contact that is touched reaches the blade */
    cw_symbol_wire(cr, x - 8, other, x + 6, other);
    cw_symbol_wire(cr, x + 60, middle, x + 2, y - step * 7.5);
}

/* ---- the coils ----------------------------------------------------------------------------- */

/* Where one coil's symbol begins and ends. */
struct span {
    double top, bottom;
};

static struct span span_of(int coil)
{
    double middle = coil == 0 ? 0.5 * (HOT_Y + JUNCTION_Y) : 0.5 * (JUNCTION_Y + COMMON_Y);
    return (struct span){middle - COIL_LENGTH / 2, middle + COIL_LENGTH / 2};
}

static void label_coil(cairo_t *cr, const struct cw_pickup *pickup, int coil)
{
    const struct cw_coil *c = &pickup->coil[coil];
    struct span span = span_of(coil);
    double middle = 0.5 * (span.top + span.bottom);
    char text[64];
    cw_symbol_text(cr, COIL_X - 20, middle - 12, CW_ALIGN_RIGHT, TEXT, coil == 0 ? "Coil one" : "Coil two");
    snprintf(text, sizeof text, "%.3g kΩ, %.3g H", c->resistance * 1e-3, c->inductance);
    cw_symbol_text(cr, COIL_X - 20, middle + 9, CW_ALIGN_RIGHT, SMALL, text);
}

static void whole_coil(cairo_t *cr, int coil)
{
    struct span span = span_of(coil);
    cw_symbol_wire(cr, COIL_X, coil == 0 ? HOT_Y : JUNCTION_Y, COIL_X, span.top);
    cw_symbol_inductor(cr, COIL_X, span.top, span.bottom, 4);
    cw_symbol_core(cr, COIL_X, span.top, span.bottom);
    cw_symbol_wire(cr, COIL_X, span.bottom, COIL_X, coil == 0 ? JUNCTION_Y : COMMON_Y);
}

/* ---- a tapped winding ---------------------------------------------------------------------- */

static void share_text(char *text, size_t size, const struct cw_schematic *s, bool kept)
{
    double share = s->setup->value[CW_P_SPLIT_KEEP];
    if (s->turns > 0.0) {
        snprintf(text, size, "%.0f turns %s", kept ? s->turns_kept : s->turns - s->turns_kept,
                 kept ? "kept" : "left open");
    } else {
        snprintf(text, size, "%.3g %% of turns %s", kept ? share : 100.0 - share, kept ? "kept" : "left open");
    }
}

/* What is drawn of a tapped coil: from the junction the kept part, the tap, the part that is left
 * open, the end. Coil one stands the other way up. */
static void tapped_coil(cairo_t *cr, const struct cw_schematic *s, int coil)
{
    struct span span = span_of(coil);
    double share = s->setup->value[CW_P_SPLIT_KEEP];
    bool upper = coil == 0;
    double end = upper ? span.top : span.bottom, start = upper ? span.bottom : span.top;
    double tap = share <= 0.0 ? start : share >= 100.0 ? end : 0.5 * (start + end);
    char text[64];
    cw_symbol_wire(cr, COIL_X, start, COIL_X, JUNCTION_Y);
    cw_symbol_inductor(cr, COIL_X, span.top, span.bottom, 4);
    cw_symbol_core(cr, COIL_X, span.top, span.bottom);
    /* The core stands between the winding and the switch: the tap leads through a gap in it. */
    double y_end = end + (upper ? -22 : 22);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_rectangle(cr, COIL_X + 18, tap - 5, 8, 10);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 0, 0, 0);
    cw_symbol_dot(cr, COIL_X, tap);
    cw_symbol_wire(cr, COIL_X, tap, BRANCH_X - 8, tap);
    cw_symbol_wire(cr, COIL_X, end, COIL_X, y_end);
    cw_symbol_wire(cr, COIL_X, y_end, BRANCH_X - 8, y_end);
    change_over(cr, BRANCH_X, upper ? y_end : tap, upper ? tap : y_end, !upper);
    double middle = 0.5 * (tap + y_end), rail = upper ? HOT_Y : COMMON_Y;
    cw_symbol_wire(cr, BRANCH_X + 60, middle, BRANCH_X + 90, middle);
    cw_symbol_wire(cr, BRANCH_X + 90, middle, BRANCH_X + 90, rail);
    cw_symbol_text(cr, BRANCH_X + 16, tap, CW_ALIGN_LEFT, SMALL, "split");
    cw_symbol_text(cr, BRANCH_X + 16, y_end + (upper ? -3 : 3), CW_ALIGN_LEFT, SMALL, "full");
    if (share > 0.0) {
        share_text(text, sizeof text, s, true);
        cw_symbol_text(cr, COIL_X + 32, 0.5 * (start + tap), CW_ALIGN_LEFT, SMALL, text);
    }
    if (share < 100.0) {
        share_text(text, sizeof text, s, false);
        cw_symbol_text(cr, COIL_X + 32, 0.5 * (tap + end), CW_ALIGN_LEFT, SMALL, text);
    }
}

/* ---- parts --------------------------------------------------------------------------------- */

struct part_names {
    char resistor[40], capacitor[40];
};

static void draw_part(cairo_t *cr, bool is_resistor, double x, double y1, double y, double y2)
{
    double half = is_resistor ? 27 : 5;
    cw_symbol_wire(cr, x, y1, x, y - half);
    (is_resistor ? cw_symbol_resistor : cw_symbol_capacitor)(cr, x, y);
    cw_symbol_wire(cr, x, y + half, x, y2);
}

static void draw_pair_in_parallel(cairo_t *cr, const struct part_names *names, double x, double y1, double y2)
{
    double x1 = x - 40, x2 = x + 40, top = y1 + 22, bottom = y2 - 12, y = 0.5 * (top + bottom);
    cw_symbol_wire(cr, x, y1, x, top);
    cw_symbol_wire(cr, x1, top, x2, top);
    cw_symbol_wire(cr, x1, bottom, x2, bottom);
    cw_symbol_dot(cr, x, top);
    cw_symbol_dot(cr, x, bottom);
    draw_part(cr, true, x1, top, y, bottom);
    draw_part(cr, false, x2, top, y, bottom);
    cw_symbol_wire(cr, x, bottom, x, y2);
    cw_symbol_text(cr, x1 - 18, y, CW_ALIGN_RIGHT, TEXT, names->resistor);
    cw_symbol_text(cr, x2 + 28, y, CW_ALIGN_LEFT, TEXT, names->capacitor);
}

static void draw_pair_in_series(cairo_t *cr, const struct part_names *names, double x, double y1, double y2)
{
    double upper = y1 + 42, lower = y2 - 26, between = 0.5 * (upper + 27 + lower - 5);
    draw_part(cr, true, x, y1, upper, between);
    draw_part(cr, false, x, between, lower, y2);
    cw_symbol_text(cr, x + 30, upper, CW_ALIGN_LEFT, TEXT, names->resistor);
    cw_symbol_text(cr, x + 30, lower, CW_ALIGN_LEFT, TEXT, names->capacitor);
}

/* The parts between y1 and y2. */
static void draw_parts(cairo_t *cr, enum cw_split_network network, const struct part_names *names, double x, double y1,
                       double y2)
{
    bool resistor_alone = network == CW_NETWORK_R;
    switch (network) {
    case CW_NETWORK_R:
    case CW_NETWORK_C:
        draw_part(cr, resistor_alone, x, y1, 0.5 * (y1 + y2), y2);
        cw_symbol_text(cr, x + 30, 0.5 * (y1 + y2), CW_ALIGN_LEFT, TEXT,
                       resistor_alone ? names->resistor : names->capacitor);
        break;
    case CW_NETWORK_RC_SERIES: draw_pair_in_series(cr, names, x, y1, y2); break;
    case CW_NETWORK_RC_PARALLEL: draw_pair_in_parallel(cr, names, x, y1, y2); break;
    case CW_NETWORK_NONE: break;
    }
}

/* The parts with their contact beside a coil, from the junction to its rail. */
static void draw_network(cairo_t *cr, const struct cw_schematic *s, enum cw_split_network network, double x, int coil,
                         const char *contact_text)
{
    double y1 = coil == 0 ? HOT_Y : JUNCTION_Y, y2 = coil == 0 ? JUNCTION_Y : COMMON_Y, contact = y2 - 62;
    struct part_names names;
    memcpy(names.resistor, "R  ", 4);
    memcpy(names.capacitor, "C  ", 4);
    cw_print_ohms(s->setup->value[CW_P_SPLIT_RESISTOR], names.resistor + 3, sizeof names.resistor - 3);
    cw_print_farads(s->setup->value[CW_P_SPLIT_CAPACITOR], names.capacitor + 3, sizeof names.capacitor - 3);
    cw_symbol_wire(cr, COIL_X, JUNCTION_Y, x, JUNCTION_Y);
    draw_parts(cr, network, &names, x, y1, contact);
    make_contact(cr, x, contact, contact + 40);
    cw_symbol_wire(cr, x, contact + 40, x, y2);
    cw_symbol_text(cr, x + 14, contact + 20, CW_ALIGN_LEFT, SMALL, contact_text);
    cw_symbol_dot(cr, x, coil == 0 ? HOT_Y : COMMON_Y);
}

static void draw_by_parts(cairo_t *cr, const struct cw_schematic *s, int coil)
{
    enum cw_split_network network = cw_split_kind[(int)s->setup->value[CW_P_SPLIT_BY]].network;
    whole_coil(cr, 0);
    whole_coil(cr, 1);
    cw_symbol_wire(cr, COIL_X, HOT_Y, TERMINAL_X - 5, HOT_Y);
    cw_symbol_wire(cr, COIL_X, COMMON_Y, TERMINAL_X - 5, COMMON_Y);
    draw_network(cr, s, network, BRANCH_X, coil, "open: full, closed: split");
}

static void draw_tapped(cairo_t *cr, const struct cw_schematic *s, int coil)
{
    enum cw_split_network network = cw_split_kind[(int)s->setup->value[CW_P_SPLIT_BY]].network;
    double from = BRANCH_X + 90;
    whole_coil(cr, 1 - coil);
    tapped_coil(cr, s, coil);
    cw_symbol_wire(cr, coil == 0 ? from : COIL_X, HOT_Y, TERMINAL_X - 5, HOT_Y);
    cw_symbol_wire(cr, coil == 1 ? from : COIL_X, COMMON_Y, TERMINAL_X - 5, COMMON_Y);
    if (network != CW_NETWORK_NONE) {
        /* The switch's second pole: what is kept lies between the junction and this rail when split. */
        draw_network(cr, s, network, SECOND_X, coil, "split");
    }
}

/* ---- the whole ----------------------------------------------------------------------------- */

static void write_footer(cairo_t *cr, const struct cw_split_kind *kind)
{
    const char *const of_switch =
        !kind->tapped ? "Switch drawn for the full pickup. Any switch that closes one contact will do."
        : kind->network == CW_NETWORK_NONE
            ? "Change-over switch, break before make, drawn for the full pickup. The open turns are joined to nothing."
            : "Two-pole change-over switch, break before make, drawn for the full pickup: both poles move together.";
    double y = CW_SCHEMATIC_HEIGHT - 78;
    write_line(cr, y, SMALL, of_switch);
    write_line(cr, y + 17, SMALL, "The coils stay wired as they are, so that their signals add and their hum cancels.");
    write_line(cr, y + 34, SMALL, "The common is the jack's sleeve. It is never to be joined to a mains earth.");
    write_line(cr, y + 51, SMALL, CW_CAUTIONS_LINE);
}

void cw_schematic_draw(cairo_t *cr, const struct cw_schematic *s)
{
    struct cw_pickup pickup;
    cw_coil_solve(s->setup, &pickup);
    const struct cw_split_kind *kind = &cw_split_kind[(int)s->setup->value[CW_P_SPLIT_BY]];
    int coil = s->setup->value[CW_P_SPLIT_COIL] > 0.0 ? 0 : 1;
    cairo_save(cr);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_rectangle(cr, 0, 0, CW_SCHEMATIC_WIDTH, CW_SCHEMATIC_HEIGHT);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 0, 0, 0);
    cairo_set_line_width(cr, LINE);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF); /* widths grow with the size */
    cairo_set_font_options(cr, options);
    cairo_font_options_destroy(options);
    cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_BOLD);
    write_line(cr, 34, 18, s->title);
    cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    if (s->note) {
        write_line(cr, 62, SMALL, s->note);
    }
    (kind->tapped ? draw_tapped : draw_by_parts)(cr, s, coil);
    label_coil(cr, &pickup, 0);
    label_coil(cr, &pickup, 1);
    cw_symbol_dot(cr, COIL_X, JUNCTION_Y);
    cw_symbol_text(cr, COIL_X - 20, JUNCTION_Y, CW_ALIGN_RIGHT, TEXT, "Junction");
    cw_symbol_terminal(cr, TERMINAL_X, HOT_Y, "Hot");
    cw_symbol_terminal(cr, TERMINAL_X, COMMON_Y, "Sleeve");
    cw_symbol_text(cr, TERMINAL_X + 14, COMMON_Y + 18, CW_ALIGN_LEFT, SMALL, "(common)");
    cw_symbol_dot(cr, TERMINAL_X - 20, COMMON_Y);
    cw_symbol_common(cr, TERMINAL_X - 20, COMMON_Y);
    write_footer(cr, kind);
    cairo_restore(cr);
}
