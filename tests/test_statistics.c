/* SPDX-License-Identifier: ISC */
/* Samples, distributions, budgets, acceptance, charts and capability.
 *
 * Sources stand beside the values. NIST's Lottery, Mavro and PiDigits are in no package and not tried (PiDigits cannot
 * be worked out: its mean is 4.5348, that of the first 5000 digits of pi 4.5358), nor the piston rings of the charts;
 * NumAcc1 to NumAcc4 are given by rules in NIST's own files (Statistical Reference Datasets, univariate). */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "acceptance.h"
#include "budget.h"
#include "capability.h"
#include "philox.h"
#include "statistics.h"
#include "within.h"

/* ---- random numbers ---- */

/* Random123, "kat_vectors", of the authors of the generator. */
static void philox_gives_its_authors_numbers(void **state)
{
    (void)state;
    static const uint32_t known[][10] = {
        {0, 0, 0, 0, 0, 0, 0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8},
        {0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff, 0x408f276d, 0x41c83b0e, 0xa20bc7c6,
         0x6d5451fd},
        {0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344, 0xa4093822, 0x299f31d0, 0xd16cfe09, 0x94fdcceb, 0x5001e420,
         0x24126ea1},
        {0, 0xffffffff, 0, 0, 1, 0, 0x04e2eae1, 0x463cc999, 0xe7786310, 0x65b3dc49},
        {0x452821e6, 0x38d01377, 0xbe5466cf, 0x34e90c6c, 0, 0x80000000, 0x94ca5566, 0x14924b2f, 0x28214292, 0x59faeaee},
    };
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        uint32_t out[4];
        cw_philox(known[i], known[i] + 4, out);
        assert_memory_equal(out, known[i] + 6, sizeof out);
    }
}

static void a_draw_is_the_same_in_any_order(void **state)
{
    (void)state;
    struct cw_draw draw;
    double first[7];
    for (int round = 0; round < 2; round++) {
        for (uint64_t other = 0; round == 1 && other < 3; other++) {
            cw_draw_start(&draw, 5, other);
            (void)cw_draw_normal(&draw);
        }
        cw_draw_start(&draw, 5, 1u << 20);
        for (int i = 0; i < 7; i++) {
            double found = i % 3 ? cw_draw_normal(&draw) : cw_draw_even(&draw);
            first[i] = round == 0 ? found : first[i];
            assert_true(found == first[i]);
        }
    }
}

/* ---- samples ---- */

/* NumAcc1: 10000001, 10000003, 10000002. NumAcc2 to 4: a middle, then 1000 values below and above it in turn. */
static void nist_samples(void **state)
{
    (void)state;
    static const double one[] = {10000001.0, 10000003.0, 10000002.0};
    static const double middle[] = {1.2, 1000000.2, 10000000.2};
    static double value[1001];
    assert_true(cw_mean(one, 3) == 10000002.0);
    assert_true(cw_deviation(one, 3) == 1.0);
    within(cw_autocorrelation(one, 3), -0.5, 1e-15, "NumAcc1 r1");
    for (int set = 0; set < 3; set++) {
        value[0] = middle[set];
        for (int i = 1; i < 1001; i++) {
            value[i] = middle[set] + (i % 2 ? -0.1 : 0.1);
        }
        within(cw_mean(value, 1001), middle[set], 1e-15 * middle[set], "mean");
        within(cw_deviation(value, 1001), 0.1, 1e-15 * middle[set] + 1e-16, "deviation");
        within(cw_autocorrelation(value, 1001), -0.999, 1e-9 + 1e-7 * (set > 0), "r1");
    }
}

/* Quantiles as printed in tables: normal 0.975, 0.995; Student 0.995 of 16 (GUM table G.2: 2.92); chi-square 0.95 of
 * 10 (18.307). A1: Wichura's check values (Applied Statistics 37, 1988): 0.25 and 0.001. */
static void quantiles(void **state)
{
    (void)state;
    static const double rising[] = {1.0, 2.0, 4.0, 8.0};
    assert_true(cw_quantile(rising, 4, 0.5) == 3.0);
    assert_true(cw_quantile(rising, 4, 0.0) == 1.0);
    assert_true(cw_quantile(rising, 4, 1.0) == 8.0);
    within(cw_normal_quantile(0.25), -0.6744897501960817, 1e-14, "normal");
    within(cw_normal_quantile(0.001), -3.090232306167814, 1e-13, "normal");
    within(cw_normal_quantile(0.975), 1.959963984540054, 1e-13, "normal");
    within(cw_student_quantile(0.995, 16.0), 2.92, 0.005, "Student");
    within(cw_student_quantile(0.975, 1.0), 12.7062047361747, 1e-8, "Student"); /* tan(0.475 pi) */
    within(cw_student_quantile(0.975, INFINITY), 1.959963984540054, 1e-13, "Student");
    within(cw_chi_square_quantile(0.95, 10.0), 18.307, 0.0005, "chi-square");
    within(cw_chi_square_quantile(0.5, 2.0), 2.0 * log(2.0), 1e-12, "chi-square");
}

/* ---- uncertainty ---- */

/* GUM H.1, an end gauge of 50.000623 mm (values of its table from memory; results 32 nm, 16, 93 nm as printed; with
 * the terms of second order 34 nm). */
static void the_end_gauge(void **state)
{
    (void)state;
    const double nm_of_length = 50.000623e6;
    const struct cw_contribution part[] = {
        {1.0, 25.0, 18.0},                        /* the standard */
        {1.0, 9.7, 25.6},                         /* the difference */
        {0.1 * nm_of_length, 0.58e-6, 50.0},      /* of the expansions, -0.1 degC away from 20 */
        {11.5e-6 * nm_of_length, 0.029, 2.0},     /* of the temperatures */
        {nm_of_length, 0.58e-6 * 0.41, INFINITY}, /* second order */
        {nm_of_length, 1.2e-6 * 0.029, INFINITY},
    };
    struct cw_budget first = cw_budget_of(part, 4), second = cw_budget_of(part, 6);
    assert_int_equal((int)lround(first.standard), 32);
    assert_int_equal((int)first.freedom, 16);
    assert_int_equal((int)lround(cw_budget_expanded(&first, 0.99)), 93);
    assert_int_equal((int)lround(second.standard), 34);
    struct cw_contribution known = {2.0, 1.5, INFINITY};
    struct cw_budget alone = cw_budget_of(&known, 1);
    within(cw_budget_expanded(&alone, 0.95), 3.0 * 1.959963984540054, 1e-12, "U95");
}

/* Half of a symmetric 95 % interval of a sum of four. */
static double half_of_sum(bool even, double last)
{
    enum { DRAWS = 1000000 };
    double *sum = malloc(DRAWS * sizeof *sum);
    assert_non_null(sum);
    for (int i = 0; i < DRAWS; i++) {
        struct cw_draw draw;
        cw_draw_start(&draw, 2008, (uint64_t)i);
        sum[i] = 0.0;
        for (int k = 0; k < 4; k++) {
            sum[i] += (k == 3 ? last : 1.0) * (even ? sqrt(3.0) * cw_draw_even(&draw) : cw_draw_normal(&draw));
        }
    }
    cw_sort(sum, DRAWS);
    double half = 0.5 * (cw_quantile(sum, DRAWS, 0.975) - cw_quantile(sum, DRAWS, 0.025));
    free(sum);
    return half;
}

/* JCGM 101:2008, 9.2: 3.92, 3.88, 17.0 as printed (propagation says 3.92, 3.92, 19.9). */
static void additive_models(void **state)
{
    (void)state;
    within(half_of_sum(false, 1.0), 3.92, 0.01, "four normal");
    within(half_of_sum(true, 1.0), 3.88, 0.01, "four rectangular");
    within(half_of_sum(true, 10.0), 17.0, 0.05, "one of ten");
    const struct cw_contribution ten[] = {
        {1.0, 1.0, INFINITY}, {1.0, 1.0, INFINITY}, {1.0, 1.0, INFINITY}, {1.0, 10.0, INFINITY}};
    struct cw_budget budget = cw_budget_of(ten, 4);
    within(cw_budget_expanded(&budget, 0.95), 19.9, 0.05, "propagation");
}

/* ---- acceptance ---- */

static double gamma_density(const void *unused, double x)
{
    (void)unused;
    return x > 0.0 ? 128.0 / 3.0 * x * x * x * exp(-4.0 * x) : 0.0; /* shape 4, scale 1/4 */
}

/* JCGM 106:2012, 9.5.4: upper limit 2, standard uncertainty 0.25. */
static void risks_of_acceptance(void **state)
{
    (void)state;
    const struct cw_prior prior = {gamma_density, NULL, 0.0, 15.0};
    const struct cw_limits limits = {-INFINITY, 2.0};
    struct cw_risks risks = cw_risks_of(&prior, limits, limits, 0.25);
    within(100.0 * risks.bad, 4.238, 0.0005, "bad unscreened");
    within(risks.bad, 1.0 - cw_incomplete_gamma(4.0, 8.0), 1e-9, "the same by the distribution");
    within(100.0 * risks.accepted_bad, 0.8019, 0.00005, "accepted and bad");
    within(100.0 * risks.accepted_bad / risks.accepted, 0.8457, 0.00005, "bad among the accepted");
    within(2.0 - cw_guard_band_for(&prior, limits, 0.25, 0.001, 0), 1.671829, 5e-7, "limit for 0.1 % of all");
    within(2.0 - cw_guard_band_for(&prior, limits, 0.25, 0.001, 1), 1.656405, 5e-7, "limit for 0.1 % of the accepted");
    assert_true(cw_guard_band_for(&prior, limits, 0.25, 0.01, 0) == 0.0);
}

static void what_a_reading_says(void **state)
{
    (void)state;
    const struct cw_limits limits = {7.64, 8.44};
    assert_int_equal(cw_judge(limits, 8.0, 0.04), CW_VERDICT_PASS);
    assert_int_equal(cw_judge(limits, 7.66, 0.04), CW_VERDICT_CLOSE);
    assert_int_equal(cw_judge(limits, 7.62, 0.04), CW_VERDICT_CLOSE);
    assert_int_equal(cw_judge(limits, 7.59, 0.04), CW_VERDICT_FAIL);
    assert_int_equal(cw_judge(limits, 8.49, 0.04), CW_VERDICT_FAIL);
    assert_int_equal(cw_judge(limits, NAN, 0.04), CW_VERDICT_CLOSE);
    assert_int_equal(cw_judge(limits, 8.0, 1.0), CW_VERDICT_CLOSE); /* a meter that cannot tell */
}

/* ---- charts and capability ---- */

/* Constants for samples of five as they are printed; of two in closed form: 2/sqrt(pi). */
static void constants_are_worked_out(void **state)
{
    (void)state;
    struct cw_range_of two = cw_range_of_normals(2), five = cw_range_of_normals(5);
    struct cw_chart_factors factors = cw_chart_factors_of(5);
    within(two.d2, 2.0 / sqrt(acos(-1.0)), 1e-9, "d2 of two");
    within(two.d3, sqrt(2.0 - 4.0 / acos(-1.0)), 1e-8, "d3 of two");
    within(five.d2, 2.325929, 5e-7, "d2 of five");
    within(cw_c4(5), 0.939986, 5e-7, "c4");
    within(factors.a2, 0.576819, 5e-7, "A2");
    within(factors.d4, 2.114499, 5e-7, "D4");
    assert_true(factors.d3 == 0.0);
}

/* NIST/SEMATECH e-Handbook 6.3.2.2: ten flow rates; printed with d2 rounded to 1.128. */
static void individuals(void **state)
{
    (void)state;
    double flow[] = {49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
    struct cw_chart chart = cw_chart_of(flow, 10);
    within(chart.mean, 50.81, 1e-12, "mean");
    within(chart.limits.low, 45.8176, 5e-5, "lower limit");
    within(chart.limits.high, 55.8024, 5e-5, "upper limit");
    within(chart.mean - 3.0 * chart.mean_range / 1.128, 45.8159, 5e-5, "as printed");
    assert_int_equal(chart.outside, 0);
    flow[7] = 70.0;
    chart = cw_chart_of(flow, 10);
    assert_int_equal(chart.outside, 1);
    assert_int_equal(chart.first_outside, 7);
}

/* NIST/SEMATECH e-Handbook 6.1.6: limits 8 and 20, mean 16, deviation 2. Bissell: 1.33 of ten coils. */
static void capability(void **state)
{
    (void)state;
    struct cw_capability c = cw_capability_of((struct cw_limits){8.0, 20.0}, 16.0, 2.0, 50, 0.95);
    within(c.cp, 1.0, 1e-15, "Cp");
    within(c.cpk, 0.6667, 5e-5, "Cpk");
    c = cw_capability_of((struct cw_limits){-INFINITY, 3.99}, 0.0, 1.0, 10, 0.95);
    within(c.cpk, 1.33, 1e-12, "Cpk");
    within(c.low, 0.68, 0.005, "its lower end");
    within(c.high, 1.98, 0.005, "its upper end");
    assert_true(c.cp == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(philox_gives_its_authors_numbers),
        cmocka_unit_test(a_draw_is_the_same_in_any_order),
        cmocka_unit_test(nist_samples),
        cmocka_unit_test(quantiles),
        cmocka_unit_test(the_end_gauge),
        cmocka_unit_test(additive_models),
        cmocka_unit_test(risks_of_acceptance),
        cmocka_unit_test(what_a_reading_says),
        cmocka_unit_test(constants_are_worked_out),
        cmocka_unit_test(individuals),
        cmocka_unit_test(capability),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
