/* SPDX-License-Identifier: ISC */
/* No clicks: any control stepped at random, A/B flips and automation while a tone plays.
 *
 * The measure: the output is high-passed at 4 kHz (linear phase, 120 dB down at the tone), and the
 * peak of what is left around a step is given in dB against the louder of the steady tone before
 * and after it.
 *
 * The reference: the exact steady tones before and after the step, one faded into the other by a
 * raised cosine of 10 ms, which is slow against the band that is measured. It has no filter, no
 * block and no state, and so nothing above the tone but the skirt of the fade; its samples are
 * those of a continuous function, whatever the rate. Above 4 kHz it leaves
 * |G after - G before| times a constant that is computed here for each tone. */
#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "constants.h"
#include "host.h"
#include "setup.h"
#include "setups.h"

enum {
    RATE = 48000,
    BLOCK = 64,
    GAP = 9600,     /* samples between two steps; whole periods of every tone */
    SETTLED = 2400, /* at the end of each gap, over which the steady tone is measured */
    TAPS = 311,     /* of the high-pass */
    STEPS = 600
};

static const double CORNER = 4000;   /* Hz */
static const double AMPLITUDE = 0.1; /* of the tone */
static const double FADE = 0.010;    /* s, of the reference */

/* ---- the measure ------------------------------------------------------------------------------ */

static double high_pass[TAPS];

static double bessel_i0(double x)
{
    double sum = 1, term = 1;
    for (int k = 1; k < 60; k++) {
        term *= x * x / (4.0 * k * k);
        sum += term;
    }
    return sum;
}

/* Kaiser window design (J. F. Kaiser, 1974): 120 dB, beta = 0.1102 (120 - 8.7). */
static int make_high_pass(void **state)
{
    (void)state;
    const double beta = 12.27, middle = (TAPS - 1) / 2.0;
    const double width = (120 - 8) / (2.285 * CW_TAU * (TAPS - 1)); /* of the transition, cycles a sample */
    const double corner = CORNER / RATE - width / 2;
    for (int i = 0; i < TAPS; i++) {
        double t = i - middle, w = bessel_i0(beta * sqrt(1 - t * t / (middle * middle))) / bessel_i0(beta);
        high_pass[i] = ((t == 0 ? 1 - 2 * corner : -sin(CW_TAU * corner * t) / (CW_TAU / 2 * t))) * w;
    }
    return 0;
}

/* The peak of the high-passed signal over n samples from x. */
static double residual(const float *x, int n)
{
    double peak = 0;
    for (int i = 0; i + TAPS <= n; i++) {
        double sum = 0;
        for (int k = 0; k < TAPS; k++) {
            sum += high_pass[k] * (double)x[i + k];
        }
        peak = fmax(peak, fabs(sum));
    }
    return peak;
}

/* What the reference leaves of a step of one: the peak over time and over the tone's phase. */
static double reference_residual(double hz)
{
    int fade = (int)(FADE * RATE), length = fade + 2 * TAPS;
    double peak = 0;
    for (int i = 0; i < length; i++) {
        double complex sum = 0;
        for (int k = 0; k < TAPS; k++) {
            double t = i + k - TAPS, c = t <= 0 ? 0 : t >= fade ? 1 : 0.5 - 0.5 * cos(CW_TAU / 2 * t / fade);
            sum += high_pass[k] * c * cexp(I * CW_TAU * hz * t / RATE);
        }
        peak = fmax(peak, cabs(sum));
    }
    return peak;
}

/* Complex amplitude of the tone over whole periods; the phase counts from sample `at`. */
static double complex tone_in(const float *x, long at, int n, double hz)
{
    double complex sum = 0;
    for (int i = 0; i < n; i++) {
        sum += (double)x[i] * cexp(-I * CW_TAU * fmod(hz * (double)(at + i), RATE) / RATE);
    }
    return 2 * sum / n;
}

/* ---- playing ---------------------------------------------------------------------------------- */

/* Steady playing: the tone, and what the high-pass leaves of it. That is rounding of the float
 * samples at the input, lifted with the treble, and no part of any click. */
struct steady {
    double complex tone;
    double noise;
};

struct player {
    struct host *host;
    double hz;
    long at;
    float out[TAPS + GAP]; /* a stretch, after the end of the one before */
    struct steady now;     /* at the end of the last stretch */
};

static void play(struct player *p, int n, float *out)
{
    static float in[GAP];
    for (int i = 0; i < n; i++) {
        in[i] = (float)(AMPLITUDE * sin(CW_TAU * fmod(p->hz * (double)(p->at + i), RATE) / RATE));
    }
    host_run(p->host, in, out, (size_t)n, BLOCK);
    p->at += n;
}

/* A gap of steady playing; returns the peak of the residual from the moment of the last change. */
static double play_gap(struct player *p)
{
    memmove(p->out, p->out + GAP, TAPS * sizeof p->out[0]);
    play(p, GAP, p->out + TAPS);
    p->now.tone = tone_in(p->out + TAPS + GAP - SETTLED, p->at - SETTLED, SETTLED, p->hz);
    p->now.noise = residual(p->out + TAPS + GAP - SETTLED, SETTLED);
    return residual(p->out, TAPS + GAP);
}

static struct player *player_new(double hz)
{
    struct player *p = calloc(1, sizeof *p);
    assert_non_null(p);
    p->host = host_new(RATE);
    assert_non_null(p->host);
    p->hz = hz;
    return p;
}

/* Let everything settle: slow poles, and the change that the last settings were. */
static void settle(struct player *p)
{
    for (int i = 0; i < 8; i++) {
        play_gap(p);
    }
}

static void player_free(struct player *p)
{
    host_free(p->host);
    free(p);
}

/* ---- judging ---------------------------------------------------------------------------------- */

struct clicks {
    double worst, worst_excess; /* dB against the tone; dB above the reference */
    char what[160], what_excess[160];
    int steps, audible;
};

static double db(double x) { return 20 * log10(x); }

/* Below this, against the tone, float samples and the fit of the steady tones say nothing. */
static const double FLOOR = -115;

/* \param was  the player before the change
 * \param left what the high-pass left of the change
 * \param reference what it leaves of a step of one of the reference; 0 where there is none */
static void judge(struct clicks *clicks, const struct player *p, const struct steady *was, double left,
                  double reference, const char *what)
{
    double loud = fmax(cabs(was->tone), cabs(p->now.tone)), noise = fmax(was->noise, p->now.noise);
    clicks->steps++;
    if (loud < 1e-4 * AMPLITUDE) { /* silence to silence */
        assert_true(left < 1e-7);
        return;
    }
    double against_tone = db(left / loud);
    double change = cabs(p->now.tone - was->tone);
    double expected = fmax(db((change * reference + noise) / loud), FLOOR);
    clicks->audible += change > 0.01 * loud;
    /* What is there without a change as well is no click: level match, which learns the tone, lifts a setup that all
     * but stops the tone, and with it the rounding of the input. */
    if (against_tone > clicks->worst && left > 2 * noise) {
        clicks->worst = against_tone;
        snprintf(clicks->what, sizeof clicks->what, "%s", what);
    }
    if (against_tone - expected > clicks->worst_excess) {
        clicks->worst_excess = against_tone - expected;
        snprintf(clicks->what_excess, sizeof clicks->what_excess, "%s", what);
    }
}

static void report(const char *kind, double hz, double reference, const struct clicks *c)
{
    print_message("%s, %4.0f Hz: worst %.1f dB below the tone (%s); a full step of the reference %.1f dB; "
                  "most above the reference %.1f dB (%s); %d of %d steps changed the tone\n",
                  kind, hz, -c->worst, c->what, -db(reference), c->worst_excess, c->what_excess, c->audible, c->steps);
}

static const double tones[] = {100, 320, 1000};

static void start(struct clicks *c) { *c = (struct clicks){.worst = -INFINITY, .worst_excess = -INFINITY}; }

static const double MOST = -80;      /* dB against the tone */
static const double MOST_ABOVE = 12; /* dB above the reference with the steady noise */

/* ---- the cases -------------------------------------------------------------------------------- */

/* Set one control at random; a line that says what was done. */
static void step_any(struct player *p, struct rng *rng, char what[160])
{
    char symbol[64];
    int input = rng_pick(rng, CW_GLOBALS + 3 * CW_PARAMS);
    const struct cw_param_info *info;
    if (input < CW_GLOBALS) {
        info = &cw_global_info[input];
        snprintf(symbol, sizeof symbol, "%s", info->symbol);
    } else {
        info = &cw_param_info[input % CW_PARAMS];
        /* Mostly the setup that is heard: the others are stepped too, and must not be heard. */
        enum cw_which which = host_get(p->host, "listen") > 1.5f ? CW_B : CW_A;
        which = rng_pick(rng, 4) == 0 ? (enum cw_which)rng_pick(rng, CW_SETUPS) : which;
        snprintf(symbol, sizeof symbol, "%s%s", cw_setup_prefix[which], info->symbol);
    }
    float was = host_get(p->host, symbol), is = (float)setups_value(rng, info);
    host_set(p->host, symbol, is);
    snprintf(what, 160, "%s from %.4g to %.4g", symbol, (double)was, (double)is);
}

static void random_setups(struct player *p, struct rng *rng)
{
    char symbol[64];
    for (int which = 0; which < CW_SETUPS; which++) {
        struct cw_setup setup;
        setups_random(rng, 2 + rng_pick(rng, 6), &setup);
        for (int i = 0; i < CW_PARAMS; i++) {
            snprintf(symbol, sizeof symbol, "%s%s", cw_setup_prefix[which], cw_param_info[i].symbol);
            host_set(p->host, symbol, (float)setup.value[i]);
        }
    }
}

static void any_control_stepped(void **state)
{
    (void)state;
    int steps = getenv("CW_BRIEF") ? STEPS / 4 : STEPS;
    for (size_t t = 0; t < sizeof tones / sizeof tones[0]; t++) {
        struct rng rng = {60 + t};
        struct player *p = player_new(tones[t]);
        struct clicks clicks;
        double reference = reference_residual(tones[t]);
        char what[160];
        start(&clicks);
        for (int i = 0; i < steps; i++) {
            if (i % 40 == 0) {
                random_setups(p, &rng);
                host_set(p->host, "enabled", 1);
                host_set(p->host, "listen", (float)(1 + rng_pick(&rng, 2)));
                settle(p);
            }
            struct steady before = p->now;
            step_any(p, &rng, what);
            judge(&clicks, p, &before, play_gap(p), reference, what);
        }
        player_free(p);
        report("any control", tones[t], reference, &clicks);
        assert_true(clicks.audible > steps / 6);
        assert_true(clicks.worst <= MOST);
        assert_true(clicks.worst_excess <= MOST_ABOVE);
    }
}

/* As recorded, A, B and the bypass, in any order. */
static void flips(void **state)
{
    (void)state;
    for (size_t t = 0; t < sizeof tones / sizeof tones[0]; t++) {
        struct rng rng = {70 + t};
        struct player *p = player_new(tones[t]);
        struct clicks clicks;
        double reference = reference_residual(tones[t]);
        char what[160];
        start(&clicks);
        for (int i = 0; i < 120; i++) {
            if (i % 12 == 0) {
                random_setups(p, &rng);
                host_set(p->host, "enabled", 1);
                settle(p);
            }
            struct steady before = p->now;
            bool bypass = rng_pick(&rng, 5) == 0;
            const char *symbol = bypass ? "enabled" : "listen";
            float was = host_get(p->host, symbol);
            float is = bypass ? 1 - was : (float)(((int)was + 1 + rng_pick(&rng, 2)) % 3);
            host_set(p->host, symbol, is);
            snprintf(what, sizeof what, "%s from %g to %g", symbol, (double)was, (double)is);
            judge(&clicks, p, &before, play_gap(p), reference, what);
        }
        player_free(p);
        report("flips", tones[t], reference, &clicks);
        assert_true(clicks.audible > 30);
        assert_true(clicks.worst <= MOST);
        assert_true(clicks.worst_excess <= MOST_ABOVE);
    }
}

/* Automation: a control that moves from one end of its range to the other in a fifth of a second,
 * with a new value for every block. The louder end counts as the tone. */
static void swept_controls(void **state)
{
    (void)state;
    static const char *const swept[] = {
        "a_volume",          "a_tone",         "a_split_keep", "a_split_resistor", "a_inductance",
        "a_cable_length",    "a_loss",         "trim",         "boost_limit",      "a_sensitivity",
        "a_split_capacitor", "rec_inductance", "a_coupling",   "a_bleed_cap"};
    struct player *p = player_new(320);
    struct clicks clicks;
    char what[160];
    start(&clicks);
    for (size_t i = 0; i < sizeof swept / sizeof swept[0]; i++) {
        host_defaults(p->host);
        host_set(p->host, "a_coils", CW_COILS_SERIES);
        host_set(p->host, "a_split", strstr(swept[i], "split") != NULL);
        host_set(p->host, "a_split_by",
                 strstr(swept[i], "resistor")    ? CW_SPLIT_R
                 : strstr(swept[i], "capacitor") ? CW_SPLIT_C
                                                 : 0);
        host_set(p->host, "boost_limit", 60);
        settle(p);
        struct cw_place place = cw_place_find(swept[i]);
        assert_true(place.found);
        const struct cw_param_info *info = place.global ? &cw_global_info[place.index] : &cw_param_info[place.index];
        for (int direction = 0; direction < 2; direction++) {
            struct steady before = p->now;
            memmove(p->out, p->out + GAP, TAPS * sizeof p->out[0]);
            for (int n = 0; n < GAP; n += BLOCK) {
                double x = (double)(n + BLOCK) / GAP, lo = info->minimum, hi = info->maximum;
                x = direction ? 1 - x : x;
                double value = info->flags & CW_LOG ? lo * pow(hi / lo, x) : lo + (hi - lo) * x;
                host_set(p->host, swept[i], (float)value);
                play(p, BLOCK, p->out + TAPS + n);
            }
            p->now.tone = tone_in(p->out + TAPS + GAP - SETTLED / 2, p->at - SETTLED / 2, SETTLED / 2, p->hz);
            double left = residual(p->out, TAPS + GAP);
            snprintf(what, sizeof what, "%s %s", swept[i], direction ? "down" : "up");
            judge(&clicks, p, &before, left, 0, what);
            settle(p);
        }
    }
    player_free(p);
    print_message("sweeps, a value for every %d samples: worst %.1f dB below the tone (%s)\n", BLOCK, -clicks.worst,
                  clicks.what);
    assert_true(clicks.worst <= MOST);
}

/* ---- how soon a change is heard ---------------------------------------------------------------- */

enum { WAIT = 192000 / 20, SOON_MOST = 192000 / 2 };

/* Noise from one place on, the same for both. */
static void play_noise(struct host *host, uint64_t seed, size_t n, float *out)
{
    static float in[SOON_MOST];
    struct rng rng = {seed};
    for (size_t i = 0; i < n; i++) {
        in[i] = (float)rng_between(&rng, -0.1, 0.1);
    }
    host_run(host, in, out, n, 16);
}

/* From a change on, the first sample that is another than that of an instance that nothing was changed of, s. */
static double heard_after(struct host *changed, struct host *left, double rate, uint64_t seed)
{
    static float one[WAIT], other[WAIT];
    size_t n = (size_t)(rate / 20), i = 0;
    play_noise(changed, seed, n, one);
    play_noise(left, seed, n, other);
    while (i < n && one[i] == other[i]) {
        i++;
    }
    return i < n ? (double)i / rate : INFINITY;
}

/* A is heard, its controls open, for a while, which ends anywhere between two looks at the controls. */
static void begin(struct player *p, struct rng *rng, float rest[SOON_MOST])
{
    random_setups(p, rng);
    host_set(p->host, "listen", 1);
    host_set(p->host, "a_volume", 10);
    host_set(p->host, "b_volume", 10);
    play_noise(p->host, 1, SOON_MOST - (size_t)rng_pick(rng, 256), rest);
}

/* A cable that is exchanged, and a flip, at any rate, of any candidate. */
static void changes_are_heard_soon(void **state)
{
    (void)state;
    static const double rates[] = {44100, 48000, 96000, 192000};
    static float rest[SOON_MOST];
    double latest = 0;
    for (size_t r = 0; r < sizeof rates / sizeof rates[0]; r++) {
        struct rng rng = {80 + r};
        struct player changed = {.host = host_new(rates[r])}, left = {.host = host_new(rates[r])};
        for (int i = 0; i < 24; i++) {
            struct rng same = rng;
            begin(&changed, &rng, rest);
            begin(&left, &same, rest);
            if (i % 2) {
                host_set(changed.host, "listen", 2);
            } else {
                host_set(changed.host, "a_cable_length", host_get(left.host, "a_cable_length") > 8 ? 1 : 20);
            }
            latest = fmax(latest, heard_after(changed.host, left.host, rates[r], (uint64_t)i));
        }
        host_free(changed.host);
        host_free(left.host);
    }
    print_message("a change is heard after %.1f ms at the latest\n", 1e3 * latest);
    assert_true(latest <= 0.010);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_control_stepped),
        cmocka_unit_test(flips),
        cmocka_unit_test(swept_controls),
        cmocka_unit_test(changes_are_heard_soon),
    };
    return cmocka_run_group_tests(tests, make_high_pass, NULL);
}
