/* SPDX-License-Identifier: ISC */
/* Preferred values against IEC 60063:2015, Preferred number series for resistors and capacitors.
 * The values are from memory of the standard's tables, as printed in any catalogue of parts. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "series.h"
#include "setups.h"
#include "within.h"

static const double e12[] = {1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2};
static const double e24[] = {1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
                             3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1};
/* Among them those where rounding is close: 1.21 (1.2120), 3.65 (3.6517), 9.09 (9.0852). */
static const double e96_some[] = {1.00, 1.02, 1.05, 1.10, 1.21, 1.37, 1.54, 1.78, 2.00, 2.21, 2.49,
                                  2.61, 3.01, 3.32, 3.65, 4.02, 4.42, 4.64, 4.75, 4.99, 5.11, 6.04,
                                  6.81, 7.50, 8.06, 8.25, 8.66, 9.09, 9.31, 9.53, 9.76};

static void walks_through(enum cw_series series, const double *expected, int count)
{
    for (int decade = -9; decade <= 6; decade++) {
        double value = pow(10, decade);
        for (int i = 0; i < count; i++) {
            within_share(cw_series_above(series, value), expected[i] * pow(10, decade), 1e-12, cw_series_name(series));
            value = cw_series_above(series, value) * 1.0001;
        }
        within_share(cw_series_above(series, value), pow(10, decade + 1), 1e-12, "the next decade");
    }
}

static void e12_and_e24_are_the_standards(void **state)
{
    (void)state;
    walks_through(CW_SERIES_E12, e12, 12);
    walks_through(CW_SERIES_E24, e24, 24);
}

static void e96_has_its_values(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof e96_some / sizeof e96_some[0]; i++) {
        within(cw_series_below(CW_SERIES_E96, e96_some[i] * 1.001), e96_some[i], 1e-9, "E96");
        within(cw_series_above(CW_SERIES_E96, e96_some[i] * 0.999), e96_some[i], 1e-9, "E96");
    }
    int count = 0;
    for (double value = 1.0; value < 9.999; value = cw_series_above(CW_SERIES_E96, value * 1.0001)) {
        count++;
    }
    assert_int_equal(count, 96);
}

static void neighbours_embrace_the_value(void **state)
{
    (void)state;
    struct rng rng = {11};
    for (int i = 0; i < 3000; i++) {
        enum cw_series series = (enum cw_series)(i % CW_SERIES_COUNT);
        double value = rng_log(&rng, 1e-12, 1e9);
        double below = cw_series_below(series, value), above = cw_series_above(series, value);
        assert_true(below <= value && value <= above && above / below < 1.26);
        /* A preferred value stays. */
        assert_true(cw_series_below(series, below) == below && cw_series_above(series, below) == below);
        assert_true(cw_series_above(series, above) == above);
    }
}

static void names(void **state)
{
    (void)state;
    enum cw_series series = CW_SERIES_E12;
    assert_true(cw_series_parse("e96", &series) && series == CW_SERIES_E96);
    assert_true(cw_series_parse("E24", &series) && series == CW_SERIES_E24);
    assert_false(cw_series_parse("E6", &series));
    assert_false(cw_series_parse("", &series));
    assert_int_equal(series, CW_SERIES_E24);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(e12_and_e24_are_the_standards),
        cmocka_unit_test(e96_has_its_values),
        cmocka_unit_test(neighbours_embrace_the_value),
        cmocka_unit_test(names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
