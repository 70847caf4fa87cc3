/* SPDX-License-Identifier: ISC */
/* True peak, judged by signals whose peak is known and by libebur128.
 *
 * Value: a sine of a quarter of the sample rate that starts at 45 degrees has samples 3.01 dB below its
 * peak (ITU-R BS.1770-4, annex 2, shows the case). Tolerance of a true-peak meter at such a tone:
 * +0.2 -0.4 dB (EBU Tech 3341, from memory). */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <ebur128.h>

#include "constants.h"
#include "setups.h"
#include "true_peak.h"

enum { FRAMES = 48000 };

static double db(double amplitude) { return 20.0 * log10(amplitude); }

/* A tone that comes and goes slowly, so that its own height is the highest. */
static void tone(float *x, double cycles, double phase)
{
    for (int i = 0; i < FRAMES; i++) {
        double swell = sin(0.5 * CW_TAU * i / FRAMES);
        x[i] = (float)(0.5 * swell * sin(CW_TAU * (cycles * i + phase)));
    }
}

static double measured(const float *x, size_t n, int rate, size_t block)
{
    struct cw_true_peak meter;
    cw_true_peak_start(&meter, rate);
    for (size_t at = 0; at < n; at += block) {
        cw_true_peak_add(&meter, x + at, n - at < block ? n - at : block);
    }
    return cw_true_peak_finish(&meter);
}

static double judged(const float *x, size_t n, int rate)
{
    double peak;
    ebur128_state *judge = ebur128_init(1, (unsigned long)rate, EBUR128_MODE_TRUE_PEAK);
    assert_int_equal(ebur128_add_frames_float(judge, x, n), EBUR128_SUCCESS);
    assert_int_equal(ebur128_true_peak(judge, 0, &peak), EBUR128_SUCCESS);
    ebur128_destroy(&judge);
    return peak;
}

static void a_peak_between_samples_is_found(void **state)
{
    (void)state;
    static float x[FRAMES];
    static const double cycles[] = {1.0 / 4, 1.0 / 6, 0.31, 0.4};
    for (size_t i = 0; i < sizeof cycles / sizeof cycles[0]; i++) {
        for (int k = 0; k < 8; k++) {
            tone(x, cycles[i], k / 16.0);
            double error = db(measured(x, FRAMES, 48000, 4096)) - db(0.5);
            assert_true(error < 0.2 && error > -0.4);
        }
    }
    tone(x, 0.25, 0.125);
    assert_true(fabs(db(measured(x, FRAMES, 48000, 4096) / 0.5)) < 0.02);
    assert_true(fabs(db(measured(x, FRAMES, 96000, 4096) / 0.5)) < 0.02);
    assert_true(fabs(db(measured(x, FRAMES, 192000, 4096) / 0.5) + 3.0103) < 0.02); /* no more is asked for there */
}

/* Noise below a quarter of the rate, swelling and falling, so that most of it is passed over. */
static void noise(float *x, struct rng *rng)
{
    double low = 0.0, lower = 0.0;
    for (int i = 0; i < FRAMES; i++) {
        low += 0.5 * (rng_between(rng, -1.0, 1.0) - low);
        lower += 0.5 * (low - lower);
        x[i] = (float)(lower * fabs(sin(CW_TAU * 3.0 * i / FRAMES)));
    }
}

static void libebur128_agrees(void **state)
{
    (void)state;
    static float x[FRAMES];
    static const int rates[] = {8000, 44100, 48000, 96000, 384000};
    struct rng rng = {3};
    for (int i = 0; i < 40; i++) {
        int rate = rates[i % 5];
        noise(x, &rng);
        assert_true(fabs(db(measured(x, FRAMES, rate, 4096) / judged(x, FRAMES, rate))) < 0.15);
    }
}

static void any_blocks_give_the_same(void **state)
{
    (void)state;
    static float x[FRAMES];
    static const size_t blocks[] = {1, 7, 64, 65, 1152, FRAMES};
    struct rng rng = {5};
    noise(x, &rng);
    double whole = measured(x, FRAMES, 48000, 4096);
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++) {
        assert_true(measured(x, FRAMES, 48000, blocks[i]) == whole);
    }
}

/* The last samples are followed by silence: a peak may stand behind the last but one. */
static void the_end_is_reckoned_in(void **state)
{
    (void)state;
    const float two[] = {0.0f, 1.0f, 1.0f};
    assert_true(measured(two, 3, 48000, 3) > 1.2); /* midway: 4/pi without a window */
    assert_true(measured(two, 3, 48000, 1) < 4.0 / CW_PI);
    assert_true(measured(two, 1, 48000, 1) == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_peak_between_samples_is_found),
        cmocka_unit_test(libebur128_agrees),
        cmocka_unit_test(any_blocks_give_the_same),
        cmocka_unit_test(the_end_is_reckoned_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
