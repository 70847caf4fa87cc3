/* SPDX-License-Identifier: ISC */
#include "sheet_page.h"

#include <stdio.h>
#include <string.h>

#include "acts.h"
#include "seal.h"
#include "setup.h"
#include "split_kind.h"
#include "split_schematic.h"
#include "page_font.h"
#include "split_words.h"

static const double MARGIN = 36.0, TEXT = 7.8, LINE = 11.0, CODE = 71.0 /* 25 mm */, VALUE = 230.0, SECOND = 430.0;

/* Where the next line goes. */
struct pen {
    cairo_t *cr;
    double y;
};

/* Text that is made narrower where it does not fit. */
static void write_at(cairo_t *cr, double x, double y, double room, const char *from)
{
    char text[CW_PAGE_TEXT];
    cairo_text_extents_t extents;
    cw_page_shown(from, text);
    cairo_text_extents(cr, text, &extents);
    cairo_save(cr);
    cairo_move_to(cr, x, y);
    if (extents.x_advance > room && room > 0.0) {
        cairo_scale(cr, room / extents.x_advance, 1.0);
    }
    cairo_show_text(cr, text);
    cairo_restore(cr);
}

static void rule(cairo_t *cr, double y, double width)
{
    cairo_set_line_width(cr, width);
    cairo_move_to(cr, MARGIN, y);
    cairo_line_to(cr, CW_SHEET_WIDTH - MARGIN, y);
    cairo_stroke(cr);
}

static void draw_code(cairo_t *cr, const struct cw_sheet_code *code)
{
    double side = code->width ? CODE / code->width : 0.0;
    double x = CW_SHEET_WIDTH - MARGIN - CODE, y = MARGIN;
    for (int row = 0; row < code->width; row++) {
        for (int column = 0; column < code->width; column++) {
            if (code->square[row * code->width + column] & 1) {
                cairo_rectangle(cr, x + column * side, y + row * side, side, side);
            }
        }
    }
    cairo_fill(cr);
}

static void heading(struct pen *pen, enum cw_sheet_section section)
{
    const struct cw_sheet_heading *h = &cw_sheet_heading[section];
    if (!*h->title) {
        return;
    }
    pen->y += 5.0;
    cw_page_font(pen->cr, TEXT + 1.0, true);
    write_at(pen->cr, MARGIN, pen->y, VALUE - MARGIN - 4.0, h->title);
    cw_page_font(pen->cr, TEXT - 0.8, false);
    write_at(pen->cr, VALUE, pen->y, 180.0, h->first);
    write_at(pen->cr, SECOND, pen->y, CW_SHEET_WIDTH - MARGIN - SECOND, h->second);
    rule(pen->cr, pen->y + 3.0, 0.6);
    pen->y += LINE + 1.0;
}

/* A name, and one value or two; or a sentence. The title's rows stop short of the code. */
static void draw_row(struct pen *pen, const struct cw_sheet_row *row)
{
    double right = CW_SHEET_WIDTH - MARGIN - (row->section == CW_SHEET_TITLE ? CODE + 10.0 : 0.0);
    double value = row->section == CW_SHEET_TITLE ? 110.0 : VALUE;
    cw_page_font(pen->cr, TEXT, false);
    if (!*row->name) {
        write_at(pen->cr, MARGIN, pen->y, right - MARGIN, row->first);
    } else {
        write_at(pen->cr, MARGIN, pen->y, value - MARGIN - 6.0, row->name);
        write_at(pen->cr, value, pen->y, (*row->second ? SECOND - 10.0 : right) - value, row->first);
        write_at(pen->cr, SECOND, pen->y, right - SECOND, row->second);
    }
    pen->y += LINE;
}

static void draw_rows(struct pen *pen, const struct cw_sheet *sheet)
{
    int section = -1;
    for (size_t i = 0; i < sheet->count; i++) {
        if ((int)sheet->row[i].section != section) {
            section = (int)sheet->row[i].section;
            heading(pen, sheet->row[i].section);
        }
        draw_row(pen, &sheet->row[i]);
    }
}

/* Status, title, page; on both pages. */
static void draw_head(struct pen *pen, const struct cw_seal *seal, bool sealed, int page)
{
    char text[CW_PAGE_TEXT];
    cairo_set_source_rgb(pen->cr, 0.0, 0.0, 0.0);
    cw_page_font(pen->cr, 20.0, true);
    write_at(pen->cr, MARGIN, MARGIN + 16.0, 300.0, cw_sheet_status(seal, sealed));
    cw_page_font(pen->cr, TEXT, false);
    snprintf(text, sizeof text, "Winding sheet, page %d of 2: %s, revision %s", page, seal->title, seal->revision);
    write_at(pen->cr, MARGIN, MARGIN + 30.0, 400.0, text);
    pen->y = MARGIN + 46.0;
}

static void draw_schematic(struct pen *pen, const struct cw_seal *seal)
{
    char title[160], parts[96];
    const struct cw_setup *setup = &seal->setup;
    const double scale = (CW_SHEET_WIDTH - 2.0 * MARGIN) / CW_SCHEMATIC_WIDTH * 0.72;
    snprintf(title, sizeof title, "%s, %s", cw_split_kind[(int)setup->value[CW_P_SPLIT_BY]].brief,
             cw_split_parts(setup, 0.0, 0.0, parts, sizeof parts));
    const struct cw_schematic schematic = {setup, title, NULL, 0.0, 0.0};
    cairo_save(pen->cr);
    cairo_translate(pen->cr, MARGIN, pen->y);
    cairo_scale(pen->cr, scale, scale);
    cw_schematic_draw(pen->cr, &schematic);
    cairo_restore(pen->cr);
    pen->y += scale * CW_SCHEMATIC_HEIGHT + LINE;
    cairo_set_source_rgb(pen->cr, 0.0, 0.0, 0.0);
}

/* A table to be filled in by hand. */
static void draw_blanks(struct pen *pen)
{
    static const char *const column[] = {"Serial",   "Resistance", "at °C", "Inductance",
                                         "mode, Hz", "Resonance",  "Keep?"};
    enum { COLUMNS = sizeof column / sizeof column[0] };
    const double width = (CW_SHEET_WIDTH - 2.0 * MARGIN) / COLUMNS, height = 17.0;
    double top = pen->y;
    cw_page_font(pen->cr, TEXT, true);
    for (int i = 0; i < COLUMNS; i++) {
        write_at(pen->cr, MARGIN + i * width + 3.0, pen->y + 10.0, width - 6.0, column[i]);
    }
    pen->y += height;
    for (; pen->y + height < CW_SHEET_HEIGHT - MARGIN; pen->y += height) {
        rule(pen->cr, pen->y, 0.4);
    }
    rule(pen->cr, pen->y, 0.4);
    for (int i = 0; i <= COLUMNS; i++) {
        cairo_move_to(pen->cr, MARGIN + i * width, top);
        cairo_line_to(pen->cr, MARGIN + i * width, pen->y);
    }
    cairo_stroke(pen->cr);
}

void cw_sheet_draw(cairo_t *cr, const struct cw_seal *seal, bool sealed, const struct cw_sheet *sheet,
                   const struct cw_sheet_code *code)
{
    struct pen pen = {cr, 0.0};
    draw_head(&pen, seal, sealed, 1);
    draw_code(cr, code);
    draw_rows(&pen, sheet);
    cairo_show_page(cr);
    draw_head(&pen, seal, sealed, 2);
    if (cw_split_acts(&seal->setup)) {
        draw_schematic(&pen, seal);
    }
    draw_blanks(&pen);
    cairo_show_page(cr);
}
