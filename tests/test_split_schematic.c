/* SPDX-License-Identifier: ISC */
/* The drawings of splits: every kind for either coil is drawn, differs from the others where the
 * wiring does, and stays inside the page whatever the text. How it looks was judged by eye. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "setup.h"
#include "setups.h"
#include "split_kind.h"
#include "split_report.h"
#include "schematic_file.h"
#include "split_schematic.h"

enum { WIDTH = CW_SCHEMATIC_WIDTH, HEIGHT = CW_SCHEMATIC_HEIGHT, MARGIN = 12 };

static struct cw_setup split_setup(int by, int coil, double keep)
{
    struct cw_setup setup;
    cw_setup_defaults(&setup);
    setup.value[CW_P_COILS] = CW_COILS_SERIES;
    setup.value[CW_P_SPLIT] = 1;
    setup.value[CW_P_SPLIT_BY] = by;
    setup.value[CW_P_SPLIT_COIL] = coil;
    setup.value[CW_P_SPLIT_KEEP] = keep;
    return setup;
}

/* Draw on a page whose surroundings must stay clean. */
static cairo_surface_t *draw(const struct cw_schematic *schematic)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
    cairo_t *cr = cairo_create(surface);
    cw_schematic_draw(cr, schematic);
    assert_int_equal(cairo_status(cr), CAIRO_STATUS_SUCCESS);
    cairo_destroy(cr);
    cairo_surface_flush(surface);
    return surface;
}

static bool is_inked(cairo_surface_t *surface, int x, int y)
{
    const unsigned char *row = cairo_image_surface_get_data(surface) + y * cairo_image_surface_get_stride(surface);
    uint32_t pixel;
    memcpy(&pixel, row + 4 * x, sizeof pixel);
    return (pixel & 0xff) < 0x80;
}

static int ink_of(cairo_surface_t *surface, int x1, int y1, int x2, int y2)
{
    int count = 0;
    for (int y = y1; y < y2; y++) {
        for (int x = x1; x < x2; x++) {
            count += is_inked(surface, x, y);
        }
    }
    return count;
}

static void check_page(cairo_surface_t *surface)
{
    int all = ink_of(surface, 0, 0, WIDTH, HEIGHT);
    int inside = ink_of(surface, MARGIN, MARGIN, WIDTH - MARGIN, HEIGHT - MARGIN);
    assert_int_equal(all, inside); /* nothing touches the edge */
    assert_in_range(all, WIDTH * HEIGHT / 100, WIDTH * HEIGHT / 10);
}

static void every_kind_is_drawn(void **state)
{
    (void)state;
    static unsigned char kept[2 * CW_SPLIT_KINDS][HEIGHT][WIDTH];
    for (int i = 0; i < 2 * CW_SPLIT_KINDS; i++) {
        struct cw_setup setup = split_setup(i % CW_SPLIT_KINDS, i / CW_SPLIT_KINDS, 50);
        struct cw_schematic schematic = {&setup, "The same title", "and note", 2500, 5000};
        cairo_surface_t *surface = draw(&schematic);
        check_page(surface);
        for (int y = 0; y < HEIGHT; y++) {
            for (int x = 0; x < WIDTH; x++) {
                kept[i][y][x] = is_inked(surface, x, y);
            }
        }
        cairo_surface_destroy(surface);
        for (int k = 0; k < i; k++) {
            assert_true(memcmp(kept[i], kept[k], sizeof kept[i]) != 0);
        }
    }
}

static void long_text_and_odd_shares_stay_on_the_page(void **state)
{
    (void)state;
    static const double keeps[] = {0, 0.01, 33.3333, 99.99, 100};
    char title[400];
    memset(title, 'W', sizeof title - 1);
    title[sizeof title - 1] = '\0';
    for (size_t i = 0; i < sizeof keeps / sizeof keeps[0]; i++) {
        for (int coil = 0; coil < 2; coil++) {
            struct cw_setup setup = split_setup(CW_SPLIT_TAPPED, coil, keeps[i]);
            struct cw_schematic schematic = {&setup, title, i % 2 ? title : NULL, 0, 0};
            cairo_surface_t *surface = draw(&schematic);
            check_page(surface);
            cairo_surface_destroy(surface);
        }
    }
}

/* The drawing follows the values: another resistor is another picture in its place only. */
static void values_are_in_the_drawing(void **state)
{
    (void)state;
    struct cw_setup a = split_setup(CW_SPLIT_R, 0, 50), b = a;
    b.value[CW_P_SPLIT_RESISTOR] = 10;
    struct cw_schematic first = {&a, "T", NULL, 0, 0}, second = {&b, "T", NULL, 0, 0};
    cairo_surface_t *one = draw(&first), *two = draw(&second);
    int x_low = WIDTH, x_high = 0, differs = 0;
    for (int y = 0; y < HEIGHT; y++) {
        for (int x = 0; x < WIDTH; x++) {
            if (is_inked(one, x, y) != is_inked(two, x, y)) {
                x_low = x < x_low ? x : x_low;
                x_high = x > x_high ? x : x_high;
                differs++;
            }
        }
    }
    cairo_surface_destroy(one);
    cairo_surface_destroy(two);
    assert_true(differs > 20 && x_low > 450 && x_high < 620); /* to the right of the resistor */
}

/* Judge: rsvg-convert, which no one here wrote, reads what was written. */
static void files_are_svg(void **state)
{
    (void)state;
    if (system("rsvg-convert --version >/dev/null 2>&1") != 0) {
        print_message("SKIPPED: rsvg-convert is not installed, so the files were not read by it\n");
        skip();
    }
    char directory[] = "/tmp/coilwright-schematic-XXXXXX", path[80], command[256];
    assert_non_null(mkdtemp(directory));
    for (int i = 0; i < 2 * CW_SPLIT_KINDS; i++) {
        struct cw_setup setup = split_setup(i % 5, i / 5, 40);
        struct cw_schematic schematic = {&setup, "Split", "note", 0, 0};
        snprintf(path, sizeof path, "%s/%d.svg", directory, i);
        assert_true(cw_schematic_save(&schematic, path, false));
        assert_false(cw_schematic_save(&schematic, path, false)); /* not over what is there */
        snprintf(command, sizeof command, "rsvg-convert -o %s/out.png %s && test -s %s/out.png", directory, path,
                 directory);
        assert_int_equal(system(command), 0);
        unlink(path);
    }
    struct cw_setup setup = split_setup(0, 0, 40);
    struct cw_schematic schematic = {&setup, "Split", "note", 0, 0};
    assert_false(cw_schematic_save(&schematic, "/nowhere/at/all.svg", false));
    snprintf(path, sizeof path, "%s/out.png", directory);
    unlink(path);
    assert_int_equal(rmdir(directory), 0); /* nothing else was left behind */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_is_drawn),
        cmocka_unit_test(long_text_and_odd_shares_stay_on_the_page),
        cmocka_unit_test(values_are_in_the_drawing),
        cmocka_unit_test(files_are_svg),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
