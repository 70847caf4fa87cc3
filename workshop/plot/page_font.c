/* SPDX-License-Identifier: ISC */
#include "page_font.h"

#include "escape.h"

void cw_page_font(cairo_t *cr, double size, bool bold)
{
    cairo_select_font_face(cr, "sans", CAIRO_FONT_SLANT_NORMAL,
                           bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr, size);
}

const char *cw_page_shown(const char *text, char to[CW_PAGE_TEXT]) { return cw_show(text, to, CW_PAGE_TEXT); }
