/* SPDX-License-Identifier: ISC */
#include "plot.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "constants.h"
#include "numbers.h"
#include "plot_place.h"
#include "rect.h"

struct colour {
    double r, g, b;
};

/* Two looks: ink on paper, and light on dark for a screen. The line colours are told apart in
 * grey by their line styles. */
struct theme {
    struct colour paper, ink, faded, grid, strong;
    struct colour line[CW_PLOT_DIRECT];
};

#define RGB(hex)                                                                                                       \
    {                                                                                                                  \
        ((hex) >> 16 & 255) / 255.0, ((hex) >> 8 & 255) / 255.0, ((hex)&255) / 255.0                                   \
    }

static const struct theme light = {RGB(0xffffff),
                                   RGB(0x23282e),
                                   RGB(0x6b747e),
                                   RGB(0xe7eaed),
                                   RGB(0xb4bbc2),
                                   {RGB(0x1b5a9e), RGB(0xc0491b), RGB(0x22734f), RGB(0x77479b), RGB(0x94700a),
                                    RGB(0x0c7f8c), RGB(0xaa2f68), RGB(0x4d5864)}};
static const struct theme dark = {RGB(0x171b20),
                                  RGB(0xe4e8ec),
                                  RGB(0x98a2ad),
                                  RGB(0x2a3037),
                                  RGB(0x525c66),
                                  {RGB(0x72b2f2), RGB(0xf2925e), RGB(0x6fcf9f), RGB(0xc59be8), RGB(0xe0bd55),
                                   RGB(0x5fd0dc), RGB(0xf084b4), RGB(0xaab4be)}};

/* Line styles: lengths of dash and space in unscaled pixels. */
static const struct {
    int count;
    double dash[6];
} styles[CW_PLOT_DIRECT] = {{0, {0}},          {2, {8, 4}},  {2, {2.2, 3}},
                            {4, {9, 3, 2, 3}}, {2, {14, 5}}, {6, {8, 3, 2, 3, 2, 3}},
                            {2, {5, 2}},       {2, {2, 6}}};

static const double text_size = 12.0, title_size = 15.0, swatch = 24.0;

/* What one drawing goes along with. */
struct pen {
    cairo_t *cr;
    const struct cw_plot *plot;
    const struct theme *theme;
    double width, height, scale;
    struct cw_plot_frame frame;
    struct cw_place_map map;
    bool direct[CW_PLOT_CURVES]; /* labelled at the curve; the others are in the legend */
    struct cw_rect label[CW_PLOT_DIRECT];
    bool peak_text[CW_PLOT_DIRECT]; /* told at the peak; else with the label */
    bool named[CW_PLOT_DIRECT];     /* the name too stands at the peak, and nowhere else */
    struct cw_rect peak[CW_PLOT_DIRECT];
    int legend_columns, legend_rows;
    double legend_width; /* of a column */
};

static void ink(const struct pen *pen, struct colour c, double alpha)
{
    cairo_set_source_rgba(pen->cr, c.r, c.g, c.b, alpha);
}

static void font(const struct pen *pen, double size, bool bold)
{
    cairo_select_font_face(pen->cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                           bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(pen->cr, size * pen->scale);
}

static double text_width(const struct pen *pen, const char *text)
{
    cairo_text_extents_t extents;
    cairo_text_extents(pen->cr, text, &extents);
    return extents.x_advance;
}

static void text_at(const struct pen *pen, double x, double y, const char *text)
{
    cairo_move_to(pen->cr, x, y);
    cairo_show_text(pen->cr, text);
}

/* Shorten to a width; cut between characters and end in an ellipsis. */
static void fit_text(const struct pen *pen, char *text, size_t size, double width)
{
    static const char ellipsis[] = "\xe2\x80\xa6";
    size_t length = strlen(text);
    if (text_width(pen, text) <= width) {
        return;
    }
    while (length > 0) {
        do {
            length--;
        } while (length > 0 && ((unsigned char)text[length] & 0xc0) == 0x80);
        if (length + sizeof ellipsis <= size) {
            memcpy(text + length, ellipsis, sizeof ellipsis);
            if (text_width(pen, text) <= width) {
                return;
            }
        }
    }
    text[0] = '\0';
}

/* Signed number with the typographic minus. */
static void print_signed(double value, char *text, size_t size)
{
    double near = fabs(value) < 1e-9 ? 0.0 : value;
    snprintf(text, size, "%s%.4g", near < 0 ? "\xe2\x88\x92" : near > 0 ? "+" : "", fabs(near));
}

/* A value with its unit, for a readout. */
static void print_value(enum cw_plot_axis axis, double value, char *text, size_t size)
{
    if (axis == CW_PLOT_IMPEDANCE) {
        cw_print_ohms(1e-3 * value, text, size);
        return;
    }
    char number[16];
    cw_print_signed(value, 1, number, sizeof number);
    snprintf(text, size, "%s %s", number, axis == CW_PLOT_PHASE ? "\xc2\xb0" : "dB");
    cw_true_minus(text, size);
}

static int around(int number) { return (number % CW_PLOT_DIRECT + CW_PLOT_DIRECT) % CW_PLOT_DIRECT; }

static struct colour colour_of(const struct pen *pen, const struct cw_plot_curve *curve)
{
    return pen->theme->line[around(curve->style)];
}

/* After eight curves the colours come again with other line styles, so that all 64 pairs differ. */
static int dash_of(const struct cw_plot_curve *curve) { return around(curve->style + curve->style / CW_PLOT_DIRECT); }

static void line_style(const struct pen *pen, const struct cw_plot_curve *curve)
{
    int style = dash_of(curve);
    double dash[6];
    for (int i = 0; i < styles[style].count; i++) {
        dash[i] = styles[style].dash[i] * pen->scale;
    }
    ink(pen, colour_of(pen, curve), 1.0);
    cairo_set_dash(pen->cr, dash, styles[style].count, 0.0);
    cairo_set_line_width(pen->cr, (curve->faint ? 1.2 : 2.0) * pen->scale);
    cairo_set_line_cap(pen->cr, CAIRO_LINE_CAP_BUTT);
    cairo_set_line_join(pen->cr, CAIRO_LINE_JOIN_ROUND);
}

static void plain_line(const struct pen *pen, double width)
{
    cairo_set_dash(pen->cr, NULL, 0, 0.0);
    cairo_set_line_width(pen->cr, width * pen->scale);
}

/* Lines of the grid fall on pixels, so that they are sharp on a screen. */
static double sharp(double place) { return floor(place) + 0.5; }

static void level_label(const struct pen *pen, double value, bool top, char *text, size_t size)
{
    switch (pen->plot->axis) {
    case CW_PLOT_IMPEDANCE: cw_print_ohms(1e-3 * value, text, size); break;
    case CW_PLOT_PHASE:
        print_signed(value, text, size - 3);
        strcat(text, "\xc2\xb0");
        break;
    case CW_PLOT_LEVEL:
    case CW_PLOT_DIFFERENCE:
    default:
        print_signed(value, text, size - 4);
        if (top) {
            strcat(text, " dB");
        }
        break;
    }
}

/* The lines across: values from low to high; 1-2-5 on the logarithmic axis. Returns their number. */
static int level_lines(const struct pen *pen, double *value, int room)
{
    const struct cw_plot_range *range = &pen->frame.range;
    int count = 0;
    if (range->step > 0.0) {
        for (double k = ceil(range->low / range->step - 1e-9);
             k * range->step <= range->high + 1e-9 * range->step && count < room; k++) {
            value[count++] = k * range->step;
        }
        return count;
    }
    static const double marks[] = {1, 2, 5};
    double decades = log10(range->high / range->low);
    bool dense = pen->frame.height / decades > 90.0 * pen->scale;
    for (double decade = pow(10.0, floor(log10(range->low) + 1e-9)); decade <= range->high; decade *= 10) {
        for (int i = 0; i < (dense ? 3 : 1) && count < room; i++) {
            double v = decade * marks[i];
            if (v >= range->low * 0.999 && v <= range->high * 1.001) {
                value[count++] = v;
            }
        }
    }
    return count;
}

enum { LINES_MAX = 64 };

static double level_labels_width(const struct pen *pen)
{
    double value[LINES_MAX], widest = 0.0;
    int count = level_lines(pen, value, LINES_MAX);
    for (int i = 0; i < count; i++) {
        char text[32];
        level_label(pen, value[i], i == count - 1, text, sizeof text);
        widest = fmax(widest, text_width(pen, text));
    }
    return widest;
}

static void draw_level_grid(const struct pen *pen)
{
    const struct cw_plot_frame *f = &pen->frame;
    double value[LINES_MAX];
    int count = level_lines(pen, value, LINES_MAX);
    double last = INFINITY;
    for (int i = 0; i < count; i++) {
        double y = cw_plot_y(f, value[i]);
        bool zero = pen->plot->axis != CW_PLOT_IMPEDANCE && fabs(value[i]) < 1e-9;
        ink(pen, zero ? pen->theme->strong : pen->theme->grid, 1.0);
        plain_line(pen, 1.0);
        cairo_move_to(pen->cr, f->x, sharp(y));
        cairo_line_to(pen->cr, f->x + f->width, sharp(y));
        cairo_stroke(pen->cr);
        if (last - y > 1.2 * text_size * pen->scale) {
            char text[32];
            level_label(pen, value[i], i == count - 1, text, sizeof text);
            ink(pen, pen->theme->faded, 1.0);
            text_at(pen, f->x - 7 * pen->scale - text_width(pen, text), y + 0.35 * text_size * pen->scale, text);
            last = y;
        }
    }
}

static void hz_label(double hz, char *text, size_t size)
{
    if (hz >= 19999.0) {
        snprintf(text, size, "%.0f kHz", hz / 1000);
    } else if (hz >= 1000) {
        snprintf(text, size, "%.0fk", hz / 1000);
    } else {
        snprintf(text, size, hz < 20.5 ? "%.0f Hz" : "%.0f", hz);
    }
}

static void draw_hz_line(const struct pen *pen, double hz, bool labelled)
{
    const struct cw_plot_frame *f = &pen->frame;
    double x = sharp(cw_plot_x(f, hz));
    ink(pen, pen->theme->grid, labelled ? 1.0 : 0.55);
    plain_line(pen, 1.0);
    cairo_move_to(pen->cr, x, f->y);
    cairo_line_to(pen->cr, x, f->y + f->height);
    cairo_stroke(pen->cr);
}

/* Labels from the most wanted to the least; one that would touch another is left out. */
static void draw_hz_labels(const struct pen *pen)
{
    static const double wanted[] = {20, 20000, 1000, 100, 10000, 200, 500, 2000, 5000, 50};
    const struct cw_plot_frame *f = &pen->frame;
    struct {
        double from, to;
    } used[sizeof wanted / sizeof wanted[0]];
    int count = 0;
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
        char text[16];
        hz_label(wanted[i], text, sizeof text);
        double width = text_width(pen, text), from = cw_plot_x(f, wanted[i]) - width / 2;
        from = fmin(from, pen->width - width - 2 * pen->scale);
        bool clear = true;
        for (int k = 0; k < count; k++) {
            clear = clear && (from > used[k].to + 6 * pen->scale || from + width < used[k].from - 6 * pen->scale);
        }
        if (clear) {
            ink(pen, pen->theme->faded, 1.0);
            text_at(pen, from, f->y + f->height + (text_size + 6) * pen->scale, text);
            used[count].from = from;
            used[count++].to = from + width;
        }
    }
}

static void draw_hz_grid(const struct pen *pen)
{
    for (double decade = 10; decade <= 10000; decade *= 10) {
        for (int i = 1; i < 10; i++) {
            double hz = decade * i;
            if (hz > 20.5 && hz < 19999.0) {
                draw_hz_line(pen, hz, i == 1 || i == 2 || i == 5);
            }
        }
    }
    draw_hz_labels(pen);
}

static void draw_curve(const struct pen *pen, const struct cw_plot_curve *curve)
{
    const struct cw_plot_frame *f = &pen->frame;
    bool down = false;
    cairo_new_path(pen->cr);
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        double value = curve->value[i];
        if (!isfinite(value) || (f->axis == CW_PLOT_IMPEDANCE && value <= 0.0)) {
            down = false;
            continue;
        }
        /* Far outside the frame is as good as just outside, and within cairo's number range. */
        double y = fmin(fmax(cw_plot_y(f, value), f->y - 4000.0), f->y + f->height + 4000.0);
        double x = f->x + f->width * i / (CW_PLOT_POINTS - 1);
        (down ? cairo_line_to : cairo_move_to)(pen->cr, x, y);
        down = true;
    }
    line_style(pen, curve);
    cairo_stroke(pen->cr);
}

/* Marks stand apart where there is room; where there is none the stems do. */
static void draw_partials(const struct pen *pen, const struct cw_plot_partials *partials)
{
    const struct cw_plot_frame *f = &pen->frame;
    const struct cw_plot_curve *curve = &pen->plot->curve[partials->curve];
    const double foot = f->y + f->height + 10.0 * pen->scale;
    double last = -INFINITY;
    for (int i = 0; i < partials->count; i++) {
        const double hz = partials->hz[i], x = cw_plot_x(f, hz), from = cw_plot_value(curve, hz);
        if (!isfinite(from) || isnan(partials->value[i]) || hz > CW_PLOT_HZ_HIGH) {
            continue;
        }
        const double y = fmin(cw_plot_y(f, fmax(partials->value[i], -1e3)), foot);
        ink(pen, colour_of(pen, curve), 0.55);
        plain_line(pen, 1.0);
        cairo_move_to(pen->cr, x, fmin(cw_plot_y(f, from), foot));
        cairo_line_to(pen->cr, x, y);
        cairo_stroke(pen->cr);
        if (x - last > 3.5 * pen->scale) {
            cairo_arc(pen->cr, x, y, 1.7 * pen->scale, 0.0, CW_TAU);
            ink(pen, colour_of(pen, curve), 1.0);
            cairo_fill(pen->cr);
            last = x;
        }
    }
}

static bool peak_in_frame(const struct pen *pen, const struct cw_plot_curve *curve)
{
    return curve->peak && isfinite(curve->peak_value) && curve->peak_hz >= CW_PLOT_HZ_LOW &&
           curve->peak_hz <= CW_PLOT_HZ_HIGH && curve->peak_value >= pen->frame.range.low &&
           curve->peak_value <= pen->frame.range.high;
}

static void print_peak(const struct cw_plot_curve *curve, char *text, size_t size)
{
    char hz[24], db[24];
    cw_print_hz(curve->peak_hz, hz, sizeof hz);
    print_value(CW_PLOT_LEVEL, curve->peak_over, db, sizeof db);
    snprintf(text, size, "%s, %s", hz, db);
}

static void draw_peak(const struct pen *pen, const struct cw_plot_curve *curve)
{
    cairo_new_path(pen->cr);
    cairo_arc(pen->cr, cw_plot_x(&pen->frame, curve->peak_hz), cw_plot_y(&pen->frame, curve->peak_value),
              3.6 * pen->scale, 0.0, CW_TAU);
    ink(pen, pen->theme->paper, 1.0);
    cairo_fill_preserve(pen->cr);
    ink(pen, colour_of(pen, curve), 1.0);
    plain_line(pen, 1.6);
    cairo_stroke(pen->cr);
}

/* Text of a curve's label; with the peak where that is not told at the marker. */
static void label_text(const struct pen *pen, size_t c, char *text, size_t size)
{
    const struct cw_plot_curve *curve = &pen->plot->curve[c];
    bool told = c < CW_PLOT_DIRECT && pen->peak_text[c];
    if (peak_in_frame(pen, curve) && !told) {
        char peak[64];
        print_peak(curve, peak, sizeof peak);
        snprintf(text, size, "%s (%s)", curve->label, peak);
    } else {
        snprintf(text, size, "%s", curve->label);
    }
}

enum { LABEL_SIZE = CW_PLOT_TEXT + 72 };

/* The widest that a label at a curve may be. */
static double label_room(const struct pen *pen)
{
    return fmax(0.45 * pen->frame.width, fmin(0.75 * pen->frame.width, 260.0 * pen->scale));
}

static double line_height(const struct pen *pen) { return (text_size + 4.0) * pen->scale; }

/* Text at a peak's marker: with the curve's name where there is room, which then stands nowhere else. */
static void print_peak_text(const struct pen *pen, int c, char *text, size_t size)
{
    const struct cw_plot_curve *curve = &pen->plot->curve[c];
    char peak[64];
    print_peak(curve, peak, sizeof peak);
    snprintf(text, size, "%s%s%s", pen->named[c] ? curve->label : "", pen->named[c] ? "  " : "", peak);
}

static void place_peak(struct pen *pen, int c)
{
    const struct cw_plot_curve *curve = &pen->plot->curve[c];
    for (int named = curve->label[0] != '\0'; named >= 0 && !pen->peak_text[c]; named--) {
        char text[LABEL_SIZE];
        pen->named[c] = named;
        print_peak_text(pen, c, text, sizeof text);
        double width = text_width(pen, text) + (named ? (swatch + 6.0) * pen->scale : 0.0);
        pen->peak_text[c] =
            (!named || width <= label_room(pen)) &&
            cw_place_beside(&pen->map, cw_plot_x(&pen->frame, curve->peak_hz),
                            cw_plot_y(&pen->frame, curve->peak_value), width, line_height(pen), &pen->peak[c]);
    }
}

static void place_peaks(struct pen *pen)
{
    for (int c = 0; c < pen->map.curves; c++) {
        const struct cw_plot_curve *curve = &pen->plot->curve[c];
        pen->peak_text[c] = pen->named[c] = false;
        if (peak_in_frame(pen, curve)) {
            double r = 5.0 * pen->scale, x = cw_plot_x(&pen->frame, curve->peak_hz),
                   y = cw_plot_y(&pen->frame, curve->peak_value);
            cw_place_take(&pen->map, (struct cw_rect){x - r, y - r, 2 * r, 2 * r});
        }
    }
    for (int c = 0; c < pen->map.curves; c++) {
        const struct cw_plot_curve *curve = &pen->plot->curve[c];
        if (peak_in_frame(pen, curve)) {
            place_peak(pen, c);
        }
    }
}

/* Labels at the curves. Returns the number of curves that are left for the legend. */
static int place_labels(struct pen *pen)
{
    int left = 0;
    bool direct = pen->plot->count <= CW_PLOT_DIRECT;
    cw_place_init(&pen->map, pen->plot, &pen->frame, pen->scale);
    font(pen, text_size, false);
    if (direct) {
        place_peaks(pen);
    } else {
        memset(pen->peak_text, 0, sizeof pen->peak_text);
        memset(pen->named, 0, sizeof pen->named);
    }
    for (size_t c = 0; c < pen->plot->count; c++) {
        char text[LABEL_SIZE];
        label_text(pen, c, text, sizeof text);
        fit_text(pen, text, sizeof text, label_room(pen));
        double width = text_width(pen, text) + (swatch + 6.0) * pen->scale;
        bool named = direct && pen->named[c];
        pen->direct[c] = direct && !named && pen->plot->curve[c].label[0] &&
                         cw_place_along(&pen->map, (int)c, width, line_height(pen), &pen->label[c]);
        left += !pen->direct[c] && !named && pen->plot->curve[c].label[0];
    }
    return left;
}

static void draw_swatch(const struct pen *pen, const struct cw_plot_curve *curve, double x, double y)
{
    cairo_new_path(pen->cr);
    cairo_move_to(pen->cr, x, y);
    cairo_line_to(pen->cr, x + swatch * pen->scale, y);
    line_style(pen, curve);
    cairo_stroke(pen->cr);
}

static void draw_backing(const struct pen *pen, const struct cw_rect *box)
{
    ink(pen, pen->theme->paper, 0.85);
    cairo_rectangle(pen->cr, box->x - pen->scale, box->y, box->w + 2 * pen->scale, box->h);
    cairo_fill(pen->cr);
}

static double baseline(const struct pen *pen, const struct cw_rect *box) { return box->y + box->h - 4.2 * pen->scale; }

static void draw_labels(const struct pen *pen)
{
    font(pen, text_size, false);
    for (int c = 0; c < pen->map.curves; c++) {
        const struct cw_plot_curve *curve = &pen->plot->curve[c];
        char text[LABEL_SIZE];
        if (pen->peak_text[c]) {
            const struct cw_rect *box = &pen->peak[c];
            double indent = pen->named[c] ? (swatch + 6.0) * pen->scale : 0.0;
            print_peak_text(pen, c, text, sizeof text);
            draw_backing(pen, box);
            if (pen->named[c]) {
                draw_swatch(pen, curve, box->x, box->y + box->h / 2);
            }
            ink(pen, colour_of(pen, curve), 1.0);
            text_at(pen, box->x + indent, baseline(pen, box), text);
        }
        if (pen->direct[c]) {
            const struct cw_rect *box = &pen->label[c];
            label_text(pen, (size_t)c, text, sizeof text);
            fit_text(pen, text, sizeof text, label_room(pen));
            draw_backing(pen, box);
            draw_swatch(pen, curve, box->x, box->y + box->h / 2);
            ink(pen, pen->theme->ink, 1.0);
            text_at(pen, box->x + (swatch + 6.0) * pen->scale, baseline(pen, box), text);
        }
    }
}

/* Columns and rows of a legend for so many curves, and its height. */
static double plan_legend(struct pen *pen, int entries)
{
    pen->legend_rows = pen->legend_columns = 0;
    if (entries == 0 || pen->plot->bare) {
        return 0.0;
    }
    double room = pen->width - 24.0 * pen->scale, widest = 0.0;
    font(pen, text_size, false);
    for (size_t c = 0; c < pen->plot->count; c++) {
        char text[LABEL_SIZE];
        label_text(pen, c, text, sizeof text);
        widest = fmax(widest, text_width(pen, text));
    }
    double column = fmin(widest + (swatch + 24.0) * pen->scale, room);
    int most_rows = (int)(0.4 * pen->height / line_height(pen));
    int columns = (int)(room / column);
    /* Rather narrower columns with shortened labels than curves without a name. */
    while (most_rows > 0 && columns * most_rows < entries && room / (columns + 1) > 120.0 * pen->scale) {
        columns++;
    }
    int rows = (entries + columns - 1) / columns;
    pen->legend_columns = columns;
    pen->legend_rows = rows < most_rows ? rows : most_rows;
    pen->legend_width = room / columns;
    return pen->legend_rows * line_height(pen) + (pen->legend_rows ? 8.0 * pen->scale : 0.0);
}

static void draw_legend(const struct pen *pen, int entries)
{
    double top = pen->height - pen->legend_rows * line_height(pen) - 8.0 * pen->scale;
    int room = pen->legend_rows * pen->legend_columns, at = 0;
    font(pen, text_size, false);
    for (size_t c = 0; c < pen->plot->count && at < room; c++) {
        const struct cw_plot_curve *curve = &pen->plot->curve[c];
        if (pen->direct[c] || !curve->label[0] || (c < CW_PLOT_DIRECT && pen->named[c])) {
            continue;
        }
        double x = 12.0 * pen->scale + pen->legend_width * (at % pen->legend_columns);
        double y = top + line_height(pen) * (at / pen->legend_columns + 0.5);
        char text[LABEL_SIZE];
        if (at == room - 1 && entries > room) {
            snprintf(text, sizeof text, "and %d more", entries - room + 1);
        } else {
            label_text(pen, c, text, sizeof text);
            draw_swatch(pen, curve, x, y);
        }
        fit_text(pen, text, sizeof text, pen->legend_width - (swatch + 18.0) * pen->scale);
        ink(pen, pen->theme->ink, 1.0);
        text_at(pen, x + (swatch + 6.0) * pen->scale, y + 0.35 * text_size * pen->scale, text);
        at++;
    }
}

/* The frame around the curves, above a legend of the given height. */
static void lay_out(struct pen *pen, double legend)
{
    double s = pen->scale;
    struct cw_plot_frame *f = &pen->frame;
    bool titled = pen->plot->title[0] && pen->height > 120.0 * s;
    f->axis = pen->plot->axis;
    f->y = (titled ? 34.0 : 12.0) * s;
    f->height = fmax(pen->height - f->y - (text_size + 18.0) * s - legend, 10.0 * s);
    f->range = cw_plot_range_of(pen->plot, f->height / s);
    font(pen, text_size, false);
    f->x = level_labels_width(pen) + 16.0 * s;
    f->width = fmax(pen->width - f->x - 26.0 * s, 10.0 * s);
}

/* Lay out above a legend of the given height. Returns the height that the legend then needs. */
static double try_legend(struct pen *pen, double legend, int *left)
{
    lay_out(pen, legend);
    *left = place_labels(pen);
    return plan_legend(pen, *left);
}

/* Returns the number of curves in the legend. */
static int lay_out_all(struct pen *pen)
{
    double legend = 0.0, needed;
    int left = 0;
    /* A legend takes height, and with less height more labels may find no room. */
    for (int pass = 0; pass < 4 && (needed = try_legend(pen, legend, &left)) > legend + 0.5; pass++) {
        legend = needed;
    }
    needed = plan_legend(pen, left);
    if (needed < legend - 0.5 && try_legend(pen, needed, &left) > needed + 0.5) {
        try_legend(pen, legend, &left);
    }
    return left;
}

static void draw_title(const struct pen *pen)
{
    if (!pen->plot->title[0] || pen->height <= 120.0 * pen->scale) {
        return;
    }
    char text[CW_PLOT_TEXT];
    double x = pen->frame.x, y = 23.0 * pen->scale, right = pen->width - 12.0 * pen->scale;
    memcpy(text, pen->plot->title, sizeof text);
    font(pen, title_size, true);
    fit_text(pen, text, sizeof text, right - x);
    ink(pen, pen->theme->ink, 1.0);
    text_at(pen, x, y, text);
    x += text_width(pen, text) + 14.0 * pen->scale;
    memcpy(text, pen->plot->note, sizeof text);
    font(pen, text_size, false);
    fit_text(pen, text, sizeof text, fmax(right - x, 0.0));
    ink(pen, pen->theme->faded, 1.0);
    text_at(pen, x, y, text);
}

/* Rows of the crosshair's readout: the frequency, then the value of each curve. */
static int readout(const struct pen *pen, char row[CW_PLOT_DIRECT + 1][LABEL_SIZE])
{
    cw_print_hz(pen->plot->crosshair_hz, row[0], LABEL_SIZE);
    int rows = 1;
    for (int c = 0; c < pen->map.curves; c++) {
        char value[32] = "silent";
        double v = cw_plot_value(&pen->plot->curve[c], pen->plot->crosshair_hz);
        if (isfinite(v)) {
            print_value(pen->plot->axis, v, value, sizeof value);
        }
        snprintf(row[rows++], LABEL_SIZE, "%s  %s", value, pen->plot->curve[c].label);
    }
    return rows;
}

static bool overlap(const struct cw_rect *a, const struct cw_rect *b)
{
    return a->x < b->x + b->w && b->x < a->x + a->w && a->y < b->y + b->h && b->y < a->y + a->h;
}

/* How much of the curves and of the words at their peaks a box would hide. */
static int hides(const struct pen *pen, const struct cw_rect *box)
{
    const struct cw_plot_frame *f = &pen->frame;
    int count = 0;
    for (int c = 0; c < pen->map.curves; c++) {
        for (int i = 0; i < CW_LABEL_POINTS; i++) {
            double x = f->x + f->width * i / (CW_LABEL_POINTS - 1), y = pen->map.y[c][i];
            count += x >= box->x && x <= box->x + box->w && y >= box->y && y <= box->y + box->h;
        }
        count += pen->peak_text[c] && overlap(box, &pen->peak[c]) ? CW_LABEL_POINTS : 0;
    }
    return count;
}

/* Beside the crosshair, at the top or the foot of the frame: where least is hidden. */
static void place_readout(const struct pen *pen, double x, struct cw_rect *box)
{
    const struct cw_plot_frame *f = &pen->frame;
    double s = pen->scale, least = INFINITY;
    struct cw_rect best = *box;
    for (int place = 0; place < 4; place++) {
        struct cw_rect at = *box;
        at.x = place % 2 ? fmax(x - 10 * s - box->w, f->x) : fmin(x + 10 * s, f->x + f->width - box->w);
        at.y = place / 2 ? f->y + f->height - 8 * s - box->h : f->y + 8 * s;
        /* Over the crosshair itself only where there is no room beside it. */
        double hidden = hides(pen, &at) + (at.x < x && at.x + at.w > x ? 1e6 : 0.0);
        if (hidden < least) {
            least = hidden;
            best = at;
        }
    }
    *box = best;
}

static void draw_readout(const struct pen *pen, double x)
{
    char row[CW_PLOT_DIRECT + 1][LABEL_SIZE];
    const struct cw_plot_frame *f = &pen->frame;
    int rows = readout(pen, row);
    double s = pen->scale, width = 0.0, most = 0.45 * f->width;
    font(pen, text_size, false);
    for (int i = 0; i < rows; i++) {
        fit_text(pen, row[i], LABEL_SIZE, most);
        width = fmax(width, text_width(pen, row[i]));
    }
    struct cw_rect box = {0, 0, width + (swatch + 22.0) * s, rows * line_height(pen) + 8 * s};
    place_readout(pen, x, &box);
    ink(pen, pen->theme->paper, 1.0);
    cairo_rectangle(pen->cr, box.x, box.y, box.w, box.h);
    cairo_fill_preserve(pen->cr);
    ink(pen, pen->theme->strong, 1.0);
    plain_line(pen, 1.0);
    cairo_stroke(pen->cr);
    for (int i = 0; i < rows; i++) {
        double y = box.y + 4 * s + line_height(pen) * (i + 1) - 4.2 * s;
        if (i > 0) {
            draw_swatch(pen, &pen->plot->curve[i - 1], box.x + 8 * s, y - 4.0 * s);
        }
        ink(pen, pen->theme->ink, 1.0);
        text_at(pen, box.x + (i > 0 ? swatch + 14.0 : 8.0) * s, y, row[i]);
    }
}

/* Whether the crosshair is shown, and where. */
static bool find_crosshair(const struct pen *pen, double *x)
{
    const struct cw_plot_frame *f = &pen->frame;
    *x = cw_plot_x(f, pen->plot->crosshair_hz);
    return pen->plot->crosshair && *x >= f->x && *x <= f->x + f->width;
}

static void draw_crosshair(const struct pen *pen)
{
    const struct cw_plot_frame *f = &pen->frame;
    double x;
    if (find_crosshair(pen, &x)) {
        ink(pen, pen->theme->faded, 1.0);
        plain_line(pen, 1.0);
        cairo_move_to(pen->cr, sharp(x), f->y);
        cairo_line_to(pen->cr, sharp(x), f->y + f->height);
        cairo_stroke(pen->cr);
    }
}

static void draw_curves(const struct pen *pen)
{
    const struct cw_plot_frame *f = &pen->frame;
    cairo_save(pen->cr);
    cairo_rectangle(pen->cr, f->x, f->y, f->width, f->height);
    cairo_clip(pen->cr);
    for (int i = 0; i < CW_PLOT_COMBS; i++) {
        draw_partials(pen, &pen->plot->partials[i]);
    }
    /* The first stands on top. */
    for (size_t c = pen->plot->count; c-- > 0;) {
        draw_curve(pen, &pen->plot->curve[c]);
    }
    cairo_restore(pen->cr);
    for (size_t c = pen->plot->count; c-- > 0;) {
        if (peak_in_frame(pen, &pen->plot->curve[c])) {
            draw_peak(pen, &pen->plot->curve[c]);
        }
    }
}

static void trace_ground(const struct pen *pen, const double height[CW_PLOT_POINTS])
{
    const struct cw_plot_frame *f = &pen->frame;
    for (int i = 0; i < CW_PLOT_POINTS; i += 5) {
        cairo_line_to(pen->cr, cw_plot_x(f, cw_plot_hz(i)), f->y + f->height * (1.0 - height[i]));
    }
}

/* Behind all that is worked out. */
static void draw_ground(const struct pen *pen)
{
    const struct cw_plot_frame *f = &pen->frame;
    if (!pen->plot->ground) {
        return;
    }
    cairo_move_to(pen->cr, f->x, f->y + f->height);
    trace_ground(pen, pen->plot->ground->height[0]);
    cairo_line_to(pen->cr, f->x + f->width, f->y + f->height);
    cairo_close_path(pen->cr);
    ink(pen, pen->theme->grid, 0.8);
    cairo_fill(pen->cr);
    trace_ground(pen, pen->plot->ground->height[1]);
    ink(pen, pen->theme->faded, 0.7);
    plain_line(pen, 1.0);
    cairo_stroke(pen->cr);
}

static void draw_background(const struct pen *pen)
{
    const struct cw_plot_frame *f = &pen->frame;
    font(pen, text_size, false);
    draw_level_grid(pen);
    draw_hz_grid(pen);
    ink(pen, pen->theme->strong, 1.0);
    plain_line(pen, 1.0);
    cairo_rectangle(pen->cr, sharp(f->x), sharp(f->y), floor(f->width), floor(f->height));
    cairo_stroke(pen->cr);
}

/* Text of the same width on a screen, in SVG and in PDF. */
static void set_font_options(cairo_t *cr)
{
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_set_font_options(cr, options);
    cairo_font_options_destroy(options);
}

void cw_plot_draw(cairo_t *cr, const struct cw_plot *plot, double width, double height, double scale,
                  struct cw_plot_frame *frame)
{
    struct pen pen = {
        .cr = cr, .plot = plot, .theme = plot->dark ? &dark : &light, .width = width, .height = height, .scale = scale};
    cairo_save(cr);
    cairo_rectangle(cr, 0, 0, width, height);
    cairo_clip(cr);
    set_font_options(cr);
    ink(&pen, pen.theme->paper, 1.0);
    cairo_paint(cr);
    int left = lay_out_all(&pen);
    draw_ground(&pen);
    draw_background(&pen);
    draw_curves(&pen);
    draw_crosshair(&pen);
    draw_labels(&pen);
    draw_legend(&pen, left);
    draw_title(&pen);
    double x;
    if (!plot->bare && find_crosshair(&pen, &x)) {
        draw_readout(&pen, x);
    }
    cairo_restore(cr);
    if (frame) {
        *frame = pen.frame;
    }
}

void cw_plot_colour(int style, bool is_dark, double rgb[3])
{
    struct colour c = (is_dark ? &dark : &light)->line[around(style)];
    rgb[0] = c.r;
    rgb[1] = c.g;
    rgb[2] = c.b;
}

void cw_plot_swatch(cairo_t *cr, int style, bool is_dark, double x, double y, double width, double scale)
{
    const struct cw_plot_curve curve = {.style = style};
    const struct pen pen = {.cr = cr, .theme = is_dark ? &dark : &light, .scale = scale};
    cairo_save(cr);
    cairo_new_path(cr);
    cairo_move_to(cr, x, y);
    cairo_line_to(cr, x + width, y);
    line_style(&pen, &curve);
    cairo_stroke(cr);
    cairo_restore(cr);
}
