/* SPDX-License-Identifier: ISC */
/* Is it heard. Judges: bands and differences worked out by another program from the published
 * formulas (roex filters and Cam scale: Glasberg and Moore 1990), the rule of Gagne and Zurek (JASA
 * 83, 1988) for the least noticeable change of a resonance, and a coil whose core is solved by its
 * Bessel functions, not by the network of dsp/. */
#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "audible.h"
#include "rod.h"
#include "within.h"

#define TAU 6.28318530717958647692

/* The textbook's second-order low-pass. */
struct low_pass {
    double hz, q;
};

static double low_pass_power(const void *of, double hz)
{
    const struct low_pass *lp = of;
    double x = hz / lp->hz, real = 1 - x * x, imaginary = x / lp->q;
    return 1 / (real * real + imaginary * imaginary);
}

static struct cw_audible of_low_passes(struct low_pass a, struct low_pass b)
{
    double from[CW_AUDIBLE_BANDS], to[CW_AUDIBLE_BANDS];
    cw_audible_levels_of(low_pass_power, &a, from);
    cw_audible_levels_of(low_pass_power, &b, to);
    return cw_audible_of(to, from);
}

/* Q 3, 3000 to 3300 Hz, to the digits that were printed there. */
static void a_shifted_resonance(void **state)
{
    (void)state;
    static const struct {
        double cam, hz, before, after;
    } row[] = {{20, 1739.5, -0.637, -0.619},
               {24, 2798.2, -1.185, -1.166},
               {26, 3525.0, 2.548, 2.567},
               {28, 4426.3, 2.956, 2.975}};
    struct low_pass a = {3000, 3}, b = {3300, 3};
    double from[CW_AUDIBLE_BANDS], to[CW_AUDIBLE_BANDS], most = 0;
    cw_audible_levels_of(low_pass_power, &a, from);
    cw_audible_levels_of(low_pass_power, &b, to);
    struct cw_audible audible = cw_audible_of(to, from);
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        int band = (int)(2 * (row[i].cam - 3));
        within(cw_audible_cam(band), row[i].cam, 1e-12, "Cam");
        within(cw_audible_hz(band), row[i].hz, 0.05, "centre");
        within(to[band] - from[band], row[i].before, 0.0006, "before matching");
        within(to[band] - from[band] - audible.level, row[i].after, 0.0006, "after matching");
    }
    for (int band = 0; band < CW_AUDIBLE_BANDS; band++) {
        most = fmax(most, fabs(to[band] - from[band]));
    }
    within(most, 3.135, 0.0006, "the most before matching");
    within(audible.worst, 3.154, 0.0006, "the most after matching");
    within(audible.hz, cw_audible_hz(48), 1e-9, "at Cam 27");
    within(audible.times, 3.154 / 1.4, 0.001, "times just noticeable");
}

/* A shift of 0.079 F/sqrt(Q) is just noticed: on this measure nearly the same number of dB everywhere,
 * which is what makes it a measure; 1.4 leans a little towards hearing it. The bounds are what was found here. */
static void the_published_rule(void **state)
{
    (void)state;
    double least = HUGE_VAL, most = 0, sum = 0;
    int count = 0;
    for (double hz = 500; hz <= 4000; hz *= 1.1892071) {
        for (double q = 1; q <= 10; q *= 1.2589254) {
            struct low_pass a = {hz, q}, b = {hz + 0.079 * hz / sqrt(q), q};
            double worst = fabs(of_low_passes(a, b).worst);
            least = fmin(least, worst);
            most = worse(most, worst);
            sum += worst;
            count++;
        }
    }
    print_message("the least noticeable shift is %.2f to %.2f dB, %.2f in the mean\n", least, most, sum / count);
    within(least, 1.3, 0.05, "least");
    within(most, 1.7, 0.05, "most");
    within(sum / count, 1.5, 0.05, "in the mean");
    assert_true(CW_AUDIBLE_DB > least && CW_AUDIBLE_DB < sum / count);
}

/* A coil with steel rods, its core by Bessel functions, at the usual controls; ohm, farad. */
struct coil {
    double scale; /* of the inductance */
    double pot, cable;
};

static double coil_power(const void *of, double hz)
{
    const struct coil *c = of;
    const struct rod_coil rods = rod_check_coil();
    double w = TAU * hz;
    double complex z = 8e3 + I * w * c->scale * rod_inductance(&rods, hz);
    double complex tone = 500e3 + 1 / (I * w * 22e-9);
    double complex y = 1 / c->pot + 1 / tone + 1 / 1e6 + I * w * (c->cable + 120e-12);
    double complex h = 1 / (1 + z * y);
    return creal(h) * creal(h) + cimag(h) * cimag(h);
}

static double worst_of(struct coil changed)
{
    const struct coil plain = {1, 500e3, 500e-12};
    double from[CW_AUDIBLE_BANDS], to[CW_AUDIBLE_BANDS];
    cw_audible_levels_of(coil_power, &plain, from);
    cw_audible_levels_of(coil_power, &changed, to);
    return fabs(cw_audible_of(to, from).worst);
}

static void changes_of_a_coil(void **state)
{
    (void)state;
    const struct coil plain = {1, 500e3, 500e-12};
    within(10 * log10(coil_power(&plain, 3000)), 4.754886, 0.0002, "the check circuit itself");
    within(worst_of((struct coil){1.05, 500e3, 500e-12}), 0.637, 0.0006, "inductance +5 %");
    within(worst_of((struct coil){1, 500e3, 600e-12}), 1.714, 0.0006, "cable +100 pF");
    within(worst_of((struct coil){1, 250e3, 500e-12}), 1.918, 0.0006, "volume pot halved");
    within(worst_of((struct coil){1, 550e3, 500e-12}), 0.201, 0.0006, "volume pot +10 %");
}

static double gain_power(const void *of, double hz)
{
    (void)hz;
    return *(const double *)of;
}

static void level_and_silence(void **state)
{
    (void)state;
    double one = 1, four = 4, nothing = 0, a[CW_AUDIBLE_BANDS], b[CW_AUDIBLE_BANDS], c[CW_AUDIBLE_BANDS];
    char text[80];
    cw_audible_levels_of(gain_power, &one, a);
    cw_audible_levels_of(gain_power, &four, b);
    cw_audible_levels_of(gain_power, &nothing, c);
    struct cw_audible louder = cw_audible_of(b, a), silent = cw_audible_of(c, a), both = cw_audible_of(c, c);
    within(louder.level, 6.0206, 0.0001, "four times the power");
    within(louder.times, 0, 1e-9, "level alone");
    assert_string_equal(cw_audible_words(&louder, text, sizeof text), "level only: +6.0 dB");
    assert_true(isinf(silent.times) && both.times == 0);
    assert_string_equal(cw_audible_words(&silent, text, sizeof text), "yes: one of them is silent");
    assert_string_equal(cw_audible_words(&both, text, sizeof text), "no");
    struct cw_audible heard = of_low_passes((struct low_pass){3000, 3}, (struct low_pass){3300, 3});
    assert_string_equal(cw_audible_words(&heard, text, sizeof text), "yes: +3.2 dB at 3.95 kHz");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_shifted_resonance),
        cmocka_unit_test(the_published_rule),
        cmocka_unit_test(changes_of_a_coil),
        cmocka_unit_test(level_and_silence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
