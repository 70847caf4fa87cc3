/* SPDX-License-Identifier: ISC */
/* The picture: what is drawn stands where the values say, labels keep clear of curves and of one
 * another, nothing leaves the rectangle, and any model survives. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "numbers.h"
#include "plot.h"
#include "plot_model.h"
#include "plot_place.h"
#include "rect.h"
#include "setups.h"
#include "within.h"

static struct cw_plot plot;

/* A resonant low-pass of second order, in dB. */
static double resonant(double hz, double f0, double damping)
{
    double r = hz / f0;
    return -10.0 * log10((1 - r * r) * (1 - r * r) + damping * r * r);
}

static struct cw_plot_curve *add_resonant(const char *label, double f0, double damping)
{
    struct cw_plot_curve *curve = cw_plot_add(&plot, label);
    assert_non_null(curve);
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        curve->value[i] = resonant(cw_plot_hz(i), f0, damping);
    }
    curve->peak = damping < 2;
    curve->peak_hz = f0 * sqrt(fmax(1 - damping / 2, 0.0));
    curve->peak_value = curve->peak_over = resonant(curve->peak_hz, f0, damping);
    return curve;
}

/* An image with what was drawn into its middle; around it nothing may change. */
struct picture {
    cairo_surface_t *surface;
    uint32_t *pixel;
    int width, height, stride; /* of the whole image, pixels */
    struct cw_plot_frame frame;
};

enum { MARGIN = 20 };
static const uint32_t untouched = 0xff123456u;

static struct picture draw(int width, int height, double scale)
{
    struct picture p = {.width = width + 2 * MARGIN, .height = height + 2 * MARGIN};
    p.surface = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, p.width, p.height);
    p.stride = cairo_image_surface_get_stride(p.surface) / 4;
    p.pixel = (uint32_t *)(void *)cairo_image_surface_get_data(p.surface);
    for (int i = 0; i < p.stride * p.height; i++) {
        p.pixel[i] = untouched;
    }
    cairo_surface_mark_dirty(p.surface);
    cairo_t *cr = cairo_create(p.surface);
    cairo_translate(cr, MARGIN, MARGIN);
    cw_plot_draw(cr, &plot, width, height, scale, &p.frame);
    assert_int_equal(cairo_status(cr), CAIRO_STATUS_SUCCESS);
    cairo_destroy(cr);
    cairo_surface_flush(p.surface);
    for (int y = 0; y < p.height; y++) {
        for (int x = 0; x < p.width; x++) {
            bool inside = x >= MARGIN && x < MARGIN + width && y >= MARGIN && y < MARGIN + height;
            if (inside == (p.pixel[y * p.stride + x] == untouched)) {
                fail_msg("pixel %d, %d of %d x %d: %s", x - MARGIN, y - MARGIN, width, height,
                         inside ? "not drawn" : "drawn outside");
            }
        }
    }
    return p;
}

static uint32_t pixel(const struct picture *p, double x, double y)
{
    return p->pixel[((int)floor(y) + MARGIN) * p->stride + (int)floor(x) + MARGIN];
}

static int saturation(uint32_t colour)
{
    int r = colour >> 16 & 255, g = colour >> 8 & 255, b = colour & 255;
    int most = r > g ? (r > b ? r : b) : (g > b ? g : b), least = r < g ? (r < b ? r : b) : (g < b ? g : b);
    return most - least;
}

static void axis_and_values(void **state)
{
    (void)state;
    cw_plot_clear(&plot);
    struct cw_plot_curve *curve = add_resonant("One", 3000, 0.3);
    within(cw_plot_hz(0), 20.0, 1e-12, "lowest");
    within(cw_plot_hz(CW_PLOT_POINTS - 1), 20000.0, 1e-9, "highest");
    within(cw_plot_hz(200), 200.0, 1e-9, "200 points a decade");
    for (double hz = 20; hz <= 20000; hz *= 1.013) {
        within(cw_plot_value(curve, hz), resonant(hz, 3000, 0.3), 0.01, "value between points");
    }
    within(cw_plot_value(curve, 1.0), curve->value[0], 0.0, "below the axis");
    within(cw_plot_value(curve, 1e6), curve->value[CW_PLOT_POINTS - 1], 0.0, "above the axis");
    struct cw_plot_frame frame = {50, 30, 600, 400, {-30, 10, 6}, CW_PLOT_LEVEL};
    within(cw_plot_x(&frame, 20.0), 50, 1e-9, "left");
    within(cw_plot_x(&frame, 20000.0), 650, 1e-9, "right");
    within(cw_plot_hz_at(&frame, cw_plot_x(&frame, 1234.0)), 1234.0, 1e-9, "there and back");
    within(cw_plot_y(&frame, 10), 30, 1e-9, "top");
    within(cw_plot_y(&frame, -30), 430, 1e-9, "foot");
}

static void words(void **state)
{
    char text[CW_PLOT_TEXT], hz[24];
    char long_text[600];
    (void)state;
    cw_plot_text(text, "4.7 kΩ\tand\n\xff\xe2\x28");
    assert_string_equal(text, "4.7 kΩ<U+0009>and<U+000A><0xFF><0xE2>(");
    memset(long_text, 'x', sizeof long_text - 1);
    long_text[sizeof long_text - 1] = '\0';
    cw_plot_text(text, long_text);
    assert_true(strlen(text) == CW_PLOT_TEXT - 1);
    assert_string_equal(text + strlen(text) - 3, "\xe2\x80\xa6");
    /* No character is cut in two, wherever the end falls. */
    for (int lead = 0; lead < 4; lead++) {
        memset(long_text, 'a', 4);
        for (int i = lead; i + 2 < 500; i += 3) {
            memcpy(long_text + i, "\xe2\x82\xac", 3);
        }
        cw_plot_text(text, long_text);
        size_t length = strlen(text);
        assert_true(length < CW_PLOT_TEXT);
        assert_true((length - (size_t)lead) % 3 == 0);
    }
    assert_string_equal(cw_print_hz(2871.4, hz, sizeof hz), "2.87 kHz");
    assert_string_equal(cw_print_hz(412.3, hz, sizeof hz), "412 Hz");
    assert_string_equal(cw_print_hz(999.7, hz, sizeof hz), "1.00 kHz");
    assert_string_equal(cw_print_hz(12345, hz, sizeof hz), "12.3 kHz");
    assert_string_equal(cw_print_hz(20, hz, sizeof hz), "20.0 Hz");
}

static void ranges(void **state)
{
    (void)state;
    for (double peak = 0.05; peak < 4; peak *= 1.3) {
        for (double height = 60; height < 1500; height *= 1.4) {
            cw_plot_clear(&plot);
            add_resonant("One", 2500, peak);
            struct cw_plot_range range = cw_plot_range_of(&plot, height);
            assert_true(range.low < range.high && range.step > 0.0);
            assert_true(range.high >= fmax(plot.curve[0].peak_value, 0.0));
            within(remainder(range.low, range.step), 0.0, 1e-9, "foot on a line");
            within(remainder(range.high, range.step), 0.0, 1e-9, "top on a line");
            assert_true(height / ((range.high - range.low) / range.step) > 15.0);
            plot.axis = CW_PLOT_DIFFERENCE;
            range = cw_plot_range_of(&plot, height);
            assert_true(range.low <= 0.0 && range.high >= 0.0 && range.low < range.high);
        }
    }
    cw_plot_clear(&plot);
    struct cw_plot_range range = cw_plot_range_of(&plot, 400);
    assert_true(range.low < range.high);
    struct cw_plot_curve *curve = cw_plot_add(&plot, "Impedance");
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        curve->value[i] = 8000.0 * (1 + i);
    }
    plot.axis = CW_PLOT_IMPEDANCE;
    range = cw_plot_range_of(&plot, 400);
    within(range.low, 5000, 1e-6, "low ohm");
    within(range.high, 1e7, 1e-3, "high ohm");
    plot.fixed_range = true;
    plot.axis = CW_PLOT_LEVEL;
    plot.low = -40;
    plot.high = 20;
    range = cw_plot_range_of(&plot, 400);
    assert_true(range.low == -40 && range.high == 20);
}

/* The line stands where the value says, in both looks and at two scales. */
static void the_line_is_where_the_value_is(void **state)
{
    (void)state;
    for (int look = 0; look < 4; look++) {
        double scale = look & 1 ? 2.0 : 1.0;
        cw_plot_clear(&plot);
        plot.dark = look & 2;
        cw_plot_text(plot.title, "Level");
        add_resonant("", 2500, 0.2);
        struct picture p = draw((int)(1000 * scale), (int)(500 * scale), scale);
        for (int i = 10; i < CW_PLOT_POINTS - 10; i += 13) {
            double value = plot.curve[0].value[i];
            double x = cw_plot_x(&p.frame, cw_plot_hz(i)), y = cw_plot_y(&p.frame, value);
            if (value < p.frame.range.low + 1 || fabs(cw_plot_hz(i) / plot.curve[0].peak_hz - 1) < 0.1) {
                continue;
            }
            if (saturation(pixel(&p, x, y)) < 60) {
                fail_msg("no line at %.0f Hz, %.2f dB", cw_plot_hz(i), value);
            }
            double aside = y - 25 * scale > p.frame.y ? y - 25 * scale : y + 25 * scale;
            if (fabs(aside - y) > 20 && cw_plot_hz(i) < 1000) {
                assert_true(saturation(pixel(&p, x, aside)) < 40);
            }
        }
        cairo_surface_destroy(p.surface);
    }
}

/* Without colour: the eight line styles differ in their rhythm along a flat line. */
static void styles_differ_without_colour(void **state)
{
    double rhythm[CW_PLOT_DIRECT][2];
    (void)state;
    for (int style = 0; style < CW_PLOT_DIRECT; style++) {
        cw_plot_clear(&plot);
        struct cw_plot_curve *curve = cw_plot_add(&plot, "");
        curve->style = style;
        for (int i = 0; i < CW_PLOT_POINTS; i++) {
            curve->value[i] = -3.3;
        }
        struct picture p = draw(1000, 500, 1.0);
        double y = cw_plot_y(&p.frame, -3.3);
        int drawn = 0, changes = 0, total = 0;
        bool was = false;
        for (double x = p.frame.x + 5; x < p.frame.x + p.frame.width - 5; x++, total++) {
            bool on = saturation(pixel(&p, x, y)) > 45 || saturation(pixel(&p, x, y - 1)) > 45;
            if (style == 7) { /* slate: hardly any colour; darkness instead */
                on = (pixel(&p, x, y) & 255) < 180 || (pixel(&p, x, y - 1) & 255) < 180;
            }
            drawn += on;
            changes += on != was;
            was = on;
        }
        rhythm[style][0] = (double)drawn / total;
        rhythm[style][1] = (double)changes / total;
        cairo_surface_destroy(p.surface);
        for (int other = 0; other < style; other++) {
            double apart = hypot(rhythm[style][0] - rhythm[other][0], 3 * (rhythm[style][1] - rhythm[other][1]));
            if (apart < 0.05) {
                fail_msg("styles %d and %d look alike: %.2f %.3f, %.2f %.3f", style, other, rhythm[style][0],
                         rhythm[style][1], rhythm[other][0], rhythm[other][1]);
            }
        }
    }
}

static bool overlap(const struct cw_rect *a, const struct cw_rect *b)
{
    return a->x < b->x + b->w && b->x < a->x + a->w && a->y < b->y + b->h && b->y < a->y + a->h;
}

static bool crosses(const struct cw_plot_frame *frame, const struct cw_plot_curve *curve, const struct cw_rect *box)
{
    for (double x = box->x; x <= box->x + box->w; x += 1.0) {
        double y = cw_plot_y(frame, cw_plot_value(curve, cw_plot_hz_at(frame, x)));
        if (y > box->y && y < box->y + box->h) {
            return true;
        }
    }
    return false;
}

/* Over random pictures: labels stand in the frame, over no label and across no curve. */
static void labels_keep_clear(void **state)
{
    struct rng rng = {5};
    int placed = 0, wanted = 0;
    (void)state;
    for (int round = 0; round < 60; round++) {
        cw_plot_clear(&plot);
        int count = 1 + rng_pick(&rng, CW_PLOT_DIRECT);
        for (int c = 0; c < count; c++) {
            add_resonant("Label", rng_log(&rng, 500, 12000), rng_log(&rng, 0.02, 3));
            double shift = rng_between(&rng, -12, 3);
            for (int i = 0; i < CW_PLOT_POINTS; i++) {
                plot.curve[c].value[i] += shift;
            }
            plot.curve[c].peak_value += shift;
        }
        double width = rng_between(&rng, 260, 1400), height = rng_between(&rng, 160, 800);
        struct cw_plot_frame frame = {40, 30, width, height, cw_plot_range_of(&plot, height), CW_PLOT_LEVEL};
        static struct cw_place_map map;
        cw_place_init(&map, &plot, &frame, 1.0);
        struct cw_rect box[2 * CW_PLOT_DIRECT];
        int boxes = 0;
        for (int c = 0; c < count; c++) {
            const struct cw_plot_curve *curve = &plot.curve[c];
            boxes += curve->peak && cw_place_beside(&map, cw_plot_x(&frame, curve->peak_hz),
                                                    cw_plot_y(&frame, curve->peak_value), 110, 16, &box[boxes]);
            bool found = cw_place_along(&map, c, rng_between(&rng, 60, 200), 16, &box[boxes]);
            boxes += found;
            placed += found;
            wanted++;
        }
        for (int i = 0; i < boxes; i++) {
            assert_true(box[i].x >= frame.x && box[i].y >= frame.y);
            assert_true(box[i].x + box[i].w <= frame.x + frame.width);
            assert_true(box[i].y + box[i].h <= frame.y + frame.height);
            for (int k = 0; k < i; k++) {
                assert_false(overlap(&box[i], &box[k]));
            }
            for (int c = 0; c < count; c++) {
                assert_false(crosses(&frame, &plot.curve[c], &box[i]));
            }
        }
    }
    print_message("%d of %d labels stand at their curves, the others in the legend\n", placed, wanted);
    assert_true(placed > wanted / 3);
}

/* A single curve is always labelled where it runs; two equal ones never are. */
static void labels_of_one_and_of_equals(void **state)
{
    static struct cw_place_map map;
    struct cw_rect box;
    (void)state;
    cw_plot_clear(&plot);
    add_resonant("One", 3000, 0.3);
    struct cw_plot_frame frame = {40, 30, 900, 450, cw_plot_range_of(&plot, 450), CW_PLOT_LEVEL};
    cw_place_init(&map, &plot, &frame, 1.0);
    assert_true(cw_place_along(&map, 0, 120, 16, &box));
    add_resonant("Two", 3000, 0.3);
    cw_place_init(&map, &plot, &frame, 1.0);
    assert_false(cw_place_along(&map, 0, 120, 16, &box));
}

static void any_number_at_any_size(void **state)
{
    static const int counts[] = {0, 1, 2, 6, 8, 9, 33, 64};
    static const int sizes[][2] = {{1280, 720}, {720, 480}, {240, 160}, {90, 60}, {1, 1}, {2000, 100}, {100, 2000}};
    struct rng rng = {9};
    (void)state;
    for (size_t k = 0; k < sizeof counts / sizeof counts[0]; k++) {
        for (int axis = CW_PLOT_LEVEL; axis <= CW_PLOT_PHASE; axis++) {
            cw_plot_clear(&plot);
            plot.axis = (enum cw_plot_axis)axis;
            plot.crosshair = k & 1;
            plot.crosshair_hz = 1500;
            cw_plot_text(plot.title, "A title that is rather long, so that it has to be cut at small sizes");
            cw_plot_text(plot.note, "and a note beside it");
            for (int c = 0; c < counts[k]; c++) {
                char label[200];
                snprintf(label, sizeof label, "Candidate %d%s", c,
                         c % 5 == 4
                             ? " with a name that goes on and on, as names of sounds in hosts do when no one stops them"
                             : "");
                add_resonant(label, rng_log(&rng, 300, 15000), rng_log(&rng, 0.01, 3));
            }
            for (size_t s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
                struct picture p = draw(sizes[s][0], sizes[s][1], s == 1 ? 2.0 : 1.0);
                cairo_surface_destroy(p.surface);
            }
        }
    }
    cw_plot_clear(&plot);
    for (int c = 0; c < CW_PLOT_CURVES; c++) {
        assert_non_null(cw_plot_add(&plot, "x"));
    }
    assert_null(cw_plot_add(&plot, "one too many"));
}

static void broken_values_survive(void **state)
{
    static const double odd[] = {NAN, INFINITY, -INFINITY, 1e308, -1e308, 0.0, -0.0, 1e-320};
    struct rng rng = {13};
    (void)state;
    for (int round = 0; round < 40; round++) {
        cw_plot_clear(&plot);
        plot.axis = (enum cw_plot_axis)(round % 4);
        for (int c = 0; c < 3; c++) {
            struct cw_plot_curve *curve = add_resonant("Odd", 2000, 0.5);
            for (int i = 0; i < CW_PLOT_POINTS; i++) {
                if (rng_unit(&rng) < 0.5 || c == 2) {
                    curve->value[i] = odd[rng_pick(&rng, 8)];
                }
            }
            curve->peak_hz = odd[rng_pick(&rng, 8)];
            curve->peak_value = odd[rng_pick(&rng, 8)];
            curve->style = round % 2 ? -7 - c : 1000000 + c;
        }
        plot.crosshair = true;
        plot.crosshair_hz = odd[rng_pick(&rng, 8)];
        struct picture p = draw(600, 400, 1.0);
        cairo_surface_destroy(p.surface);
    }
}

/* The frame that comes back lets a window turn a mouse position into a frequency. */
static void crosshair_is_drawn_at_its_frequency(void **state)
{
    (void)state;
    cw_plot_clear(&plot);
    add_resonant("One", 3000, 0.3);
    struct picture without = draw(900, 500, 1.0);
    plot.crosshair = true;
    plot.crosshair_hz = 333.0;
    struct picture with = draw(900, 500, 1.0);
    double x = cw_plot_x(&with.frame, 333.0), y = with.frame.y + with.frame.height - 40;
    assert_true(pixel(&with, x, y) != pixel(&without, x, y));
    assert_true(pixel(&with, x - 4, y) == pixel(&without, x - 4, y));
    cairo_surface_destroy(with.surface);
    cairo_surface_destroy(without.surface);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(axis_and_values),
        cmocka_unit_test(words),
        cmocka_unit_test(ranges),
        cmocka_unit_test(the_line_is_where_the_value_is),
        cmocka_unit_test(styles_differ_without_colour),
        cmocka_unit_test(labels_keep_clear),
        cmocka_unit_test(labels_of_one_and_of_equals),
        cmocka_unit_test(any_number_at_any_size),
        cmocka_unit_test(broken_values_survive),
        cmocka_unit_test(crosshair_is_drawn_at_its_frequency),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
