/* SPDX-License-Identifier: ISC */
/* Hearing: a search for the settings that put out most over what goes in.
 *
 * Two figures of the whole chain (filter, level match, trim), both from its impulse response h:
 * - the highest |H| at any frequency: what a steady tone can rise by. It may not pass boost limit
 *   plus trim;
 * - the sum of |h|: what the peak of any input can rise by (A. V. Oppenheim and R. W. Schafer,
 *   Discrete-Time Signal Processing, BIBO stability: |y| <= max |x| * sum |h|, reached by the input
 *   sign h(-n)). It may not pass boost limit plus trim plus WAVEFORM_DB.
 * The search is random restarts and hill climbing over every parameter of candidate and recorded
 * setup; its seed is fixed. CW_EAR_STEPS (1500) makes it longer. */
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

#include "constants.h"
#include "setup.h"
#include "setups.h"
#include "spectrum.h"
#include "voice.h"

enum {
    N = 32768,        /* of an impulse response, where it is short */
    LONG = 4 * N,     /* where it is not over by then */
    CLIMB_TONE = 150, /* steps from one restart */
    CLIMB_WAVEFORM = 3000,
    CHANGES = 40 /* settings in a session of changes */
};

/* Stated in docs/robustness.md. */
static const double TONE_DB = 0.05, WAVEFORM_DB = 18.0;
static const double rates[] = {44100, 48000, 96000, 192000, 384000};
enum { RATES = sizeof rates / sizeof rates[0] };

static double db(double x) { return 20.0 * log10(x); }

struct case_ {
    double rate;
    struct cw_controls controls;
};

struct gain {
    double tone, waveform; /* ratios */
    double hz;             /* of the tone */
};

static struct cw_voice *voice_new(double rate)
{
    struct cw_voice *voice = aligned_alloc(CW_VOICE_ALIGNMENT, cw_voice_size());
    assert_non_null(voice);
    cw_voice_init(voice, rate);
    return voice;
}

/* The response to one sample of 1; returns its length: all but a millionth of it. */
static size_t impulse_response(const struct case_ *c, float *h)
{
    struct cw_voice *voice = voice_new(c->rate);
    static float in[N];
    double sum = 0.0, last = 1.0;
    size_t n = 0;
    in[0] = 1.0f;
    cw_voice_set(voice, &c->controls);
    for (; n < LONG && (n < N || last > 1e-6 * sum); n += N) {
        cw_voice_process(voice, in, h + n, N);
        in[0] = 0.0f;
        last = 0.0;
        for (size_t i = 0; i < N; i++) {
            assert_true(isfinite(h[n + i]));
            sum += fabs((double)h[n + i]);
            last += i >= N / 2 ? fabs((double)h[n + i]) : 0.0;
        }
    }
    free(voice);
    return n;
}

static double magnitude(const float *h, size_t n, double hz, double rate)
{
    struct spectrum_value v = spectrum_at(h, n, hz, rate);
    return sqrt(v.re * v.re + v.im * v.im);
}

/* The highest magnitude: of a transform, and of a search around its highest point. */
static double highest(const float *h, size_t n, double rate, double *hz)
{
    static double re[LONG], im[LONG];
    size_t size = n > N ? LONG : N, best = 0;
    for (size_t i = 0; i < size; i++) {
        re[i] = i < n ? (double)h[i] : 0.0;
        im[i] = 0.0;
    }
    spectrum_fft(re, im, size);
    for (size_t i = 1; i <= size / 2; i++) {
        best = re[i] * re[i] + im[i] * im[i] > re[best] * re[best] + im[best] * im[best] ? i : best;
    }
    double top = sqrt(re[best] * re[best] + im[best] * im[best]), bin = rate / (double)size;
    *hz = (double)best * bin;
    /* Half a bin beside the top of a peak of half a second the loss is below 0.01 dB of it: one look
     * on each side is enough to see more. */
    for (int side = -1; side <= 1; side += 2) {
        double at = fabs((double)best + 0.5 * side) * bin, beside = magnitude(h, n, at, rate);
        *hz = beside > top ? at : *hz;
        top = fmax(top, beside);
    }
    return top;
}

/* The sum of |h| alone, which is quick, or both figures. */
static struct gain gain_of(const struct case_ *c, bool tone)
{
    static float h[LONG];
    struct gain g = {0};
    size_t n = impulse_response(c, h);
    for (size_t i = 0; i < n; i++) {
        g.waveform += fabs((double)h[i]);
    }
    g.tone = tone ? highest(h, n, c->rate, &g.hz) : 0.0;
    return g;
}

static double stated_db(const struct case_ *c)
{
    return c->controls.global[CW_G_BOOST_LIMIT] + c->controls.global[CW_G_TRIM];
}

/* ---- the search ---------------------------------------------------------------------------------- */

/* A parameter of any of the three setups or a global one; where the value goes. */
static double *parameter(struct case_ *c, int at, const struct cw_param_info **info)
{
    if (at < CW_GLOBALS) {
        *info = &cw_global_info[at];
        return &c->controls.global[at];
    }
    at -= CW_GLOBALS;
    *info = &cw_param_info[at % CW_PARAMS];
    return &c->controls.setup[at / CW_PARAMS].value[at % CW_PARAMS];
}

enum { SEARCHED = CW_GLOBALS + 2 * CW_PARAMS }; /* B is the same code as A */

static void fix_globals(struct case_ *c)
{
    c->controls.global[CW_G_ENABLED] = 1.0;
    c->controls.global[CW_G_LISTEN] = CW_LISTEN_A;
}

static void random_case(struct rng *rng, int index, struct case_ *c)
{
    cw_controls_defaults(&c->controls);
    c->rate = rates[index % RATES];
    for (int i = 0; i < CW_GLOBALS; i++) {
        c->controls.global[i] = setups_value(rng, &cw_global_info[i]);
    }
    fix_globals(c);
    setups_random(rng, rng_pick(rng, 2 * SETUPS_KINDS), &c->controls.setup[CW_A]);
    setups_random(rng, rng_pick(rng, 2 * SETUPS_KINDS), &c->controls.setup[CW_REC]);
}

/* One to four parameters: anew, to an end, or a little aside. */
static void mutate(struct rng *rng, struct case_ *c)
{
    for (int count = 1 + rng_pick(rng, 4); count > 0; count--) {
        const struct cw_param_info *info;
        double *value = parameter(c, rng_pick(rng, SEARCHED), &info);
        switch (rng_pick(rng, 4)) {
        case 0: *value = setups_value(rng, info); break;
        case 1: *value = rng_pick(rng, 2) ? info->maximum : info->minimum; break;
        default: *value = cw_param_clean(info, (double)(float)(*value * rng_between(rng, 0.8, 1.25)), *value); break;
        }
    }
    fix_globals(c);
}

enum aim { AIM_TONE, AIM_WAVEFORM };

static double over(const struct case_ *c, enum aim aim)
{
    struct gain gain = gain_of(c, aim == AIM_TONE);
    return db(fmax(aim == AIM_TONE ? gain.tone : gain.waveform, 1e-10)) - stated_db(c);
}

/* A step costs about 4 ms for tones and 0.4 ms for waveforms here. */
static int steps_of(enum aim aim)
{
    const char *text = getenv("CW_EAR_STEPS");
    int steps = text ? atoi(text) : getenv("CW_BRIEF") ? 100 : 1500;
    return aim == AIM_TONE ? steps : 8 * steps;
}

static void describe(int steps, double worst_db, const struct case_ *c)
{
    struct gain gain = gain_of(c, true);
    const double *global = c->controls.global;
    printf("worst of %d: %.4f dB over boost limit and trim: tone %.2f dB at %.0f Hz, waveform %.2f dB, limit %.1f dB, "
           "trim %.1f dB, rate %.0f Hz, undo %.0f, match %.0f\n",
           steps, worst_db, db(gain.tone), gain.hz, db(gain.waveform), global[CW_G_BOOST_LIMIT], global[CW_G_TRIM],
           c->rate, global[CW_G_UNDO_RECORDING], global[CW_G_LEVEL_MATCH]);
    for (int which = CW_REC; which <= CW_A; which++) {
        printf("  %s%s\n", cw_setup_prefix[which], setups_describe(&c->controls.setup[which]));
    }
}

static double search(enum aim aim, uint64_t seed)
{
    struct rng rng = {seed};
    struct case_ best, trial, worst;
    double worst_db = -HUGE_VAL;
    int steps = steps_of(aim);
    random_case(&rng, 0, &worst);
    for (int done = 0, restart = 0; done < steps; restart++) {
        random_case(&rng, restart, &best);
        double best_db = over(&best, aim);
        for (int i = 0; i < (aim == AIM_TONE ? CLIMB_TONE : CLIMB_WAVEFORM) && done < steps; i++, done++) {
            trial = best;
            mutate(&rng, &trial);
            double trial_db = over(&trial, aim);
            if (trial_db >= best_db) {
                best = trial;
                best_db = trial_db;
            }
        }
        if (best_db > worst_db) {
            worst_db = best_db;
            worst = best;
        }
    }
    describe(steps, worst_db, &worst);
    return worst_db;
}

static void test_no_tone_above_the_limit(void **state)
{
    (void)state;
    assert_true(search(AIM_TONE, 1) <= TONE_DB);
}

static void test_no_waveform_above_the_bound(void **state)
{
    (void)state;
    assert_true(search(AIM_WAVEFORM, 2) <= WAVEFORM_DB);
}

/* ---- changes in the middle of sound --------------------------------------------------------------- */

/* The input that drives a path hardest at sample \p at: the signs of its impulse response, backwards. */
static void hardest_input(const float *h, size_t h_length, float *in, size_t at)
{
    for (size_t i = 0; i <= at; i++) {
        size_t k = at - i;
        in[i] = k < h_length ? (h[k] < 0.0f ? -1.0f : 1.0f) : 0.0f;
    }
}

static void some_change(struct rng *rng, struct case_ *c)
{
    switch (rng_pick(rng, 5)) {
    case 0: mutate(rng, c); break;
    case 1: c->controls.global[CW_G_LISTEN] = rng_pick(rng, 3); break;
    case 2: c->controls.global[CW_G_ENABLED] = rng_pick(rng, 2); break;
    case 3: random_case(rng, 0, c); break; /* another preset */
    default: {
        struct cw_setup swap = c->controls.setup[CW_A];
        c->controls.setup[CW_A] = c->controls.setup[CW_B];
        c->controls.setup[CW_B] = swap;
        break;
    }
    }
}

/* Sessions of changes under the input that is hardest on one of the settings met, NaN and infinity
 * among it: a fade is a mean of two paths with shares that add up to one, and the past that a path is
 * warmed up with is faded in by shares below one, so no sample can pass the higher of the two sums. */
static void test_changes_stay_below_the_bound(void **state)
{
    (void)state;
    static float h[LONG], in[N], out[N];
    struct rng rng = {3};
    double closest = 0.0;
    for (int session = 0; session < (getenv("CW_BRIEF") ? 4 : 16); session++) {
        struct case_ c;
        random_case(&rng, session, &c);
        double rate = c.rate, bound = 0.0;
        struct cw_voice *voice = voice_new(rate);
        cw_voice_set(voice, &c.controls);
        for (int change = 0; change < CHANGES; change++) {
            bound = fmax(bound, gain_of(&c, false).waveform);
            size_t length = impulse_response(&c, h);
            /* The peak falls somewhere into the fade, which takes 10 ms. */
            size_t n = (size_t)(rng_between(&rng, 0.001, 0.08) * rate);
            hardest_input(h, length, in, n);
            if (rng_pick(&rng, 4) == 0) {
                in[rng_pick(&rng, (int)n)] = rng_pick(&rng, 2) ? NAN : INFINITY;
            }
            cw_voice_set(voice, &c.controls);
            cw_voice_process(voice, in, out, n + 1);
            for (size_t i = 0; i <= n; i++) {
                if (!(fabs((double)out[i]) <= bound * 1.0001)) {
                    fail_msg("session %d, change %d: %g, bound %g", session, change, (double)out[i], bound);
                }
                closest = fmax(closest, fabs((double)out[i]) / bound);
            }
            if (rng_pick(&rng, 8) == 0) {
                cw_voice_reset(voice);
            }
            some_change(&rng, &c);
            c.rate = rate;
        }
        free(voice);
    }
    printf("changes: the loudest sample came within %.2f dB of the sum of |h|\n", db(closest));
    assert_true(closest > 0.5); /* else the input was not hard at all */
}

/* The sum of |h| is what such an input really reaches. */
static void test_the_bound_is_reached(void **state)
{
    (void)state;
    static float h[LONG], in[LONG], out[LONG];
    struct rng rng = {4};
    for (int i = 0; i < 6; i++) {
        struct case_ c;
        random_case(&rng, i, &c);
        size_t n = impulse_response(&c, h);
        double sum = gain_of(&c, false).waveform;
        hardest_input(h, n, in, n - 1);
        struct cw_voice *voice = voice_new(c.rate);
        cw_voice_set(voice, &c.controls);
        cw_voice_process(voice, in, out, n);
        free(voice);
        assert_true(fabs((double)out[n - 1] / sum - 1.0) < 1e-3);
    }
}

/* The measure of tones against a tone: a sine at the frequency that was found. */
static void test_the_measure_is_right(void **state)
{
    (void)state;
    static float in[LONG], out[LONG];
    struct rng rng = {5};
    struct case_ c;
    struct gain g = {0};
    for (int i = 1; i < 40 && !(g.hz > 100.0); i++) { /* one that is not highest at rest */
        random_case(&rng, i, &c);
        g = gain_of(&c, true);
    }
    double hz = round(g.hz);
    assert_true(hz > 100.0);
    for (int i = 0; i < LONG; i++) {
        in[i] = (float)sin(CW_TAU * fmod(hz * i, c.rate) / c.rate);
    }
    struct cw_voice *voice = voice_new(c.rate);
    cw_voice_set(voice, &c.controls);
    cw_voice_process(voice, in, out, LONG);
    free(voice);
    double amplitude = spectrum_amplitude(out + LONG - (size_t)c.rate, (size_t)c.rate, hz, c.rate);
    assert_true(fabs(db(amplitude / g.tone)) < 0.01);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_no_tone_above_the_limit),      cmocka_unit_test(test_no_waveform_above_the_bound),
        cmocka_unit_test(test_changes_stay_below_the_bound), cmocka_unit_test(test_the_bound_is_reached),
        cmocka_unit_test(test_the_measure_is_right),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
