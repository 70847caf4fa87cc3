/* SPDX-License-Identifier: ISC */
#include "report_page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "page_font.h"

static const double TEXT = 7.4, LINE = 10.0;

static void write_line(cairo_t *cr, double y, const char *from)
{
    char line[CW_PAGE_TEXT];
    const double room = CW_PAPER_WIDTH - 2.0 * CW_PAPER_MARGIN;
    cairo_text_extents_t extents;
    cw_page_shown(from, line);
    cairo_text_extents(cr, line, &extents);
    cairo_save(cr);
    cairo_move_to(cr, CW_PAPER_MARGIN, y);
    cairo_scale(cr, fmin(1.0, room / fmax(extents.x_advance, 1.0)), 1.0);
    cairo_show_text(cr, line);
    cairo_restore(cr);
}

double cw_report_draw(cairo_t *cr, const char *text)
{
    double y = CW_PAPER_MARGIN + LINE;
    cairo_set_source_rgb(cr, 0.0, 0.0, 0.0);
    cairo_select_font_face(cr, "monospace", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr, TEXT);
    while (*text) {
        char line[512];
        size_t length = strcspn(text, "\n");
        snprintf(line, sizeof line, "%.*s", (int)length, text);
        if (y > CW_PAPER_HEIGHT - CW_PAPER_MARGIN) {
            cairo_show_page(cr);
            y = CW_PAPER_MARGIN + LINE;
        }
        write_line(cr, y, line);
        y += LINE;
        text += length + (text[length] == '\n');
    }
    return y;
}
