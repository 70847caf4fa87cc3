/* SPDX-License-Identifier: ISC */
/* The sweep against its closed-form spectrum by a direct sum, and the jig against a fixture worked out by
 * Kirchhoff's laws here. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <complex.h>
#include <math.h>
#include <stdlib.h>

#include "constants.h"
#include "jig.h"
#include "measure.h"
#include "polynomial.h"
#include "setups.h"
#include "sweep.h"

/* Fourier transform of the sampled sweep at one frequency, seconds. */
static double complex transform(const struct cw_sweep *s, double hz, double rate)
{
    double complex sum = 0;
    for (long n = 0; n <= (long)(s->seconds * rate); n++) {
        double t = (double)n / rate;
        sum += cw_sweep_at(s, t) * cexp(-I * CW_TAU * hz * t);
    }
    return sum / rate;
}

static void spectrum_is_the_closed_form(void **state)
{
    struct cw_sweep s;
    cw_sweep_init(&s);
    /* L = 5 / ln 1000 and |X(1 kHz)| = sqrt(L / 1000) / 2, worked out by hand */
    assert_true(fabs(cw_sweep_rate(&s) - 0.723824) < 1e-6);
    struct cw_complex x = cw_sweep_spectrum(&s, 1000);
    assert_true(fabs(hypot(x.re, x.im) - 0.01345) < 5e-6);
    const double hz[] = {100, 1000, 5000};
    for (int i = 0; i < 3; i++) {
        x = cw_sweep_spectrum(&s, hz[i]);
        double complex closed = x.re + I * x.im, summed = transform(&s, hz[i], 96000);
        print_message("%5.0f Hz: sum over closed form %.6f, %.4f degrees\n", hz[i], cabs(summed / closed),
                      carg(summed / closed) * 360 / CW_TAU);
        assert_true(cabs(summed / closed - 1) < 1e-4);
    }
    /* what the fades are for: without them 1.006 and 0.43 degrees at 100 Hz, worked out independently */
    s.fade_in = s.fade_out = 0;
    x = cw_sweep_spectrum(&s, 100);
    double complex bare = transform(&s, 100, 96000) / (x.re + I * x.im);
    print_message("without fades at 100 Hz: %.5f, %.3f degrees\n", cabs(bare), carg(bare) * 360 / CW_TAU);
    assert_true(fabs(cabs(bare) - 1.006) < 1e-3 && fabs(fabs(carg(bare)) * 360 / CW_TAU - 0.43) < 0.02);
    (void)state;
}

static void harmonics_come_early(void **state)
{
    struct cw_sweep s;
    cw_sweep_init(&s);
    s.fade_in = s.fade_out = 0;
    double lead = cw_sweep_rate(&s) * log(2);
    assert_true(fabs(lead - 0.50) < 0.005 && fabs(cw_sweep_rate(&s) * log(3) - 0.80) < 0.005);
    /* what makes it synchronised: a lead of L ln 2 doubles the phase, so that the sweep then is 2 sin cos */
    for (double t = 1; t < 3; t += 0.37) {
        double now = cw_sweep_at(&s, t), then = cw_sweep_at(&s, t + lead);
        assert_true(fabs(fabs(then) - 2 * fabs(now) * sqrt(1 - now * now)) < 1e-7);
    }
    cw_sweep_init(&s);
    assert_true(cw_sweep_at(&s, -1e-9) == 0 && cw_sweep_at(&s, 5.0001) == 0 && cw_sweep_at(&s, NAN) == 0);
    (void)state;
}

/* A fixture that the jig knows nothing of. */
static double complex divider(double complex z, double hz)
{
    double complex input = 1 / (1 / 1e6 + I * CW_TAU * hz * 350e-12), node = z * input / (z + input);
    return 1.03 * node / (node + 100075);
}

static struct cw_complex split(double complex a) { return (struct cw_complex){creal(a), cimag(a)}; }

static void any_impedance_comes_back(void **state)
{
    for (double hz = 20; hz < 20000; hz *= 1.3) {
        struct cw_jig jig = {split(divider(1e18, hz)), split(divider(100000, hz)), {0, 0}, {100000, 0}};
        double complex s = I * CW_TAU * hz, coil = 8000 + s * 4.5 / (1 + s * 4.5 / 5e5),
                       z = coil / (1 + coil * s * 120e-12);
        struct cw_complex found = cw_jig_impedance(&jig, split(divider(z, hz)));
        assert_true(cabs((found.re + I * found.im) / z - 1) < 1e-9);
        double farad = cw_jig_open_capacitance(&jig, 100075, hz);
        assert_true(fabs(farad / 350e-12 - 1) < 1e-6);
    }
    (void)state;
}

/* The stated error against what a shift of m by sigma really does, in its worst direction. */
static void error_is_what_a_shift_does(void **state)
{
    struct cw_jig jig = {split(divider(1e18, 3000)), split(divider(100000, 3000)), {0, 0}, {100000, 0}};
    double complex m = divider(20e3 + I * 92e3, 3000), z0, worst = 0;
    struct cw_complex at = cw_jig_impedance(&jig, split(m));
    z0 = at.re + I * at.im;
    for (int i = 0; i < 64; i++) {
        struct cw_complex off = cw_jig_impedance(&jig, split(m + 1e-3 * cexp(I * CW_TAU * i / 64)));
        worst = fmax(creal(worst), cabs((off.re + I * off.im) / z0 - 1));
    }
    double stated = cw_jig_error(&jig, split(m), 1e-3);
    assert_true(fabs(stated / creal(worst) - 1) < 0.05);
    assert_true(cw_jig_error(&jig, split(m), 0) >= 3e-4);
    (void)state;
}

/* Root of the mean square of m - 1, and of the stated error, over an octave; dB. */
static void noise_about(const struct cw_ratio *ratio, double hz, double *true_db, double *stated_db)
{
    double off = 0, stated = 0;
    int n = 0;
    for (size_t i = 0; i < ratio->count; i++) {
        if (fabs(log2(ratio->hz[i] / hz)) < 0.5) {
            /* as it would be at the octave's middle: the sweep has less of what is high */
            double as_there = hz / ratio->hz[i];
            off += as_there * (pow(ratio->m[i].re - 1, 2) + pow(ratio->m[i].im, 2));
            stated += as_there * pow(ratio->sigma[i], 2);
            n++;
        }
    }
    *true_db += off / n;
    *stated_db += stated / n;
}

/* Eight seconds at half scale over white noise of -100 dBFS: 124, 111 and 101 dB at one frequency of 50 Hz, 1 and
 * 10 kHz behind a window of 254 ms, which were worked out independently. The window here lets through 325 ms of
 * noise (450 ms, 100 ms of raised cosine at each end), 1.1 dB more. */
static void noise_is_that_of_the_method(void **state)
{
    enum { RATE = 48000, TAKES = 4 };
    static const double hz[] = {50, 1000, 10000}, is[] = {124.4, 111.4, 101.4};
    double off[3] = {0}, stated[3] = {0};
    struct rng rng = {11};
    struct cw_sweep s;
    cw_sweep_init(&s);
    s.seconds = 8;
    size_t frames = (size_t)(cw_sweep_take_seconds(&s) * RATE);
    float *one = malloc(frames * sizeof *one), *two = malloc(frames * sizeof *two);
    float *noise = malloc(frames * sizeof *noise);
    assert_true(one && two && noise);
    for (int take = 0; take < TAKES; take++) {
        for (size_t i = 0; i < frames; i++) {
            one[i] = (float)(0.5 * cw_sweep_take_at(&s, (double)i / RATE));
            two[i] = (float)(one[i] + 1e-5 * sqrt(3) * rng_between(&rng, -1, 1));
        }
        for (size_t i = 0; i < frames; i++) {
            noise[i] = (float)(1e-5 * sqrt(3) * rng_between(&rng, -1, 1));
        }
        struct cw_recorded_take recorded = {one, two, frames, RATE}, silent = {noise, noise, frames, RATE};
        static struct cw_ratio ratio;
        assert_int_equal(cw_ratio_of(&s, &recorded, &silent, &ratio), CW_TAKE_GOOD);
        for (int i = 0; i < 3; i++) {
            noise_about(&ratio, hz[i], &off[i], &stated[i]);
        }
    }
    for (int i = 0; i < 3; i++) {
        double found = -10 * log10(off[i] / TAKES), said = -10 * log10(stated[i] / TAKES);
        print_message("noise under the answer at %5.0f Hz: %.1f dB, stated %.1f\n", hz[i], found, said);
        assert_true(fabs(found - (is[i] - 1.1)) < 1.5 && fabs(said - (is[i] - 1.1)) < 2.5);
    }
    free(one);
    free(two);
    free(noise);
    (void)state;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spectrum_is_the_closed_form), cmocka_unit_test(harmonics_come_early),
        cmocka_unit_test(any_impedance_comes_back),    cmocka_unit_test(error_is_what_a_shift_does),
        cmocka_unit_test(noise_is_that_of_the_method),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
