/* SPDX-License-Identifier: ISC */
/* What right answers prove.
 *
 * Values: the binomial distribution in whole numbers (9 of 10: 11/1024 ...); the table of fewest right answers
 * at 5 % of the triangle test (ISO 4120; FAO, "Sensory evaluation in quality control", V7180E); type 2 errors
 * of L. Leventhal, J. Audio Eng. Soc. 34(6), 1986; the interval of C. J. Clopper and E. S. Pearson, 1934,
 * to the digits of scipy.stats.beta.ppf(). Trials for a power follow from the tails. */
#include <math.h>
#include <setjmp.h>
#include <stdbool.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"

#define NEAR(found, expected, error) assert_true(fabs((found) - (expected)) <= (error))

static void tails_are_exact(void **state)
{
    (void)state;
    NEAR(cw_binomial_tail(5, 5, 0.5), 1.0 / 32.0, 1e-15);
    NEAR(cw_binomial_tail(10, 9, 0.5), 11.0 / 1024.0, 1e-14);
    NEAR(cw_binomial_tail(16, 12, 0.5), 0.0384063721, 5e-11);
    NEAR(cw_binomial_tail(16, 14, 0.5), 0.0020904541, 5e-11);
    NEAR(cw_binomial_tail(20, 14, 0.5), 0.0576591492, 5e-11);
    assert_true(cw_binomial_tail(10, 0, 0.3) == 1.0);
    assert_true(cw_binomial_tail(10, 11, 0.3) == 0.0);
    assert_true(cw_binomial_tail(10, 10, 1.0) == 1.0);
    assert_true(cw_binomial_tail(10, 1, 0.0) == 0.0);
}

/* A tail is an incomplete beta function (DLMF 8.17.5): two ways that share nothing. */
static void two_ways_to_a_tail_agree(void **state)
{
    (void)state;
    for (int n = 1; n <= 400; n += n < 20 ? 1 : 37) {
        for (int k = 1; k <= n; k += 1 + n / 30) {
            for (double p = 0.05; p < 1.0; p += 0.15) {
                double tail = cw_binomial_tail(n, k, p), beta = cw_incomplete_beta(k, n - k + 1.0, p);
                assert_true(fabs(tail - beta) <= 1e-11);
            }
        }
    }
}

static void fewest_right_answers(void **state)
{
    (void)state;
    static const int of_two[] = {5, 6, 7, 7, 8, 9, 9, 10, 10, 11, 12, 12, 13, 13, 14, 15, 15, 16, 16, 17, 18};
    static const int of_three[][2] = {{10, 7}, {20, 11}, {30, 15}, {60, 27}, {100, 42}};
    for (int n = 5; n <= 25; n++) {
        assert_int_equal(cw_fewest_right(n, 0.5, 0.05), of_two[n - 5]);
    }
    for (size_t i = 0; i < sizeof of_three / sizeof of_three[0]; i++) {
        assert_int_equal(cw_fewest_right(of_three[i][0], 1.0 / 3.0, 0.05), of_three[i][1]);
    }
    assert_int_equal(cw_fewest_right(4, 0.5, 0.05), 5); /* four of four prove nothing at 5 % */
}

static void intervals(void **state)
{
    (void)state;
    double low, high;
    cw_clopper_pearson(16, 12, 0.95, &low, &high);
    NEAR(low, 0.4762291801, 5e-11);
    NEAR(high, 0.9273379617, 5e-11);
    cw_clopper_pearson(10, 0, 0.95, &low, &high);
    assert_true(low == 0.0);
    NEAR(high, 1.0 - pow(0.025, 0.1), 1e-12); /* (1 - p)^n = 0.025 */
    cw_clopper_pearson(10, 10, 0.95, &low, &high);
    NEAR(low, pow(0.025, 0.1), 1e-12);
    assert_true(high == 1.0);
}

static void what_could_have_been_detected(void **state)
{
    (void)state;
    static const struct {
        double p;
        int trials;
    } lasting[] = {{0.6, 224}, {0.7, 58}, {0.75, 35}, {0.8, 26}, {0.9, 13}};
    assert_int_equal(cw_fewest_right(16, 0.5, 0.05), 12);
    NEAR(1.0 - cw_power(16, 0.6, 0.5, 0.05), 0.8334, 5e-5);
    assert_int_equal(cw_fewest_right(50, 0.5, 0.05), 32);
    NEAR(cw_binomial_tail(50, 32, 0.5), 0.0325, 5e-5);
    NEAR(1.0 - cw_power(50, 0.6, 0.5, 0.05), 0.6644, 5e-5);
    static const int first[] = {213, 53, 33, 23, 11}; /* trials that reach it once, before the last dip */
    for (size_t i = 0; i < sizeof lasting / sizeof lasting[0]; i++) {
        int n = 1;
        while (cw_power(n, lasting[i].p, 0.5, 0.05) < 0.9) {
            n++;
        }
        assert_int_equal(n, first[i]);
        assert_int_equal(cw_trials_for_power(lasting[i].p, 0.5, 0.05, 0.9), lasting[i].trials);
    }
    assert_int_equal(cw_trials_for_power(0.5, 0.5, 0.05, 0.9), 0);
}

static void evidence(void **state)
{
    (void)state;
    NEAR(cw_evidence(5, 5), 10.5, 1e-9);
    NEAR(cw_evidence(10, 9), 18.509091, 5e-7);
    NEAR(cw_evidence(16, 12), 4.1324499, 5e-8);
    NEAR(cw_evidence(16, 14), 64.17549, 5e-6);
    NEAR(cw_evidence(16, 8), 0.29953837, 5e-9);
    assert_true(fabs(cw_evidence(0, 0) - 1.0) < 1e-12);
}

/* Under guessing the mean of the evidence is 1, whatever the number of trials: summed exactly. */
static void evidence_is_fair(void **state)
{
    (void)state;
    for (int n = 1; n <= 60; n++) {
        double mean = 0.0;
        for (int k = 0; k <= n; k++) {
            mean += cw_evidence(n, k) * exp(lgamma(n + 1.0) - lgamma(k + 1.0) - lgamma(n - k + 1.0) - n * log(2.0));
        }
        assert_true(fabs(mean - 1.0) < 1e-10);
    }
}

static uint32_t next_random(uint32_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

/* A listener who guesses is believed no more often than the level says; by evidence looked at after every
 * trial still at most at 5 %, where the binomial test looked at as often is not. */
static void guessing_is_judged_at_its_rate(void **state)
{
    (void)state;
    enum { RUNS = 10000, TRIALS = 50 };
    uint32_t random = 2463534242u;
    int at_end = 0, by_evidence = 0, by_peeking = 0;
    for (int run = 0; run < RUNS; run++) {
        bool evident = false, peeked = false;
        int right = 0;
        for (int n = 1; n <= TRIALS; n++) {
            right += next_random(&random) >> 31 != 0;
            evident = evident || cw_evidence(n, right) >= 20.0;
            peeked = peeked || (n >= 5 && right >= cw_fewest_right(n, 0.5, 0.05));
            at_end += n == 16 && right >= cw_fewest_right(16, 0.5, 0.05);
        }
        by_evidence += evident;
        by_peeking += peeked;
    }
    double nominal = cw_binomial_tail(16, 12, 0.5);
    print_message("guessing passes: at the end %.2f %% (nominal %.2f), by evidence %.2f %%, by peeking %.2f %%\n",
                  100.0 * at_end / RUNS, 100.0 * nominal, 100.0 * by_evidence / RUNS, 100.0 * by_peeking / RUNS);
    assert_true(fabs((double)at_end / RUNS - nominal) <= 0.005);
    assert_true((double)by_evidence / RUNS <= 0.05);
    assert_true((double)by_peeking / RUNS > 0.10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tails_are_exact),
        cmocka_unit_test(two_ways_to_a_tail_agree),
        cmocka_unit_test(fewest_right_answers),
        cmocka_unit_test(intervals),
        cmocka_unit_test(what_could_have_been_detected),
        cmocka_unit_test(evidence),
        cmocka_unit_test(evidence_is_fair),
        cmocka_unit_test(guessing_is_judged_at_its_rate),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
