/* SPDX-License-Identifier: ISC */
/* Loudness and level matching.
 *
 * Value: a 997 Hz sine at full scale in one channel is -3.01 LUFS (ITU-R BS.1770-4, annex 1). The
 * standard gives its filters for 48 kHz; at other rates libebur128 redesigns them, 0.04 dB apart. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "constants.h"
#include "level.h"

static struct cw_levels measure(double amplitude, double seconds, int rate)
{
    struct cw_meter meter;
    struct cw_levels levels;
    size_t n = (size_t)(seconds * rate);
    float *x = malloc((n + 1) * sizeof *x);
    for (size_t i = 0; i < n; i++) {
        x[i] = (float)(amplitude * sin(CW_TAU * 997 * (double)i / rate));
    }
    assert_true(cw_meter_start(&meter, rate));
    assert_true(cw_meter_add(&meter, x, n / 3));
    assert_true(cw_meter_add(&meter, x + n / 3, n - n / 3));
    assert_true(cw_meter_finish(&meter, &levels));
    free(x);
    return levels;
}

static void sine_measures_as_the_standard_says(void **state)
{
    (void)state;
    static const int rates[] = {44100, 48000, 96000, 192000};
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        struct cw_levels levels = measure(1, 5, rates[i]);
        assert_true(fabs(levels.loudness + 3.01) < (rates[i] == 48000 ? 0.005 : 0.05));
        assert_true(fabs(levels.sample_peak) < 0.01);
        assert_true(fabs(levels.true_peak) < 0.1);
        assert_true(fabs(levels.rms + 3.0103) < 0.001);
    }
}

static void lowest_and_highest_rates_are_measured(void **state)
{
    (void)state;
    assert_true(fabs(measure(0.5, 2, 8000).loudness + 9.03) < 0.05);
    assert_true(fabs(measure(0.5, 2, 384000).loudness + 9.03) < 0.05);
}

static void all_come_down_to_the_quietest(void **state)
{
    (void)state;
    struct cw_levels piece[3] = {measure(0.5, 2, 48000), measure(0.1, 2, 48000), measure(1, 2, 48000)};
    const struct cw_levels *levels[3] = {&piece[0], &piece[1], &piece[2]};
    double gain[3];
    assert_true(cw_level_match(levels, 3, gain));
    assert_true(fabs(gain[0] + 20 * log10(5)) < 1e-3);
    assert_true(gain[1] == 0);
    assert_true(fabs(gain[2] + 20) < 1e-3);
}

static void too_short_goes_by_mean_power(void **state)
{
    (void)state;
    struct cw_levels piece[2] = {measure(0.5, 0.2, 48000), measure(0.25, 0.2, 48000)};
    const struct cw_levels *levels[2] = {&piece[0], &piece[1]};
    double gain[2];
    assert_true(!isfinite(piece[0].loudness));
    assert_false(cw_level_match(levels, 2, gain));
    assert_true(fabs(gain[0] + 20 * log10(2)) < 1e-6);
    assert_true(gain[1] == 0);
}

static void one_below_the_gate_takes_all_to_mean_power(void **state)
{
    (void)state;
    struct cw_levels piece[2] = {measure(0.5, 2, 48000), measure(0.00005, 2, 48000)};
    const struct cw_levels *levels[2] = {&piece[0], &piece[1]};
    double gain[2];
    assert_true(!isfinite(piece[1].loudness));
    assert_false(cw_level_match(levels, 2, gain));
    assert_true(fabs(gain[0] + 80) < 1e-6);
    assert_true(gain[1] == 0);
}

static void silence_neither_matches_nor_hinders(void **state)
{
    (void)state;
    struct cw_levels piece[3] = {measure(0.5, 2, 48000), measure(0, 2, 48000), measure(0.25, 2, 48000)};
    const struct cw_levels *levels[3] = {&piece[0], &piece[1], &piece[2]};
    double gain[3];
    assert_true(cw_level_match(levels, 3, gain));
    assert_true(fabs(gain[0] + 20 * log10(2)) < 1e-3);
    assert_true(gain[1] == 0 && gain[2] == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sine_measures_as_the_standard_says),
        cmocka_unit_test(lowest_and_highest_rates_are_measured),
        cmocka_unit_test(all_come_down_to_the_quietest),
        cmocka_unit_test(too_short_goes_by_mean_power),
        cmocka_unit_test(one_below_the_gate_takes_all_to_mean_power),
        cmocka_unit_test(silence_neither_matches_nor_hinders),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
