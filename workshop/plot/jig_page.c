/* SPDX-License-Identifier: ISC */
#include "jig_page.h"

#include <stdio.h>
#include <string.h>

#include "constants.h"
#include "plot_model.h"
#include "page_font.h"
#include "symbols.h"

static const double MARGIN = 36.0, TEXT = 8.2, LINE = 10.6, NAMES = 58.0;

/* ---- the drawing, 1/96 inch ------------------------------------------------------------------- */

/* Rails: what is hot, what is common; of the jig and of the exciter below it. */
static const double HOT = 70.0, COMMON = 200.0, BELOW = 300.0, BELOW_COMMON = 420.0;
static const double LABEL = 14.0, DRAWN_WIDTH = 780.0, DRAWN_HEIGHT = 460.0;

static void label(cairo_t *cr, double x, double y, enum cw_align align, const char *text)
{
    cw_symbol_text(cr, x, y, align, LABEL, text);
}

static void terminal(cairo_t *cr, double x, double y)
{
    cairo_arc(cr, x, y, 5.0, 0.0, CW_TAU);
    cairo_stroke(cr);
}

/* A resistor that lies on a rail from x1 to x2, its value above it. */
static void lying_resistor(cairo_t *cr, double x1, double x2, double y, const char *text)
{
    double middle = 0.5 * (x1 + x2);
    cw_symbol_wire(cr, x1, y, middle - 27.0, y);
    cw_symbol_wire(cr, middle + 27.0, y, x2, y);
    cairo_save(cr);
    cairo_translate(cr, middle, y);
    cairo_rotate(cr, 0.25 * CW_TAU);
    cw_symbol_resistor(cr, 0.0, 0.0);
    cairo_restore(cr);
    label(cr, middle, y - 24.0, CW_ALIGN_CENTRE, text);
}

/* What hangs on a rail: a wire down to an input of the interface. */
static void input(cairo_t *cr, double x, double y, const char *name, const char *kind)
{
    cw_symbol_dot(cr, x, y);
    cw_symbol_wire(cr, x, y, x, y + 45.0);
    terminal(cr, x, y + 50.0);
    label(cr, x + 13.0, y + 48.0, CW_ALIGN_LEFT, name);
    label(cr, x + 13.0, y + 66.0, CW_ALIGN_LEFT, kind);
}

static void dashed_box(cairo_t *cr, double x, double y, double width, double height)
{
    static const double dash[] = {6.0, 5.0};
    cairo_save(cr);
    cairo_set_dash(cr, dash, 2, 0.0);
    cairo_rectangle(cr, x, y, width, height);
    cairo_stroke(cr);
    cairo_restore(cr);
}

/* A coil with its core between two heights, and its leads. */
static void coil(cairo_t *cr, double x, double top, double bottom)
{
    double middle = 0.5 * (top + bottom);
    cw_symbol_wire(cr, x, top, x, middle - 32.0);
    cw_symbol_inductor(cr, x, middle - 32.0, middle + 32.0, 4);
    cw_symbol_core(cr, x, middle - 32.0, middle + 32.0);
    cw_symbol_wire(cr, x, middle + 32.0, x, bottom);
}

/* The output, the sleeves and channel 1: the same in both circuits. */
static void draw_interface(cairo_t *cr, double hot, double common, double end)
{
    label(cr, 20.0, hot - 22.0, CW_ALIGN_LEFT, "Output");
    terminal(cr, 40.0, hot);
    terminal(cr, 40.0, common);
    label(cr, 20.0, common + 20.0, CW_ALIGN_LEFT, "Sleeves");
    cw_symbol_wire(cr, 45.0, hot, 120.0, hot);
    input(cr, 120.0, hot, "Channel 1", "line input");
    cw_symbol_wire(cr, 45.0, common, end, common);
    cw_symbol_dot(cr, 180.0, common);
    cw_symbol_common(cr, 180.0, common);
}

/* What is at the plug, one after the other. */
static void draw_choices(cairo_t *cr)
{
    static const double at[] = {535.0, 622.0, 720.0};
    static const char *const name[] = {"open", "known, check", "silent, take"};
    for (int i = 0; i < 3; i++) {
        terminal(cr, at[i], HOT);
        terminal(cr, at[i], COMMON);
        label(cr, at[i], COMMON + 22.0, CW_ALIGN_CENTRE, name[i]);
    }
    cw_symbol_wire(cr, at[1], HOT + 5.0, at[1], 108.0);
    cw_symbol_resistor(cr, at[1], 135.0);
    cw_symbol_wire(cr, at[1], 162.0, at[1], COMMON - 5.0);
    dashed_box(cr, at[2] - 34.0, HOT + 14.0, 88.0, COMMON - HOT - 28.0);
    coil(cr, at[2], HOT + 5.0, COMMON - 5.0);
    label(cr, at[2] + 10.0, HOT - 22.0, CW_ALIGN_CENTRE, "instrument");
    label(cr, 490.0, HOT - 22.0, CW_ALIGN_RIGHT, "Plug, tip");
    label(cr, 490.0, COMMON - 14.0, CW_ALIGN_RIGHT, "sleeve");
}

static void draw_jig(cairo_t *cr)
{
    draw_interface(cr, HOT, COMMON, 470.0);
    lying_resistor(cr, 120.0, 330.0, HOT, "47 k to 100 k");
    cw_symbol_wire(cr, 330.0, HOT, 470.0, HOT);
    input(cr, 330.0, HOT, "Channel 2", "instrument input, 1 M");
    label(cr, 330.0, HOT - 24.0, CW_ALIGN_CENTRE, "node");
    terminal(cr, 475.0, HOT);
    terminal(cr, 475.0, COMMON);
    draw_choices(cr);
}

static void draw_exciter(cairo_t *cr)
{
    static const double plug = 600.0;
    draw_interface(cr, BELOW, BELOW_COMMON, 330.0);
    lying_resistor(cr, 120.0, 330.0, BELOW, "1 k");
    coil(cr, 330.0, BELOW, BELOW_COMMON);
    label(cr, 318.0, 0.5 * (BELOW + BELOW_COMMON), CW_ALIGN_RIGHT, "exciter coil");
    dashed_box(cr, 372.0, BELOW + 14.0, 76.0, BELOW_COMMON - BELOW - 28.0);
    coil(cr, 395.0, BELOW, BELOW_COMMON);
    label(cr, 405.0, BELOW - 22.0, CW_ALIGN_CENTRE, "instrument");
    cw_symbol_wire(cr, 395.0, BELOW, plug, BELOW);
    cw_symbol_wire(cr, 330.0, BELOW_COMMON, plug, BELOW_COMMON);
    input(cr, 470.0, BELOW, "Channel 2", "1 M");
    cw_symbol_dot(cr, plug, BELOW);
    cw_symbol_dot(cr, plug, BELOW_COMMON);
    double middle = 0.5 * (BELOW + BELOW_COMMON);
    cw_symbol_wire(cr, plug, BELOW, plug, middle - 5.0);
    cw_symbol_capacitor(cr, plug, middle);
    cw_symbol_wire(cr, plug, middle + 5.0, plug, BELOW_COMMON);
    label(cr, plug + 28.0, middle - 9.0, CW_ALIGN_LEFT, "470 pF, in");
    label(cr, plug + 28.0, middle + 9.0, CW_ALIGN_LEFT, "loaded.wav only");
}

/* ---- the words --------------------------------------------------------------------------------- */

/* Where the next line goes. */
struct pen {
    cairo_t *cr;
    double y;
};

static double width_of(cairo_t *cr, const char *text)
{
    cairo_text_extents_t extents;
    cairo_text_extents(cr, text, &extents);
    return extents.x_advance;
}

static void show_at(cairo_t *cr, double x, double y, const char *text)
{
    cairo_move_to(cr, x, y);
    cairo_show_text(cr, text);
}

enum { LINE_BYTES = 400 };

/* How much of a text goes on a line that begins at x: whole words, at least one. It is put into line. */
static size_t fill_line(struct pen *pen, double x, const char *text, char line[LINE_BYTES])
{
    char longer[LINE_BYTES];
    size_t fits = 0;
    for (size_t end = strcspn(text, " "); end < LINE_BYTES; end += 1 + strcspn(text + end + 1, " ")) {
        memcpy(longer, text, end);
        longer[end] = '\0';
        if (fits > 0 && width_of(pen->cr, longer) > CW_JIG_PAGE_WIDTH - MARGIN - x) {
            break;
        }
        memcpy(line, longer, end + 1);
        fits = end;
        if (text[end] == '\0') {
            break;
        }
    }
    return fits;
}

/* A paragraph broken into lines from x to the right margin. */
static void write_paragraph(struct pen *pen, double x, const char *text)
{
    char line[LINE_BYTES] = "";
    size_t length = 0;
    do {
        length = fill_line(pen, x, text, line);
        show_at(pen->cr, x, pen->y, line);
        pen->y += LINE;
        text += length + strspn(text + length, " ");
    } while (*text && length > 0);
}

static void write_line(struct pen *pen, const struct cw_instruction_line *line)
{
    double x = MARGIN;
    if (*line->name) {
        cw_page_font(pen->cr, TEXT, true);
        show_at(pen->cr, x, pen->y, line->name);
        x += NAMES;
    } else if (line->part == CW_INSTRUCTION_CAUTIONS) {
        show_at(pen->cr, x, pen->y, "\xe2\x80\xa2");
        x += 8.0;
    }
    cw_page_font(pen->cr, TEXT, line->part == CW_INSTRUCTION_CAUTIONS);
    write_paragraph(pen, x, line->text);
}

static void write_words(struct pen *pen)
{
    int part = -1;
    for (const struct cw_instruction_line *line = cw_instruction_line; line->text; line++) {
        if ((int)line->part != part) {
            part = (int)line->part;
            pen->y += 4.0;
            cw_page_font(pen->cr, TEXT + 1.3, true);
            show_at(pen->cr, MARGIN, pen->y, cw_instruction_heading[part]);
            pen->y += LINE + 1.0;
        }
        write_line(pen, line);
    }
}

/* ---- the page ---------------------------------------------------------------------------------- */

static void write_title(struct pen *pen, const struct cw_instruction_sweep *sweep)
{
    char text[CW_PLOT_TEXT], shown[CW_PLOT_TEXT];
    const double room = CW_JIG_PAGE_WIDTH - 2.0 * MARGIN;
    cw_page_font(pen->cr, 16.0, true);
    show_at(pen->cr, MARGIN, MARGIN + 12.0, "Measuring a closed instrument: the jig and the takes");
    cw_plot_text(shown, cw_instruction_title(sweep, text, sizeof text));
    cw_page_font(pen->cr, TEXT + 1.0, false);
    double width = width_of(pen->cr, shown);
    if (width > room) {
        cairo_set_font_size(pen->cr, (TEXT + 1.0) * room / width);
    }
    show_at(pen->cr, MARGIN, MARGIN + 28.0, shown);
    pen->y = MARGIN + 34.0;
}

double cw_jig_page_draw(cairo_t *cr, const struct cw_instruction_sweep *sweep)
{
    struct pen pen = {cr, 0.0};
    const double scale = (CW_JIG_PAGE_WIDTH - 2.0 * MARGIN) / DRAWN_WIDTH;
    cairo_set_source_rgb(cr, 0.0, 0.0, 0.0);
    write_title(&pen, sweep);
    cairo_save(cr);
    cairo_translate(cr, MARGIN, pen.y);
    cairo_scale(cr, scale, scale);
    cw_page_font(cr, LABEL, false);
    cairo_set_line_width(cr, 1.8);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    draw_jig(cr);
    draw_exciter(cr);
    cairo_restore(cr);
    pen.y += scale * DRAWN_HEIGHT;
    write_words(&pen);
    cairo_show_page(cr);
    return pen.y;
}
