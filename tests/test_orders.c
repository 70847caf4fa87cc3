/* SPDX-License-Identifier: ISC */
/* Room for the highest orders: what a network with lossy coils comes to, and designs from the ratio of two of them
 * that share no time constant, so that nothing cancels. Under a sanitizer an array that is too short shows.
 *
 * The orders follow from counting: independent capacitors and inductors make the poles (a textbook's state
 * variables), and the zeros are fewer by the steps that the fastest way from the EMF to the output takes. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "core.h"
#include "digital.h"
#include "parallel.h"
#include "polynomial.h"
#include "setup.h"
#include "setups.h"
#include "transfer.h"
#include "within.h"

/* Branches of any size beside what the coil has, so that no two coils have a time constant in common. */
static void add_branches(struct rng *rng, struct cw_coil *coil)
{
    for (int i = 0; i < CW_BRANCHES; i++) {
        double henry = coil->inductance * rng_between(rng, 0.05, 1.5);
        coil->branch[i] = (struct cw_branch){henry, 6.283 * rng_log(rng, 50, 30e3) * henry};
    }
    coil->tail = 1e-6 * coil->branch[0].inductance;
}

enum wiring { ONE, PARALLEL, SERIES, SPLIT };

/* A random setup with everything in it that makes poles. */
static void richest(struct rng *rng, enum wiring wiring, bool losses, struct cw_setup *setup, struct cw_pickup *pickup)
{
    double *v = setup->value;
    setups_random(rng, 3, setup);
    v[CW_P_COILS] = wiring == ONE ? CW_COILS_ONE : wiring == PARALLEL ? CW_COILS_PARALLEL : CW_COILS_SERIES;
    v[CW_P_SPLIT] = wiring == SPLIT;
    v[CW_P_SPLIT_BY] = CW_SPLIT_RC_SERIES;
    v[CW_P_SECOND_TURNS] = rng_between(rng, 80, 95);
    v[CW_P_VOLUME] = rng_between(rng, 3, 9);
    v[CW_P_TONE] = rng_between(rng, 3, 9);
    v[CW_P_BLEED_CAP] = rng_between(rng, 100, 2000);
    v[CW_P_BLEED_RESISTOR] = rng_between(rng, 20, 300);
    v[CW_P_CABLE_LENGTH] = rng_between(rng, 1, 10);
    cw_coil_solve(setup, pickup);
    for (int i = 0; i < (wiring == ONE ? 1 : 2); i++) {
        add_branches(rng, &pickup->coil[i]);
        pickup->coil[i].loss *= losses;
        pickup->coil[i].tail *= losses;
    }
    pickup->mutual = cw_coil_mutual(&pickup->coil[0], &pickup->coil[1], v[CW_P_COUPLING]);
}

static void transfer_of(struct rng *rng, enum wiring wiring, bool losses, struct cw_transfer *h)
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    richest(rng, wiring, losses, &setup, &pickup);
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, h);
}

static void orders(void **state)
{
    (void)state;
    static const struct {
        enum wiring wiring;
        const char *name;
        bool losses;
        int poles, zeros;
    } row[] = {
        {ONE, "one coil", false, 7, 4},         {ONE, "one coil, loss resistor", true, 7, 5},
        {PARALLEL, "parallel", false, 10, 7},   {PARALLEL, "parallel, loss resistors", true, 10, 8},
        {SERIES, "series", false, 11, 8},       {SERIES, "series, loss resistors", true, 11, 9},
        {SPLIT, "R and C split", false, 12, 9}, {SPLIT, "R and C split, loss resistors", true, 12, 10},
    };
    struct rng rng = {90};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        for (int k = 0; k < 40; k++) {
            struct cw_transfer h;
            struct cw_roots roots;
            transfer_of(&rng, row[i].wiring, row[i].losses, &h);
            assert_true(h.num.degree <= CW_DEGREE_MAX && h.den.degree <= CW_DEGREE_MAX);
            assert_true(cw_transfer_roots(&h, &roots));
            if (roots.poles != row[i].poles || roots.zeros != row[i].zeros) {
                fail_msg("%s: %d poles and %d zeros", row[i].name, roots.poles, roots.zeros);
            }
        }
    }
    assert_int_equal(row[7].poles, CW_CIRCUIT_POLES_MAX);
    assert_int_equal(row[7].zeros, CW_CIRCUIT_ZEROS_MAX);
}

static void require_stable(const struct cw_sections *s)
{
    assert_true(isfinite(s->gain) && s->count >= 0 && s->count <= CW_SECTIONS_MAX && isfinite(s->top) && !s->silent);
    for (int i = 0; i < s->count; i++) {
        const struct cw_biquad *b = &s->section[i];
        assert_true(isfinite(b->b0) && isfinite(b->b1) && isfinite(b->b2));
        assert_true(fabs(b->a2) < 1 && fabs(b->a1) < 1 + b->a2);
    }
}

/* The filter's highest sample, to an impulse; run in blocks as the plugin does. */
static void require_sound(const struct cw_sections *s)
{
    static float buffer[512];
    struct cw_parallel filter;
    cw_parallel_init(&filter, s, 1);
    for (int block = 0; block < 4; block++) {
        for (int i = 0; i < 512; i++) {
            buffer[i] = block == 0 && i == 0;
        }
        cw_parallel_process(&filter, buffer, buffer, 512);
        for (int i = 0; i < 512; i++) {
            assert_true(isfinite(buffer[i]));
        }
    }
}

/* Worst error of the ratio where it lies within 60 dB of its peak, dB. */
static double error_of(const struct cw_transfer *a, const struct cw_transfer *b, const struct cw_sections *s,
                       double rate)
{
    double top = -INFINITY, worst = 0, to = fmin(20000, 0.45 * rate);
    for (int k = 0; k <= 150; k++) {
        double hz = 20 * pow(to / 20, k / 150.0);
        top = fmax(top, cw_transfer_db(a, hz) - cw_transfer_db(b, hz));
    }
    for (int k = 0; k <= 150; k++) {
        double hz = 20 * pow(to / 20, k / 150.0), db = cw_transfer_db(a, hz) - cw_transfer_db(b, hz);
        if (db > top - 60) {
            worst = worse(worst, fabs(10 * log10(cw_sections_power(s, hz, rate)) - db));
        }
    }
    return worst;
}

/* Two setups of the highest order that share no time constant. */
static void strangers(void **state)
{
    (void)state;
    static const double rates[] = {8000, 44100, 48000, 96000, 192000, 384000},
                        bound[] = {0.05, 0.02, 0.02, 0.005, 0.005, 0.005};
    for (int r = 0; r < 6; r++) {
        struct rng rng = {91};
        double worst = 0;
        int most = 0, mirrored = 0;
        for (int i = 0; i < 400; i++) {
            struct cw_transfer a, b;
            struct cw_sections s;
            transfer_of(&rng, SPLIT, i % 2, &a);
            transfer_of(&rng, SPLIT, i % 2, &b);
            cw_digital_design(&a, &b, rates[r], i % 4 == 3 ? 6 : 200, &s);
            require_stable(&s);
            require_sound(&s);
            most = s.count > most ? s.count : most;
            mirrored += s.mirrored;
            double error = s.limited ? 0 : error_of(&a, &b, &s, rates[r]);
            if (!(error <= bound[r])) {
                fail_msg("pair %d at %g Hz: %.4f dB", i, rates[r], error);
            }
            worst = worse(worst, error);
        }
        print_message("400 pairs of the highest order at %6.0f Hz: worst %.4f dB, up to %d sections, %d mirrored\n",
                      rates[r], worst, most, mirrored);
        assert_true(rates[r] < 96000 || most >= 11);
    }
}

/* Poles and zeros of functions that no network has: as many as there is room for, and more. */
static void room_ends(void **state)
{
    (void)state;
    for (int candidate = 10; candidate <= CW_DEGREE_MAX; candidate++) {
        for (int recorded = 10; recorded <= CW_DEGREE_MAX; recorded++) {
            struct cw_transfer h[2];
            for (int which = 0; which < 2; which++) {
                h[which].num = h[which].den = cw_poly_constant(1);
                for (int i = 0; i < (which ? recorded : candidate); i++) {
                    double place = 1e-4 * pow(1.3, i) * (which ? 1.07 : 1);
                    h[which].den = cw_poly_mul(h[which].den, cw_poly_linear(1, place));
                    h[which].num = cw_poly_mul(h[which].num, cw_poly_linear(1, 1.11 * place));
                }
            }
            struct cw_sections s;
            cw_digital_design(&h[0], &h[1], 384000, 60, &s);
            bool room = candidate + recorded <= 27;
            assert_int_equal(s.silent, !room);
            if (room) {
                require_stable(&s);
                require_sound(&s);
            }
        }
    }
}

/* Pairs just above and just below the top of the band ask for a real root each besides. */
static void pairs_at_the_top(void **state)
{
    (void)state;
    for (int pairs = 1; pairs <= 6; pairs++) {
        struct cw_transfer h[2];
        for (int which = 0; which < 2; which++) {
            h[which].num = h[which].den = cw_poly_constant(1);
            for (int i = 0; i < pairs; i++) {
                double place = 1 / (CW_TAU * (21000 + 1500 * i + 700 * which)), place_n = place * 1.013;
                struct cw_poly pole =
                    cw_poly_add(cw_poly_linear(1, 0.05 * place), cw_poly_times_s(cw_poly_linear(0, place), place));
                struct cw_poly zero =
                    cw_poly_add(cw_poly_linear(1, 0.4 * place_n), cw_poly_times_s(cw_poly_linear(0, place_n), place_n));
                h[which].den = cw_poly_mul(h[which].den, pole);
                h[which].num = cw_poly_mul(h[which].num, zero);
            }
        }
        struct cw_sections s;
        cw_digital_design(&h[0], &h[1], 48000, 60, &s);
        require_stable(&s);
        require_sound(&s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(orders),
        cmocka_unit_test(strangers),
        cmocka_unit_test(room_ends),
        cmocka_unit_test(pairs_at_the_top),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
