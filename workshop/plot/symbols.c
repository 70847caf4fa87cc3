/* SPDX-License-Identifier: ISC */
#include "symbols.h"

#include "constants.h"

static const double TEXT = 15.0;

void cw_symbol_text(cairo_t *cr, double x, double y, enum cw_align align, double size, const char *text)
{
    cairo_text_extents_t extents;
    cairo_set_font_size(cr, size);
    cairo_text_extents(cr, text, &extents);
    double left = align == CW_ALIGN_LEFT     ? x
                  : align == CW_ALIGN_CENTRE ? x - extents.x_advance / 2
                                             : x - extents.x_advance;
    cairo_move_to(cr, left, y + 0.35 * size);
    cairo_show_text(cr, text);
    cairo_new_path(cr);
}

void cw_symbol_wire(cairo_t *cr, double x1, double y1, double x2, double y2)
{
    cairo_move_to(cr, x1, y1);
    cairo_line_to(cr, x2, y2);
    cairo_stroke(cr);
}

void cw_symbol_dot(cairo_t *cr, double x, double y)
{
    cairo_arc(cr, x, y, 4.5, 0, 2 * CW_PI);
    cairo_fill(cr);
}

void cw_symbol_terminal(cairo_t *cr, double x, double y, const char *name)
{
    cairo_arc(cr, x, y, 5, 0, 2 * CW_PI);
    cairo_stroke(cr);
    cw_symbol_text(cr, x + 14, y, CW_ALIGN_LEFT, TEXT, name);
}

void cw_symbol_inductor(cairo_t *cr, double x, double y1, double y2, int loops)
{
    double radius = (y2 - y1) / (2 * loops);
    cairo_move_to(cr, x, y1);
    for (int i = 0; i < loops; i++) {
        cairo_arc(cr, x, y1 + (2 * i + 1) * radius, radius, -CW_PI / 2, CW_PI / 2);
    }
    cairo_stroke(cr);
}

void cw_symbol_core(cairo_t *cr, double x, double y1, double y2) { cw_symbol_wire(cr, x + 22, y1, x + 22, y2); }

void cw_symbol_resistor(cairo_t *cr, double x, double y)
{
    cairo_rectangle(cr, x - 10, y - 27, 20, 54);
    cairo_stroke(cr);
}

void cw_symbol_capacitor(cairo_t *cr, double x, double y)
{
    cw_symbol_wire(cr, x - 19, y - 5, x + 19, y - 5);
    cw_symbol_wire(cr, x - 19, y + 5, x + 19, y + 5);
}

void cw_symbol_common(cairo_t *cr, double x, double y)
{
    cw_symbol_wire(cr, x, y, x, y + 14);
    cw_symbol_wire(cr, x - 16, y + 14, x + 16, y + 14);
    for (int i = 0; i < 3; i++) {
        double top = x - 16 + 16 * i;
        cw_symbol_wire(cr, top, y + 14, top - 8, y + 26);
    }
}
