/* SPDX-License-Identifier: ISC */
#include "voice.h"

#include <assert.h>
#include <stdint.h>
#include <math.h>
#include <string.h>

#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "digital.h"
#include "learn.h"
#include "loudness.h"
#include "parallel.h"
#include "places.h"
#include "slope.h"
#include "transfer.h"

enum {                        /* a step of the learner is a chunk */
       CHUNK = CW_LEARN_STEP, /* samples worked on at a time */
       HISTORY = 2048,        /* past input kept to warm up a filter before it is heard */
       HISTORY_MASK = HISTORY - 1
};

/* No sample of a recording is louder. Below it, no filter can bring the output to infinity, which a
 * fade would turn into NaN. */
static const float LOUDEST = 1e30f;

static const double FADE_SECONDS = 0.010;
static const double WARM_SECONDS = 0.021;

/* How fast the gain of level match may follow what is learned while nothing else changes, dB a second. */
static const double DRIFT = 0.1;

/* What was learned is taken over so often at most, and not until so long after the last change: while two
 * are compared, both are weighed alike. Seconds. */
static const double ADOPT_SECONDS = 2.0, HOLD_SECONDS = 10.0;

/* What is heard: a filter (with no sections: a plain gain) and the gain after it. */
struct path {
    struct cw_sections design;
    double trim, match; /* gains, together that of the filter */
    bool matched;
    struct cw_parallel filter;
};

/* The gain of what is heard, on its way from that of its filter to what was learned since. dB, moved once a step. */
struct drift {
    double at, to;
    double from_gain, gain; /* at the ends of the step, as factors */
};

struct cw_voice {
    double rate;
    struct cw_controls controls;
    bool changed;          /* controls differ from what the path was made of */
    bool stale[CW_SETUPS]; /* figures are out of date */
    bool fresh;            /* nothing has been heard yet: no fade */
    struct cw_figures figures[CW_SETUPS];
    struct cw_place_means means[CW_SETUPS]; /* of the places that a setup last had */
    struct path path[2];                    /* the one heard, and the one faded in */
    int heard;                              /* index of the one heard */
    size_t fade_length, fade_left;          /* samples */
    size_t warm_length;
    struct cw_learn learn;
    struct cw_learned weigh_by; /* what levels are matched by: learned at some time, or nothing yet */
    double held, adopted;       /* seconds since the last change, and since it was last taken over */
    struct drift drift;
    float history[HISTORY];
    size_t history_at; /* where the next sample goes */
};

_Static_assert(_Alignof(struct cw_voice) <= CW_VOICE_ALIGNMENT, "a voice would lie askew");

size_t cw_voice_size(void) { return sizeof(struct cw_voice); }

void cw_voice_init(struct cw_voice *v, double rate)
{
    assert((uintptr_t)v % CW_VOICE_ALIGNMENT == 0 && rate > 0.0);
    memset(v, 0, sizeof *v);
    v->rate = fmin(fmax(rate, 8000.0), 384000.0);
    v->fade_length = (size_t)(FADE_SECONDS * v->rate);
    v->warm_length = (size_t)fmin(WARM_SECONDS * v->rate, HISTORY);
    cw_controls_defaults(&v->controls);
    cw_learn_init(&v->learn, v->rate);
    cw_voice_reset(v);
}

void cw_voice_reset(struct cw_voice *v)
{
    memset(v->history, 0, sizeof v->history);
    v->history_at = 0;
    v->fade_left = 0;
    v->fresh = v->changed = true;
    cw_learn_pause(&v->learn);
    for (int i = 0; i < CW_SETUPS; i++) {
        v->stale[i] = true;
    }
}

void cw_voice_set(struct cw_voice *v, const struct cw_controls *controls)
{
    bool mains = controls->global[CW_G_MAINS] != v->controls.global[CW_G_MAINS];
    for (int i = 0; i < CW_SETUPS; i++) {
        bool differs = memcmp(&controls->setup[i], &v->controls.setup[i], sizeof controls->setup[i]) != 0;
        v->stale[i] = v->stale[i] || differs || mains;
        v->changed = v->changed || differs;
    }
    v->changed = v->changed || memcmp(controls->global, v->controls.global, sizeof controls->global) != 0;
    v->controls = *controls;
}

const struct cw_figures *cw_voice_figures(const struct cw_voice *v, enum cw_which which) { return &v->figures[which]; }

/* ---- from controls to a path --------------------------------------------------------------- */

static void transfer_of(const struct cw_setup *setup, struct cw_transfer *h)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, h);
}

/* Gain that brings the design to the loudness of the recording. It may not lift any frequency over the boost limit. */
static double matching_gain(const struct cw_voice *v, const struct cw_sections *design)
{
    double power[CW_LOUDNESS_BANDS], limit = pow(10.0, 0.05 * v->controls.global[CW_G_BOOST_LIMIT]);
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        double hz = cw_learned_hz(&v->weigh_by, i);
        power[i] = hz < 0.5 * v->rate ? cw_sections_power(design, hz, v->rate) : 0.0;
    }
    double ratio = cw_learned_ratio(&v->weigh_by, power);
    return fmin(1.0 / sqrt(fmax(ratio, 1e-20)), fmax(limit / design->top, 1.0));
}

static void plain(struct cw_sections *design)
{
    memset(design, 0, sizeof *design);
    design->gain = design->top = 1.0;
}

/* The slope that the coils' places ask for; false where there is none to put in. */
static bool slope_of(struct cw_voice *v, enum cw_which which, struct cw_slope *slope)
{
    const struct cw_controls *c = &v->controls;
    if (c->global[CW_G_STRING_PLACES] == 0.0 || c->global[CW_G_UNDO_RECORDING] == 0.0) {
        return false;
    }
    return cw_slope_between(&c->setup[which], &c->setup[CW_REC], &v->means[which], &v->means[CW_REC], v->rate, slope);
}

static void path_of(struct cw_voice *v, struct path *path)
{
    const struct cw_controls *c = &v->controls;
    double rate = v->rate;
    int listen = (int)c->global[CW_G_LISTEN];
    path->trim = pow(10.0, 0.05 * c->global[CW_G_TRIM]);
    path->match = 1.0;
    path->matched = false;
    plain(&path->design);
    if (c->global[CW_G_ENABLED] == 0.0) {
        path->trim = 1.0;
        return;
    }
    if (listen == CW_LISTEN_RECORDED) {
        return;
    }
    struct cw_transfer candidate, recorded;
    enum cw_which which = listen == CW_LISTEN_A ? CW_A : CW_B;
    transfer_of(&c->setup[which], &candidate);
    bool undo = c->global[CW_G_UNDO_RECORDING] > 0.0;
    if (undo) {
        transfer_of(&c->setup[CW_REC], &recorded);
    }
    double limit = c->global[CW_G_BOOST_LIMIT];
    struct cw_slope slope;
    bool sloped = slope_of(v, which, &slope);
    cw_digital_design_sloped(&candidate, undo ? &recorded : NULL, sloped ? &slope : NULL, rate, limit, &path->design);
    if (c->global[CW_G_LEVEL_MATCH] > 0.0 && !path->design.silent) {
        path->matched = true;
        path->match = matching_gain(v, &path->design);
    }
}

/* ---- changes -------------------------------------------------------------------------------- */

/* Share of the incoming path at t in 0..1: its first two derivatives vanish at both ends. */
static double fade_share(double t) { return t * t * t * (10.0 + t * (6.0 * t - 15.0)); }

/* Let a new filter hear the recent past, so that it joins in as if it had been there. The past
 * itself fades in: an abrupt start would set sharp resonances ringing. */
static void warm_up(struct cw_voice *v, struct cw_parallel *filter)
{
    float past[CHUNK], ignored[CHUNK];
    size_t start = v->history_at - v->warm_length;
    for (size_t done = 0; done < v->warm_length;) {
        size_t n = v->warm_length - done < CHUNK ? v->warm_length - done : CHUNK;
        for (size_t i = 0; i < n; i++) {
            double share = fade_share((double)(done + i) / (double)v->warm_length);
            past[i] = (float)(share * (double)v->history[(start + done + i) & HISTORY_MASK]);
        }
        cw_parallel_process(filter, past, ignored, n);
        done += n;
    }
}

static void no_drift(struct cw_voice *v) { v->drift = (struct drift){0.0, 0.0, 1.0, 1.0}; }

/* Take the controls as they are now: the next path fades in, unless it sounds the same. */
static void take_change(struct cw_voice *v)
{
    struct path *heard = &v->path[v->heard], *next = &v->path[!v->heard];
    v->changed = false;
    path_of(v, next);
    bool same = memcmp(&next->design, &heard->design, sizeof next->design) == 0 && next->trim == heard->trim &&
                next->matched == heard->matched;
    if (same && !v->fresh) {
        return; /* its match, if any, drifts on */
    }
    cw_parallel_init(&next->filter, &next->design, next->trim * next->match);
    v->held = 0.0;
    if (v->fresh) {
        v->fresh = false;
        v->heard = !v->heard;
        no_drift(v);
        return;
    }
    warm_up(v, &next->filter);
    v->fade_left = v->fade_length;
}

/* One setup's figures a call, so that no block carries the work of three. Returns whether there was one. */
static bool refresh_figures(struct cw_voice *v, bool all)
{
    bool any = false;
    for (int i = 0; i < CW_SETUPS; i++) {
        if (v->stale[i]) {
            cw_figures_of(&v->controls.setup[i], v->controls.global[CW_G_MAINS], &v->figures[i]);
            v->stale[i] = false;
            any = true;
            if (!all) {
                return true;
            }
        }
    }
    return any;
}

/* ---- what is learned ------------------------------------------------------------------------ */

/* Weigh by what was learned from now on. What is heard keeps its gain for the moment, and drifts from there. */
static void adopt(struct cw_voice *v)
{
    const struct path *heard = &v->path[v->heard];
    v->weigh_by = v->learn.learned;
    v->adopted = 0.0;
    if (heard->matched) {
        v->drift.to = 20.0 * log10(matching_gain(v, &heard->design) / heard->match);
    }
}

/* Every CW_LEARN_STEP samples: learn from those, and drift a step. */
static void learn(struct cw_voice *v)
{
    const double span = CW_LEARN_STEP / v->rate;
    struct drift *d = &v->drift;
    bool news = cw_learn_step(&v->learn, v->history + ((v->history_at - CW_LEARN_STEP) & HISTORY_MASK));
    v->held += span;
    v->adopted += span;
    bool may = v->held > HOLD_SECONDS || !cw_learned_enough(&v->weigh_by);
    if (news && may && v->adopted > ADOPT_SECONDS && v->fade_left == 0 && !v->changed &&
        cw_learned_enough(&v->learn.learned)) {
        adopt(v);
    }
    d->from_gain = d->gain;
    if (d->at != d->to) {
        d->at += fmin(fmax(d->to - d->at, -DRIFT * span), DRIFT * span);
        d->gain = pow(10.0, 0.05 * d->at);
    }
}

/* ---- audio ---------------------------------------------------------------------------------- */

/* Crossfade from what is heard, in y, to the path that comes in. */
static void fade(struct cw_voice *v, const float *x, float *y, size_t n)
{
    float incoming[CHUNK];
    cw_parallel_process(&v->path[!v->heard].filter, x, incoming, n);
    double done = (double)(v->fade_length - v->fade_left), step = 1.0 / (double)v->fade_length;
    for (size_t i = 0; i < n; i++) {
        double share = fade_share((done + (double)i + 1.0) * step);
        y[i] = (float)((1.0 - share) * (double)y[i] + share * (double)incoming[i]);
    }
    v->fade_left -= n;
    if (v->fade_left == 0) {
        v->heard = !v->heard;
        no_drift(v);
    }
}

/* The drift of what is heard, in a part of a step. By the sample's place in the step, so that a cut does not show. */
static void apply_drift(const struct cw_voice *v, float *y, size_t n)
{
    const struct drift *d = &v->drift;
    const double slope = (d->gain - d->from_gain) / CW_LEARN_STEP;
    const size_t place = v->history_at % CW_LEARN_STEP;
    if (d->gain == 1.0 && d->from_gain == 1.0) {
        return;
    }
    for (size_t i = 0; i < n; i++) {
        y[i] = (float)((double)y[i] * (d->from_gain + slope * (double)(place + i + 1)));
    }
}

static size_t least(size_t a, size_t b) { return a < b ? a : b; }

bool cw_voice_process(struct cw_voice *v, const float *in, float *out, size_t n)
{
    bool news = refresh_figures(v, v->fresh);
    while (n > 0) {
        if (v->changed && v->fade_left == 0) {
            take_change(v);
        }
        size_t count = least(n, CW_LEARN_STEP - v->history_at % CW_LEARN_STEP);
        count = v->fade_left > 0 ? least(count, v->fade_left) : count;
        /* The input goes into the history first: it may lie in the output's buffer. */
        float *x = v->history + v->history_at;
        for (size_t i = 0; i < count; i++) {
            x[i] = fabsf(in[i]) < LOUDEST ? in[i] : 0.0f; /* false for NaN */
        }
        cw_parallel_process(&v->path[v->heard].filter, x, out, count);
        apply_drift(v, out, count);
        if (v->fade_left > 0) {
            fade(v, x, out, count);
        }
        v->history_at = (v->history_at + count) & HISTORY_MASK;
        if (v->history_at % CW_LEARN_STEP == 0) {
            learn(v);
        }
        in += count;
        out += count;
        n -= count;
    }
    return news;
}
