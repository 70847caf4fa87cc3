/* SPDX-License-Identifier: ISC */
/* Numbers as people read them: one table of cases for window, program and page. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <string.h>

#include "figures.h"
#include "figure_words.h"
#include "layout.h"
#include "numbers.h"
#include "setup.h"

enum how { HZ, OHMS, FARADS, HENRY, DB, DB_2, PERCENT, CHANGE, PLAIN, RESONANCE, PEAK_HZ, HUM, CSV };

static void print(enum how how, double value, char *text, size_t size)
{
    switch (how) {
    case HZ: cw_print_hz(value, text, size); break;
    case OHMS: cw_print_ohms(value, text, size); break;
    case FARADS: cw_print_farads(value, text, size); break;
    case HENRY: cw_print_henry(value, text, size); break;
    case DB: cw_print_db(value, 1, text, size); break;
    case DB_2: cw_print_db(value, 2, text, size); break;
    case PERCENT: cw_print_percent(value, 0, text, size); break;
    case CHANGE: cw_print_percent_change(value, 1, text, size); break;
    case PLAIN: cw_print_plain(value, 2, text, size); break;
    case RESONANCE: cw_print_resonance(value, text, size); break;
    case PEAK_HZ: cw_print_peak_hz(value, text, size); break;
    case HUM: cw_print_noise(value, text, size); break;
    case CSV: cw_print_csv_number(value, 1.0, text, size); break;
    }
}

static void numbers(void **state)
{
    static const struct {
        enum how how;
        double value;
        const char *text;
    } cases[] = {
        {HZ, 2871, "2.87 kHz"},
        {HZ, 999.5, "1.00 kHz"},
        {HZ, 412.4, "412 Hz"},
        {HZ, 82.41, "82.4 Hz"},
        {HZ, 9995, "10.0 kHz"},
        {OHMS, 4.7, "4.7 kΩ"},
        {OHMS, 0.47, "470 Ω"},
        {OHMS, 1000, "1 MΩ"},
        {FARADS, 220, "220 nF"},
        {FARADS, 0.47, "470 pF"},
        {FARADS, 1000, "1 µF"},
        {HENRY, 4.5, "4.5 H"},
        {HENRY, 0.85, "850 mH"},
        {HENRY, 12.34, "12.3 H"},
        {DB, 1.5, "+1.5 dB"},
        {DB, -0.25, "-0.2 dB"},
        {DB, 0, "0.0 dB"},
        {DB, -0.0, "0.0 dB"},
        {DB, -0.04, "0.0 dB"},
        {DB, 0.04, "0.0 dB"},
        {DB, -120.4, "-120 dB"},
        {DB, -HUGE_VAL, "silent"},
        {DB, NAN, "silent"},
        {DB_2, -0.004, "0.00 dB"},
        {DB_2, -2.475, "-2.48 dB"},
        {PERCENT, 75.4, "75 %"},
        {PERCENT, -0.3, "0 %"},
        {CHANGE, -12.34, "-12.3 %"},
        {CHANGE, 12.34, "+12.3 %"},
        {CHANGE, -0.01, "0.0 %"},
        {PLAIN, -0.001, "0.00"},
        {PLAIN, -1.5, "-1.50"},
        {RESONANCE, 3040, "3.04 kHz"},
        {RESONANCE, 0, "none"},
        {PEAK_HZ, 2700, "2.70 kHz"},
        {PEAK_HZ, 0, "flat"},
        {HUM, -5.9, "-5.9 dB"},
        {HUM, -40.1, "cancels"},
        {HUM, -120, "cancels"},
        {HUM, -HUGE_VAL, "cancels"},
        {HUM, 2.1, "+2.1 dB"},
        {CSV, 1.92865e-15, "0"},
        {CSV, -1e-9, "0"},
        {CSV, -0.0, "0"},
        {CSV, -1.25, "-1.25"},
        {CSV, -HUGE_VAL, "-inf"},
        {CSV, NAN, ""},
        {CSV, 3406.812, "3406.81"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char text[64];
        print(cases[i].how, cases[i].value, text, sizeof text);
        if (strcmp(text, cases[i].text) != 0) {
            fail_msg("case %zu, %g: found '%s', expected '%s'", i, cases[i].value, text, cases[i].text);
        }
    }
}

/* A change of 1e-12 farad matters, beside a capacitance of 7e-11; one of 1e-24 does not. */
static void grains(void **state)
{
    char text[40];
    (void)state;
    assert_string_equal(cw_print_csv_number(2.37411e-12, 6.9e-11, text, sizeof text), "2.37411e-12");
    assert_string_equal(cw_print_csv_number(1e-24, 6.9e-11, text, sizeof text), "0");
}

static void peaks(void **state)
{
    char text[64];
    (void)state;
    assert_string_equal(cw_print_peak(2700, 4.04, text, sizeof text), "2.70 kHz, +4.0 dB");
    assert_string_equal(cw_print_peak(2700, -0.01, text, sizeof text), "2.70 kHz, 0.0 dB");
    assert_string_equal(cw_print_peak(0, 4, text, sizeof text), "flat");
}

/* Only a sign becomes the sign of minus, and never past the end. */
static void true_minus(void **state)
{
    (void)state;
    char text[40] = "-1.2 dB, low-cut -3", tight[8] = "-12345";
    assert_string_equal(cw_true_minus(text, sizeof text), "\xe2\x88\x92"
                                                          "1.2 dB, low-cut \xe2\x88\x92"
                                                          "3");
    assert_string_equal(cw_true_minus(tight, sizeof tight), "-12345");
}

/* The window says it in the same words. */
static void the_window_too(void **state)
{
    struct cw_figures figures = {{0}};
    struct cw_setup setup;
    char window[64], other[64];
    (void)state;
    cw_setup_defaults(&setup);
    setup.value[CW_P_COILS] = CW_COILS_SERIES;
    figures.value[CW_M_HUM] = -120;
    figures.value[CW_M_LEVEL] = -2.47;
    cw_words_figure(&setup, &figures, CW_ROW_HUM, window, sizeof window);
    assert_string_equal(window, cw_print_noise(-120, other, sizeof other));
    cw_words_figure(&setup, &figures, CW_ROW_LEVEL, window, sizeof window);
    cw_print_db(-2.47, 1, other, sizeof other);
    assert_string_equal(window, cw_true_minus(other, sizeof other));
    cw_words_figure(&setup, &figures, CW_ROW_RESONANCE, window, sizeof window);
    assert_string_equal(window, "none");
    cw_words_figure(&setup, &figures, CW_ROW_PEAK_HZ, window, sizeof window);
    assert_string_equal(window, "flat");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers),    cmocka_unit_test(grains),         cmocka_unit_test(peaks),
        cmocka_unit_test(true_minus), cmocka_unit_test(the_window_too),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
