/* SPDX-License-Identifier: ISC */
/* The runner of a filter: the sum of modes that it plays is the cascade of sections that was designed. The
 * reference is the textbook recurrence (A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing,
 * direct form I), section after section, in double precision. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "cookbook.h"
#include "digital.h"
#include "modes.h"
#include "parallel.h"
#include "setup.h"
#include "support/setups.h"
#include "transfer.h"
#include "within.h"

enum { N = 3000 };
static const double GAIN = 1.5;
static float input[N];
static double expected[N];

static int make_input(void **state)
{
    (void)state;
    struct rng rng = {73};
    for (int i = 0; i < N; i++) {
        input[i] = (float)rng_between(&rng, -1, 1);
    }
    return 0;
}

static void play_recurrence(const struct cw_sections *s)
{
    for (int i = 0; i < N; i++) {
        expected[i] = s->gain * GAIN * (double)input[i];
    }
    for (int k = 0; k < s->count; k++) {
        const struct cw_biquad *b = &s->section[k];
        double x1 = 0, x2 = 0, y1 = 0, y2 = 0;
        for (int i = 0; i < N; i++) {
            double x = expected[i], y = b->b0 * x + b->b1 * x1 + b->b2 * x2 - b->a1 * y1 - b->a2 * y2;
            x2 = x1;
            x1 = x;
            y2 = y1;
            y1 = expected[i] = y;
        }
    }
}

static void below(double value, double most, const char *what, int number)
{
    if (!(value <= most)) {
        fail_msg("%s (%d): %.3g of the largest sample, at most %.3g", what, number, value, most);
    }
}

/* In calls of random lengths below `most`. */
static void play(const struct cw_sections *s, struct rng *rng, int most, float *out)
{
    struct cw_parallel filter;
    cw_parallel_init(&filter, s, GAIN);
    for (int at = 0; at < N;) {
        int n = most < N ? rng_pick(rng, most) : N;
        n = n < N - at ? n : N - at;
        cw_parallel_process(&filter, input + at, out + at, (size_t)n);
        at += n;
    }
}

/* The largest difference from the recurrence, as a share of its largest sample. */
static double difference(const struct cw_sections *s)
{
    static float whole[N], cut[N];
    struct rng rng = {79};
    double worst = 0, peak = 0;
    play(s, &rng, N, whole);
    for (int most = 3; most < 300; most *= 10) {
        play(s, &rng, most, cut);
        assert_memory_equal(cut, whole, sizeof whole); /* to the bit, however it is cut */
    }
    play_recurrence(s);
    for (int i = 0; i < N; i++) {
        peak = fmax(peak, fabs(expected[i]));
        double d = fabs((double)whole[i] - expected[i]);
        worst = worse(worst, d);
    }
    return worst / peak;
}

/* Rounding to float alone is 6e-8 of the sample. */
static const double ROUNDING = 1e-7;

static void peaking_sections(void **state)
{
    (void)state;
    struct rng rng = {83};
    for (int count = 0; count <= CW_SECTIONS_MAX; count++) {
        struct cw_sections s = {.count = count, .gain = 0.7, .top = pow(10, 0.6 * (count + 1))};
        for (int k = 0; k < count; k++) {
            double db = rng_between(&rng, -12, 12);
            s.section[k] = cookbook(CW_PEAKING, rng_log(&rng, 30, 15000), rng_between(&rng, 0.5, 5), db, 48000);
        }
        below(difference(&s), ROUNDING, "sections", count);
    }
}

/* Sections without poles, with one, and with poles at zero: up to a filter that is all zeros. */
static void poles_at_zero(void **state)
{
    (void)state;
    struct rng rng = {89};
    for (int bare = 0; bare <= CW_SECTIONS_MAX; bare++) {
        for (int singles = 0; singles + bare <= CW_SECTIONS_MAX; singles++) {
            struct cw_sections s = {.count = CW_SECTIONS_MAX, .gain = 1, .top = 1e3};
            for (int k = 0; k < s.count; k++) {
                struct cw_biquad *b = &s.section[k];
                *b = (struct cw_biquad){1, rng_between(&rng, -0.5, 0.5), rng_between(&rng, -0.3, 0.3), 0, 0};
                if (k >= bare) {
                    b->a1 = -0.9 + 1.8 * k / s.count;
                }
                if (k >= bare + singles) {
                    b->a1 = -1.8 + 3.6 * k / s.count;
                    b->a2 = 0.25 * b->a1 * b->a1 + 0.03;
                }
            }
            below(difference(&s), ROUNDING, "sections without poles, and 100 times those with one",
                  bare + 100 * singles);
        }
    }
}

/* Poles that coincide have no partial fractions. They are moved apart, which costs a few hundredths of a decibel
 * or less up to three of them; random designs over the whole ranges have not even two. */
static void equal_poles(void **state)
{
    (void)state;
    static const double most[] = {ROUNDING, 3e-6, 1e-3, 3e-2};
    for (int copies = 1; copies <= 4; copies++) {
        for (int low = 0; low < 2; low++) {
            struct cw_sections s = {.count = copies, .gain = 1, .top = pow(2, copies)};
            for (int k = 0; k < copies; k++) {
                s.section[k] = cookbook(CW_PEAKING, low ? 200 : 5000, 2, 6, 48000);
            }
            double found = difference(&s);
            printf("%d equal sections at %d Hz: %.2g\n", copies, low ? 200 : 5000, found);
            below(found, most[copies - 1], "equal sections", copies);
        }
    }
}

/* Two equal poles on the real axis, within rounding of it, and nearly equal ones. */
static void equal_poles_of_one_section(void **state)
{
    (void)state;
    static const double off[] = {0, 1e-17, -1e-17, 1e-14, -1e-14, 1e-10, -1e-10, 1e-6, -1e-6, 1e-4};
    static const double poles[] = {0.999, 0.9, 0.01, -0.5};
    for (size_t p = 0; p < sizeof poles / sizeof poles[0]; p++) {
        for (size_t i = 0; i < sizeof off / sizeof off[0]; i++) {
            double a = -2 * poles[p], b = poles[p] * poles[p];
            if (poles[p] > 0.99 && off[i] < -1e-9) {
                continue; /* no longer stable, or at its end */
            }
            struct cw_sections s = {.count = 1, .gain = 1, .section = {{1, -0.3, 0.2, a, b + off[i]}}};
            s.top = 0.9 / ((1 + a + b) + 1e-3);
            below(difference(&s), ROUNDING, "nearly equal poles, case", (int)(100 * p + i));
        }
    }
}

/* Real poles that meet from two sections share a mode, and cost nothing. */
static void equal_real_poles_of_two_sections(void **state)
{
    (void)state;
    static const double off[] = {0, 1e-15, 1e-12, 1e-9, 1e-6, 1e-3};
    for (size_t i = 0; i < sizeof off / sizeof off[0]; i++) {
        double p = 0.99, q = p + off[i]; /* with 0.9 and 0.5 */
        struct cw_sections s = {
            .count = 2, .gain = 1, .section = {{1, -0.3, 0.2, -(p + 0.9), p * 0.9}, {1, -0.9, 0, -(q + 0.5), q * 0.5}}};
        s.top = 0.9 * 0.1 / (1 - p) / 0.1 / (1 - q) / 0.5;
        below(difference(&s), ROUNDING, "equal real poles, case", (int)i);
    }
}

/* c0 + c1 z^-1 + c2 z^-2 by what z^-1 lacks to 1: next to z = 1 a double has not the digits for it otherwise, and a
 * long double has no more on some machines. */
static long double complex quadratic_at(double c0, double c1, double c2, long double complex less)
{
    long double sum = (long double)c0 + c1 + c2, slope = (long double)c1 + 2.0L * c2;
    return sum + less * (c2 * less - slope);
}

/* The largest difference of the sum's response from the cascade's, as a share of the cascade's highest: dense
 * from a fraction of a hertz on, where poles next to z = 1 would show. */
static double response_difference(const struct cw_sections *s)
{
    struct cw_modes m;
    cw_modes_of(s, 1.0, &m);
    double worst = 0;
    for (int i = 0; i <= 160; i++) {
        long double w = i == 160 ? 0 : CW_PI * pow(1e-6, i / 159.0), half = sinl(w / 2);
        long double complex less = 2 * half * half + I * sinl(w), back = 1 - less;
        long double complex cascade = s->gain, sum = 0, tail = 0, delay = 1;
        for (int k = 0; k < s->count; k++) {
            const struct cw_biquad *b = &s->section[k];
            cascade *= quadratic_at(b->b0, b->b1, b->b2, less) / quadratic_at(1, b->a1, b->a2, less);
        }
        for (int k = 0; k < m.delay; k++, delay *= back) {
            sum += m.head[k] * delay;
        }
        for (int k = 0; k < m.count; k++) {
            const struct cw_mode *o = &m.mode[k];
            tail += quadratic_at(o->c0, o->c1, 0, less) / quadratic_at(1, o->a1, o->a2, less);
        }
        worst = worse(worst, (double)(cabsl(sum + delay * tail - cascade) / s->top));
    }
    return worst;
}

static void transfer_of(const struct cw_setup *setup, struct cw_transfer *h)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, h);
}

/* A candidate that is the recorded setup but for one value, by very little to one percent: zeros and poles
 * lie beside one another. And every rate, and limits that bring poles together. */
static void nearly_equal_setups(void **state)
{
    (void)state;
    static const double rates[] = {8000, 44100, 48000, 96000, 192000, 384000};
    struct rng rng = {101};
    double worst = 0;
    int tried = 0;
    for (int i = 0; i < 4000; i++) {
        struct cw_setup candidate, recorded;
        struct cw_transfer a, rec;
        struct cw_sections s;
        setups_random(&rng, i / 3, &recorded);
        candidate = recorded;
        int id = rng_pick(&rng, CW_PARAMS);
        candidate.value[id] =
            cw_param_clean(&cw_param_info[id], candidate.value[id] * (1 + rng_log(&rng, 1e-12, 1e-2)), 0);
        transfer_of(&candidate, &a);
        transfer_of(&recorded, &rec);
        cw_digital_design(&a, i % 4 ? &rec : NULL, rates[rng_pick(&rng, 6)], rng_between(&rng, 0, 24), &s);
        if (!s.silent && s.count > 0) {
            worst = worse(worst, response_difference(&s));
            tried++;
        }
    }
    printf("%d designs: response within %.2g of its top\n", tried, worst);
    assert_true(tried > 1000);
    below(worst, 1e-8, "response", tried);
}

/* The filters that are really designed, over the whole ranges. */
static void designs(void **state)
{
    (void)state;
    enum { SETUPS = 400 };
    static const double rates[] = {44100, 48000, 96000, 384000};
    struct rng rng = {97};
    double worst = 0;
    int tried = 0;
    for (int i = 0; i < SETUPS; i++) {
        struct cw_setup setup[2];
        struct cw_transfer h[2];
        for (int k = 0; k < 2; k++) {
            setups_random(&rng, k ? i / SETUPS_KINDS : i, &setup[k]);
            transfer_of(&setup[k], &h[k]);
        }
        struct cw_sections s;
        cw_digital_design(&h[0], i % 3 ? &h[1] : NULL, rates[i % 4], i % 5 ? 24 : 3, &s);
        if (!s.silent) {
            worst = worse(worst, difference(&s));
            tried++;
        }
    }
    printf("%d designs: within %.2g of the largest sample\n", tried, worst);
    assert_true(tried > SETUPS / 2);
    below(worst, ROUNDING, "designs", tried);
}

/* Loud, not a number, or ordinary; the largest so far of those that count is the bound. */
static float hostile_sample(struct rng *rng)
{
    const int kind = rng_pick(rng, 400);
    return kind == 0   ? NAN
           : kind == 1 ? -INFINITY
           : kind == 2 ? 1e30f
           : kind == 3 ? (float)rng_between(rng, -1e6, 1e6)
                       : (float)rng_between(rng, -1, 1);
}

static float loudest(const float *x, int n)
{
    float most = 0;
    for (int i = 0; i < n; i++) {
        most = fmaxf(most, fabsf(x[i]));
    }
    return most;
}

/* What is heard in place, of any inputs, is what is processed of those that count; and what is beyond its bound is
 * told. */
static void hears_what_it_processes(void **state)
{
    (void)state;
    static float heard[N], kept[N], counts[N], whole[N];
    const struct cw_sections s = {
        .count = 2,
        .gain = 0.7,
        .top = 16,
        .section = {cookbook(CW_PEAKING, 3000, 2, 12, 48000), cookbook(CW_PEAKING, 80, 1, 9, 48000)}};
    struct rng rng = {97};
    int ways[2] = {0};
    for (int most = 2; most < 1000; most *= 4) {
        struct cw_parallel filter, plain;
        cw_parallel_init(&filter, &s, GAIN);
        cw_parallel_init(&plain, &s, GAIN);
        float in_so_far = 0, out_so_far = 0;
        for (int i = 0; i < N; i++) {
            heard[i] = hostile_sample(&rng);
            counts[i] = fabsf(heard[i]) < 1e30f ? heard[i] : 0.0f;
        }
        cw_parallel_process(&plain, counts, whole, N);
        for (int at = 0, n; at < N; at += n) {
            n = rng_pick(&rng, 2) == 0 ? 4 * (1 + rng_pick(&rng, most)) : 1 + rng_pick(&rng, most);
            n = n < N - at ? n : N - at;
            const float share = rng_pick(&rng, 4) == 0 ? 1e-3f : 1.0f;
            const struct cw_bounds bounds = {in_so_far, share * out_so_far};
            const enum cw_heard how = cw_parallel_hear(&filter, heard + at, kept + at, heard + at, (size_t)n, bounds);
            if (how == CW_HEARD_NOT) {
                memcpy(kept + at, counts + at, (size_t)n * sizeof *kept);
                cw_parallel_process(&filter, kept + at, heard + at, (size_t)n);
            } else {
                assert_true(loudest(counts + at, n) <= in_so_far);
                assert_true((loudest(heard + at, n) > bounds.out) == (how == CW_HEARD_LOUD));
                ways[how]++;
            }
            in_so_far = fmaxf(in_so_far, loudest(counts + at, n));
            out_so_far = fmaxf(out_so_far, loudest(heard + at, n));
        }
        assert_memory_equal(heard, whole, sizeof whole);
        assert_memory_equal(kept, counts, sizeof counts);
    }
    assert_true(ways[CW_HEARD] > 50 && ways[CW_HEARD_LOUD] > 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(peaking_sections),
        cmocka_unit_test(hears_what_it_processes),
        cmocka_unit_test(poles_at_zero),
        cmocka_unit_test(equal_poles),
        cmocka_unit_test(equal_poles_of_one_section),
        cmocka_unit_test(equal_real_poles_of_two_sections),
        cmocka_unit_test(nearly_equal_setups),
        cmocka_unit_test(designs),
    };
    return cmocka_run_group_tests(tests, make_input, NULL);
}
