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

/* The places that everything hangs on. Hot is the upper rail, the common the lower. */
static const double COIL_X = 250, BRANCH_X = 450, SECOND_X = 600, TERMINAL_X = 660;
static const double HOT_Y = 120, JUNCTION_Y = 320, COMMON_Y = 520;
static const double COIL_LENGTH = 96, LINE = 2.0, TEXT = 15.0, SMALL = 13.0;

/* ---- pen ----------------------------------------------------------------------------------- */

enum align { LEFT, CENTRE, RIGHT };

/* Text whose middle height stands at y. */
static void write_text(cairo_t *cr, double x, double y, enum align align, double size, const char *text)
{
    cairo_text_extents_t extents;
    cairo_set_font_size(cr, size);
    cairo_text_extents(cr, text, &extents);
    double left = align == LEFT ? x : align == CENTRE ? x - extents.x_advance / 2 : x - extents.x_advance;
    cairo_move_to(cr, left, y + 0.35 * size);
    cairo_show_text(cr, text);
    cairo_new_path(cr);
}

/* A line from the left margin, smaller where it would not fit; the text may come from anywhere. */
static void write_line(cairo_t *cr, double y, double size, const char *from)
{
    char text[CW_PLOT_TEXT];
    cw_plot_text(text, from);
    const double margin = 30, room = CW_SCHEMATIC_WIDTH - 2 * margin;
    cairo_text_extents_t extents;
    cairo_set_font_size(cr, size);
    cairo_text_extents(cr, text, &extents);
    write_text(cr, margin, y, LEFT, size * fmin(1.0, room / fmax(extents.x_advance, 1.0)), text);
}

static void wire(cairo_t *cr, double x1, double y1, double x2, double y2)
{
    cairo_move_to(cr, x1, y1);
    cairo_line_to(cr, x2, y2);
    cairo_stroke(cr);
}

/* A connection of conductors. */
static void dot(cairo_t *cr, double x, double y)
{
    cairo_arc(cr, x, y, 4.5, 0, 2 * CW_PI);
    cairo_fill(cr);
}

static void terminal(cairo_t *cr, double x, double y, const char *name)
{
    cairo_arc(cr, x, y, 5, 0, 2 * CW_PI);
    cairo_stroke(cr);
    write_text(cr, x + 14, y, LEFT, TEXT, name);
}

/* ---- symbols ------------------------------------------------------------------------------- */

/* Inductor, vertical: half circles towards the right. */
static void inductor(cairo_t *cr, double x, double y1, double y2, int loops)
{
    double radius = (y2 - y1) / (2 * loops);
    cairo_move_to(cr, x, y1);
    for (int i = 0; i < loops; i++) {
        cairo_arc(cr, x, y1 + (2 * i + 1) * radius, radius, -CW_PI / 2, CW_PI / 2);
    }
    cairo_stroke(cr);
}

/* The magnetic core beside an inductor. */
static void core(cairo_t *cr, double x, double y1, double y2) { wire(cr, x + 22, y1, x + 22, y2); }

/* Resistor, vertical: a rectangle about y. */
static void resistor(cairo_t *cr, double x, double y)
{
    cairo_rectangle(cr, x - 10, y - 27, 20, 54);
    cairo_stroke(cr);
}

/* Capacitor, vertical: two plates about y. */
static void capacitor(cairo_t *cr, double x, double y)
{
    wire(cr, x - 19, y - 5, x + 19, y - 5);
    wire(cr, x - 19, y + 5, x + 19, y + 5);
}

/* Make contact, vertical, drawn open. */
static void make_contact(cairo_t *cr, double x, double y1, double y2) { wire(cr, x, y2, x - 16, y1 + 2); }

/* Change-over contact, break before make: fixed contacts left at y_upper and y_lower, the moving
 * one right between them; drawn touching the lower or the upper. */
static void change_over(cairo_t *cr, double x, double y_upper, double y_lower, bool touches_lower)
{
    double middle = 0.5 * (y_upper + y_lower), y = touches_lower ? y_lower : y_upper;
    double other = touches_lower ? y_upper : y_lower, step = touches_lower ? 1 : -1;
    wire(cr, x - 8, y, x + 6, y);
    wire(cr, x + 6, y, x + 6, y - step * 7); /* the contact that is touched reaches the blade */
    wire(cr, x - 8, other, x + 6, other);
    wire(cr, x + 60, middle, x + 2, y - step * 7.5);
}

/* The common of the signal, IEC 60617's frame or chassis: not the symbol of an earth. */
static void common(cairo_t *cr, double x, double y)
{
    wire(cr, x, y, x, y + 14);
    wire(cr, x - 16, y + 14, x + 16, y + 14);
    for (int i = 0; i < 3; i++) {
        double top = x - 16 + 16 * i;
        wire(cr, top, y + 14, top - 8, y + 26);
    }
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
    write_text(cr, COIL_X - 20, middle - 12, RIGHT, TEXT, coil == 0 ? "Coil one" : "Coil two");
    snprintf(text, sizeof text, "%.3g kΩ, %.3g H", c->resistance * 1e-3, c->inductance);
    write_text(cr, COIL_X - 20, middle + 9, RIGHT, SMALL, text);
}

static void whole_coil(cairo_t *cr, int coil)
{
    struct span span = span_of(coil);
    wire(cr, COIL_X, coil == 0 ? HOT_Y : JUNCTION_Y, COIL_X, span.top);
    inductor(cr, COIL_X, span.top, span.bottom, 4);
    core(cr, COIL_X, span.top, span.bottom);
    wire(cr, COIL_X, span.bottom, COIL_X, coil == 0 ? JUNCTION_Y : COMMON_Y);
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
    wire(cr, COIL_X, start, COIL_X, JUNCTION_Y);
    inductor(cr, COIL_X, span.top, span.bottom, 4);
    core(cr, COIL_X, span.top, span.bottom);
    /* The core stands between the winding and the switch: the tap leads through a gap in it. */
    double y_end = end + (upper ? -22 : 22);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_rectangle(cr, COIL_X + 18, tap - 5, 8, 10);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 0, 0, 0);
    dot(cr, COIL_X, tap);
    wire(cr, COIL_X, tap, BRANCH_X - 8, tap);
    wire(cr, COIL_X, end, COIL_X, y_end);
    wire(cr, COIL_X, y_end, BRANCH_X - 8, y_end);
    change_over(cr, BRANCH_X, upper ? y_end : tap, upper ? tap : y_end, !upper);
    double middle = 0.5 * (tap + y_end), rail = upper ? HOT_Y : COMMON_Y;
    wire(cr, BRANCH_X + 60, middle, BRANCH_X + 90, middle);
    wire(cr, BRANCH_X + 90, middle, BRANCH_X + 90, rail);
    write_text(cr, BRANCH_X + 16, tap, LEFT, SMALL, "split");
    write_text(cr, BRANCH_X + 16, y_end + (upper ? -3 : 3), LEFT, SMALL, "full");
    if (share > 0.0) {
        share_text(text, sizeof text, s, true);
        write_text(cr, COIL_X + 32, 0.5 * (start + tap), LEFT, SMALL, text);
    }
    if (share < 100.0) {
        share_text(text, sizeof text, s, false);
        write_text(cr, COIL_X + 32, 0.5 * (tap + end), LEFT, SMALL, text);
    }
}

/* ---- parts --------------------------------------------------------------------------------- */

struct part_names {
    char resistor[40], capacitor[40];
};

static void draw_part(cairo_t *cr, bool is_resistor, double x, double y1, double y, double y2)
{
    double half = is_resistor ? 27 : 5;
    wire(cr, x, y1, x, y - half);
    (is_resistor ? resistor : capacitor)(cr, x, y);
    wire(cr, x, y + half, x, y2);
}

static void draw_pair_in_parallel(cairo_t *cr, const struct part_names *names, double x, double y1, double y2)
{
    double x1 = x - 40, x2 = x + 40, top = y1 + 22, bottom = y2 - 12, y = 0.5 * (top + bottom);
    wire(cr, x, y1, x, top);
    wire(cr, x1, top, x2, top);
    wire(cr, x1, bottom, x2, bottom);
    dot(cr, x, top);
    dot(cr, x, bottom);
    draw_part(cr, true, x1, top, y, bottom);
    draw_part(cr, false, x2, top, y, bottom);
    wire(cr, x, bottom, x, y2);
    write_text(cr, x1 - 18, y, RIGHT, TEXT, names->resistor);
    write_text(cr, x2 + 28, y, LEFT, TEXT, names->capacitor);
}

static void draw_pair_in_series(cairo_t *cr, const struct part_names *names, double x, double y1, double y2)
{
    double upper = y1 + 42, lower = y2 - 26, between = 0.5 * (upper + 27 + lower - 5);
    draw_part(cr, true, x, y1, upper, between);
    draw_part(cr, false, x, between, lower, y2);
    write_text(cr, x + 30, upper, LEFT, TEXT, names->resistor);
    write_text(cr, x + 30, lower, LEFT, TEXT, names->capacitor);
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
        write_text(cr, x + 30, 0.5 * (y1 + y2), LEFT, TEXT, resistor_alone ? names->resistor : names->capacitor);
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
    wire(cr, COIL_X, JUNCTION_Y, x, JUNCTION_Y);
    draw_parts(cr, network, &names, x, y1, contact);
    make_contact(cr, x, contact, contact + 40);
    wire(cr, x, contact + 40, x, y2);
    write_text(cr, x + 14, contact + 20, LEFT, SMALL, contact_text);
    dot(cr, x, coil == 0 ? HOT_Y : COMMON_Y);
}

static void draw_by_parts(cairo_t *cr, const struct cw_schematic *s, int coil)
{
    enum cw_split_network network = cw_split_kind[(int)s->setup->value[CW_P_SPLIT_BY]].network;
    whole_coil(cr, 0);
    whole_coil(cr, 1);
    wire(cr, COIL_X, HOT_Y, TERMINAL_X - 5, HOT_Y);
    wire(cr, COIL_X, COMMON_Y, TERMINAL_X - 5, COMMON_Y);
    draw_network(cr, s, network, BRANCH_X, coil, "open: full, closed: split");
}

static void draw_tapped(cairo_t *cr, const struct cw_schematic *s, int coil)
{
    enum cw_split_network network = cw_split_kind[(int)s->setup->value[CW_P_SPLIT_BY]].network;
    double from = BRANCH_X + 90;
    whole_coil(cr, 1 - coil);
    tapped_coil(cr, s, coil);
    wire(cr, coil == 0 ? from : COIL_X, HOT_Y, TERMINAL_X - 5, HOT_Y);
    wire(cr, coil == 1 ? from : COIL_X, COMMON_Y, TERMINAL_X - 5, COMMON_Y);
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
    dot(cr, COIL_X, JUNCTION_Y);
    write_text(cr, COIL_X - 20, JUNCTION_Y, RIGHT, TEXT, "Junction");
    terminal(cr, TERMINAL_X, HOT_Y, "Hot");
    terminal(cr, TERMINAL_X, COMMON_Y, "Sleeve");
    write_text(cr, TERMINAL_X + 14, COMMON_Y + 18, LEFT, SMALL, "(common)");
    dot(cr, TERMINAL_X - 20, COMMON_Y);
    common(cr, TERMINAL_X - 20, COMMON_Y);
    write_footer(cr, kind);
    cairo_restore(cr);
}
