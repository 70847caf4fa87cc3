/* SPDX-License-Identifier: ISC */
#include "page_font.h"

void cw_page_font(cairo_t *cr, double size, bool bold)
{
    cairo_select_font_face(cr, "sans", CAIRO_FONT_SLANT_NORMAL,
                           bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr, size);
}
