/* SPDX-License-Identifier: ISC */
#include "ink.h"

#include <string.h>

#include "escape.h"
#include "model.h"
#include "plot.h"
#include "rect.h"
#include "setup.h"

static const unsigned colours[CW_INKS] = {
    [CW_INK_BACK] = 0x171b20,  [CW_INK_PANEL] = 0x222830, [CW_INK_HOVER] = 0x2d353f,  [CW_INK_LINE] = 0x46505b,
    [CW_INK_TEXT] = 0xe4e8ec,  [CW_INK_FADED] = 0xa6b0ba, [CW_INK_BRIGHT] = 0xdfe5ea, [CW_INK_DARK] = 0x14181c,
    [CW_INK_FOCUS] = 0xf4d35e, [CW_INK_WRONG] = 0xff9d8a, [CW_INK_IDLE] = 0x8a949e};

void cw_ink_colour(struct cw_ink *ink, enum cw_colour colour)
{
    bool stands_out = colour == CW_INK_TEXT || colour == CW_INK_FADED || colour == CW_INK_BRIGHT;
    unsigned hex = colours[ink->idle && stands_out ? CW_INK_IDLE : colour];
    cairo_set_source_rgb(ink->cr, (hex >> 16 & 255) / 255.0, (hex >> 8 & 255) / 255.0, (hex & 255) / 255.0);
}

void cw_ink_setup(struct cw_ink *ink, enum cw_which which)
{
    double rgb[3];
    cw_plot_colour(cw_model_style(which), true, rgb);
    cairo_set_source_rgb(ink->cr, rgb[0], rgb[1], rgb[2]);
}

void cw_ink_font(struct cw_ink *ink, double size, bool bold)
{
    cairo_select_font_face(ink->cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                           bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(ink->cr, size);
}

double cw_ink_width(struct cw_ink *ink, const char *text)
{
    cairo_text_extents_t extents;
    cairo_text_extents(ink->cr, text, &extents);
    return extents.x_advance;
}

/* Cut whole characters from the end until the rest fits with an ellipsis. */
static void fit(struct cw_ink *ink, char *text, double width)
{
    static const char ellipsis[] = "\xe2\x80\xa6";
    size_t length = strlen(text);
    ink->shortened++;
    while (length > 0) {
        while (length > 0 && ((unsigned char)text[--length] & 0xc0) == 0x80) {
        }
        memcpy(text + length, ellipsis, sizeof ellipsis);
        if (cw_ink_width(ink, text) <= width) {
            return;
        }
    }
    text[0] = '\0';
}

void cw_ink_text(struct cw_ink *ink, double x, double y, double width, enum cw_align align, const char *text)
{
    char shown[320];
    cw_show(text, shown, sizeof shown - 4); /* cairo draws nothing more after bytes that are no text */
    double wide = cw_ink_width(ink, shown);
    if (wide > width + 0.5) {
        fit(ink, shown, width);
        wide = cw_ink_width(ink, shown);
    }
    double indent = align == CW_LEFT ? 0.0 : align == CW_RIGHT ? width - wide : (width - wide) / 2;
    cairo_move_to(ink->cr, x + indent, y);
    cairo_show_text(ink->cr, shown);
}

static void path(struct cw_ink *ink, struct cw_rect b, double radius)
{
    const double quarter = 1.5707963267948966;
    cairo_new_sub_path(ink->cr);
    cairo_arc(ink->cr, b.x + b.w - radius, b.y + radius, radius, -quarter, 0);
    cairo_arc(ink->cr, b.x + b.w - radius, b.y + b.h - radius, radius, 0, quarter);
    cairo_arc(ink->cr, b.x + radius, b.y + b.h - radius, radius, quarter, 2 * quarter);
    cairo_arc(ink->cr, b.x + radius, b.y + radius, radius, 2 * quarter, 3 * quarter);
    cairo_close_path(ink->cr);
}

void cw_ink_box(struct cw_ink *ink, struct cw_rect box, double radius)
{
    path(ink, box, radius);
    cairo_fill(ink->cr);
}

void cw_ink_edge(struct cw_ink *ink, struct cw_rect box, double radius, double width)
{
    /* Inside the box, so that no edge is cut off. */
    struct cw_rect inner = {box.x + width / 2, box.y + width / 2, box.w - width, box.h - width};
    path(ink, inner, radius);
    cairo_set_line_width(ink->cr, width);
    cairo_stroke(ink->cr);
}

void cw_ink_tick(struct cw_ink *ink, double x, double y, double size, bool on)
{
    struct cw_rect box = {x, y, size, size};
    cw_ink_colour(ink, on ? CW_INK_BRIGHT : CW_INK_BACK);
    cw_ink_box(ink, box, 3);
    cw_ink_colour(ink, on ? CW_INK_BRIGHT : CW_INK_FADED);
    cw_ink_edge(ink, box, 3, 1.2);
    if (on) {
        cw_ink_colour(ink, CW_INK_DARK);
        cairo_set_line_width(ink->cr, 2.2);
        cairo_move_to(ink->cr, x + 0.2 * size, y + 0.52 * size);
        cairo_line_to(ink->cr, x + 0.43 * size, y + 0.76 * size);
        cairo_line_to(ink->cr, x + 0.82 * size, y + 0.24 * size);
        cairo_stroke(ink->cr);
    }
}
