/* SPDX-License-Identifier: ISC */
/* The filter's design alone, without a host, over many random setups: the magnitude and the phase
 * of its sections against H(s), which tests/test_circuit_spice.c holds against ngspice. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <complex.h>
#include <math.h>
#include <stdio.h>

#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "digital.h"
#include "polynomial.h"
#include "setup.h"
#include "support/setups.h"
#include "transfer.h"
#include "within.h"

enum { SETUPS = 1500, STEPS = 60 };

static void transfer_of(const struct cw_setup *setup, struct cw_transfer *h)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, h);
}

static double complex sections_at(const struct cw_sections *s, double hz, double rate)
{
    double complex back = cexp(-I * 2 * CW_PI * hz / rate), h = s->gain;
    for (int i = 0; i < s->count; i++) {
        const struct cw_biquad *b = &s->section[i];
        h *= (b->b0 + back * (b->b1 + back * b->b2)) / (1 + back * (b->a1 + back * b->a2));
    }
    return h;
}

/* Unwrapped phase of sections over circuit, in degrees, at frequencies up to 10 kHz. */
static void phase_error(const struct cw_sections *s, const struct cw_transfer *h, double rate, double *hz, double *deg)
{
    double last = 0;
    for (int i = 0; i < STEPS; i++) {
        hz[i] = 10000.0 * (i + 1) / STEPS;
        struct cw_complex v = cw_transfer_at(h, hz[i]);
        double phase = carg(sections_at(s, hz[i], rate) / (v.re + I * v.im));
        phase -= 2 * CW_PI * round((phase - last) / (2 * CW_PI));
        last = phase;
        deg[i] = phase * 180 / CW_PI;
    }
}

/* The least worst error that one delay of less than a sample, either way, can leave. */
static double after_delay(const double *hz, const double *deg, double rate)
{
    double best = INFINITY;
    for (double samples = -0.99; samples <= 0.99; samples += 0.005) {
        double worst = 0;
        for (int i = 0; i < STEPS; i++) {
            worst = worse(worst, fabs(deg[i] - samples * 360 * hz[i] / rate));
        }
        best = fmin(best, worst);
    }
    return best;
}

static void phase_is_a_delay_below_one_sample(void **state)
{
    (void)state;
    static const double rates[] = {44100, 48000, 96000, 192000};
    for (int r = 0; r < 4; r++) {
        struct rng rng = {71};
        double worst = 0;
        for (int i = 0; i < SETUPS; i++) {
            struct cw_setup setup;
            struct cw_transfer h;
            struct cw_sections s;
            double hz[STEPS], deg[STEPS];
            setups_random(&rng, i, &setup);
            transfer_of(&setup, &h);
            cw_digital_design(&h, NULL, rates[r], 200, &s);
            phase_error(&s, &h, rates[r], hz, deg);
            double error = after_delay(hz, deg, rates[r]);
            if (error > 2) {
                fail_msg("%g Hz: %.2f degrees: %s", rates[r], error, setups_describe(&setup));
            }
            worst = worse(worst, error);
        }
        printf("%6.0f Hz: %d setups, phase within %.2f degrees to 10 kHz after one delay below a sample\n", rates[r],
               SETUPS, worst);
    }
}

static void magnitude_follows(void **state)
{
    (void)state;
    static const double rates[] = {44100, 48000, 88200, 96000, 192000, 384000},
                        bound[] = {0.02, 0.02, 0.005, 0.005, 0.005, 0.005};
    for (int r = 0; r < 6; r++) {
        struct rng rng = {72};
        double worst = 0;
        for (int i = 0; i < SETUPS; i++) {
            struct cw_setup setup;
            struct cw_transfer h;
            struct cw_sections s;
            setups_random(&rng, i, &setup);
            transfer_of(&setup, &h);
            cw_digital_design(&h, NULL, rates[r], 200, &s);
            double top = 0;
            for (int k = 0; k <= 150; k++) {
                top = fmax(top, cw_transfer_power(&h, 20 * pow(1000, k / 150.0)));
            }
            for (int k = 0; k <= 150; k++) {
                double hz = 20 * pow(1000, k / 150.0), power = cw_transfer_power(&h, hz);
                if (power > 1e-6 * top) { /* within 60 dB of the peak */
                    worst = worse(worst, fabs(10 * log10(cw_sections_power(&s, hz, rates[r]) / power)));
                }
            }
            if (!(worst <= bound[r])) {
                fail_msg("%g Hz: %.4f dB: %s", rates[r], worst, setups_describe(&setup));
            }
        }
        printf("%6.0f Hz: %d setups, magnitude within %.5f dB to 20 kHz\n", rates[r], SETUPS, worst);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(phase_is_a_delay_below_one_sample),
        cmocka_unit_test(magnitude_follows),
    };
    return cmocka_run_group_tests_name("design", tests, NULL, NULL);
}
