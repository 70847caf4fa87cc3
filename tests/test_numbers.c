/* SPDX-License-Identifier: ISC */
/* Numbers as people read them: one sign, one zero, one word for what is not there. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "numbers.h"

static void levels(void **state)
{
    (void)state;
    static const struct {
        double db;
        int decimals;
        const char *text;
    } row[] = {{1.64, 1, "+1.6 dB"}, {-2.476, 2, "-2.48 dB"}, {0, 1, "0.0 dB"},         {-0.004, 2, "0.00 dB"},
               {0.049, 1, "0.0 dB"}, {-0.06, 1, "-0.1 dB"},   {-INFINITY, 1, "silent"}, {NAN, 1, "silent"}};
    char text[40];
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        assert_string_equal(cw_print_db(row[i].db, row[i].decimals, text, sizeof text), row[i].text);
    }
}

static void words_for_what_is_not_there(void **state)
{
    (void)state;
    char text[40];
    assert_string_equal(cw_print_noise(-8.04, text, sizeof text), "-8.0 dB");
    assert_string_equal(cw_print_noise(-40.0, text, sizeof text), "-40.0 dB");
    assert_string_equal(cw_print_noise(-40.1, text, sizeof text), "cancels");
    assert_string_equal(cw_print_resonance(0, text, sizeof text), "none");
    assert_string_equal(cw_print_resonance(3043.6, text, sizeof text), "3.04 kHz");
    assert_string_equal(cw_print_peak(0, 0, text, sizeof text), "flat");
    assert_string_equal(cw_print_peak(3995.8, -1.16, text, sizeof text), "4.00 kHz, -1.2 dB");
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(levels),
        cmocka_unit_test(words_for_what_is_not_there),
        cmocka_unit_test(true_minus),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
