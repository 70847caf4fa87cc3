/* SPDX-License-Identifier: ISC */
#include "voice.h"

#include <assert.h>
#include <stdint.h>
#include <math.h>
#include <string.h>

#include "acts.h"
#include "biquad.h"
#include "denormals.h"
#include "digital.h"
#include "guard.h"
#include "learn.h"
#include "parallel.h"
#include "played_level.h"
#include "redesign.h"

enum {                        /* a step of the learner is a chunk */
       CHUNK = CW_LEARN_STEP, /* samples worked on at a time */
       HISTORY = 2048,        /* past input kept to warm up a filter before it is heard */
       HISTORY_MASK = HISTORY - 1
};

/* No sample of a recording is louder. Below it, no filter can bring the output to infinity, which a
 * fade would turn into NaN. */
static const float LOUDEST = 1e30f;

/* Where the last samples of a step were below this, a filter may be on its way to denormal numbers, which are made zero
 * then. From above it none gets there within a step but what forgets in a few samples; and to ask for the processor's
 * mode takes as long as a few samples. */
static const float ASLEEP = 1e-12f;
enum { LAST_SAMPLES = 16 };

static const double FADE_SECONDS = 0.010;
static const double WARM_SECONDS = 0.021;

/* A change is worked on in steps so many a second, so that no block carries much of it; so many steps replay the
 * past to a filter that is being warmed up. From a change to the fade: some 6 ms, never 9. */
static const double STEPS_A_SECOND = 3000.0;
enum { REPLAYS = 2 };

/* The shortest block that hosts use has no two steps. */
static const double SHORT_BLOCK = 16.0, SHORT_BLOCK_RATE = 44100.0;

/* How fast the gain of level match may follow what is learned while nothing else changes, dB a second. */
static const double DRIFT = 0.1;

/* What was learned is taken over so often at most, and not until so long after the last change: while two
 * are compared, both are weighed alike. The first change of a comparison goes by all that was heard before. Seconds. */
static const double ADOPT_SECONDS = 2.0, HOLD_SECONDS = 10.0;

/* What is heard: a filter (with no sections: a plain gain) and the gain after it. */
struct path {
    struct cw_sections design;
    double trim, match; /* gains, together that of the filter */
    double most;        /* how loud it may get over the input's peak, as a factor */
    bool matched;
    struct cw_parallel filter;
};

/* The gain of what is heard, on its way from that of its filter to what was learned since. dB, moved once a step. */
struct drift {
    double at, to;
    double from_gain, gain; /* at the ends of the step, as factors */
};

/* What becomes of a change. */
enum change { AT_REST, DESIGNING, DESIGNED, WARMING };

struct cw_voice {
    double rate;
    struct cw_controls controls;
    bool changed;          /* controls differ from what the path was made of, or is made of */
    bool stale[CW_SETUPS]; /* figures are out of date */
    bool fresh;            /* nothing has been heard yet: no fade */
    bool calm;            /* there is nothing to be done but to hear and to learn; false where it has to be found out */
    bool awake;           /* the last step's input did not end in silence */
    size_t step, to_step; /* samples of a step, and until the next one is due */
    enum change change;
    struct cw_redesign redesign;
    struct cw_figures figures[CW_SETUPS];
    struct cw_figures_work counting; /* the figures of a setup at work, */
    struct cw_played_work played;    /* its level by what was played, */
    bool playing;                    /* where that is at work */
    int counted;                     /* that of this one; CW_SETUPS for none */
    struct path path[2];             /* the one heard, and the one faded in */
    int heard;                       /* index of the one heard */
    size_t fade_length, fade_left;   /* samples */
    size_t warm_length, warmed, lag; /* samples; what was replayed, and what it is behind the present */
    struct cw_learn learn;
    struct cw_learned weigh_by; /* what levels are matched by: learned at some time, or nothing yet */
    unsigned learnings;         /* how often that has changed */
    bool reweighed;             /* it came from outside: the next path is another even where its design is not */
    double held, adopted;       /* seconds since the last change, and since it was last taken over */
    struct drift drift;
    struct cw_guard guard;
    struct cw_bounds bounds;             /* while it is calm: what passes without a word */
    _Alignas(64) float history[HISTORY]; /* at a multiple of a vector's length, for speed */
    size_t history_at;                   /* where the next sample goes */
};

_Static_assert(_Alignof(struct cw_voice) <= CW_VOICE_ALIGNMENT, "a voice would lie askew");

size_t cw_voice_size(void) { return sizeof(struct cw_voice); }

void cw_voice_init(struct cw_voice *v, double rate)
{
    assert((uintptr_t)v % CW_VOICE_ALIGNMENT == 0 && rate > 0.0);
    memset(v, 0, sizeof *v);
    v->rate = fmin(fmax(rate, 8000.0), 384000.0);
    v->fade_length = (size_t)(FADE_SECONDS * v->rate);
    v->step = (size_t)fmax(v->rate / STEPS_A_SECOND, v->rate < SHORT_BLOCK_RATE ? 1.0 : SHORT_BLOCK);
    v->warm_length = (size_t)fmin(WARM_SECONDS * v->rate, HISTORY - (double)v->step);
    cw_redesign_init(&v->redesign, v->rate);
    cw_controls_defaults(&v->controls);
    cw_learn_init(&v->learn, v->rate);
    v->held = HOLD_SECONDS;
    cw_voice_reset(v);
}

void cw_voice_reset(struct cw_voice *v)
{
    memset(v->history, 0, sizeof v->history);
    v->guard = (struct cw_guard){0.0f};
    v->history_at = 0;
    v->fade_left = v->to_step = 0;
    v->change = AT_REST;
    v->counted = CW_SETUPS;
    v->fresh = v->changed = true;
    v->calm = v->awake = false;
    cw_learn_pause(&v->learn);
    for (int i = 0; i < CW_SETUPS; i++) {
        v->stale[i] = true;
    }
}

static bool level_by_played(const struct cw_controls *controls) { return controls->global[CW_G_LEVEL_BY_PLAYED] > 0.0; }

/* Whether the figures of every setup are others: levels by what was played hang on what it was recorded through. */
static bool refigures(const struct cw_controls *was, const struct cw_controls *is)
{
    const bool recorded = is->global[CW_G_UNDO_RECORDING] != was->global[CW_G_UNDO_RECORDING] ||
                          memcmp(&is->setup[CW_REC], &was->setup[CW_REC], sizeof is->setup[CW_REC]) != 0;
    return is->global[CW_G_MAINS] != was->global[CW_G_MAINS] || level_by_played(is) != level_by_played(was) ||
           (level_by_played(is) && recorded);
}

void cw_voice_set(struct cw_voice *v, const struct cw_controls *controls)
{
    bool all = refigures(&v->controls, controls);
    for (int i = 0; i < CW_SETUPS; i++) {
        bool differs = memcmp(&controls->setup[i], &v->controls.setup[i], sizeof controls->setup[i]) != 0;
        v->stale[i] = v->stale[i] || differs || all;
        v->changed = v->changed || differs;
    }
    v->changed = v->changed || memcmp(controls->global, v->controls.global, sizeof controls->global) != 0;
    v->controls = *controls;
    v->calm = false;
}

const struct cw_figures *cw_voice_figures(const struct cw_voice *v, enum cw_which which) { return &v->figures[which]; }

const struct cw_learned *cw_voice_learned(const struct cw_voice *v) { return &v->weigh_by; }

unsigned cw_voice_learnings(const struct cw_voice *v) { return v->learnings; }

static void weigh_by(struct cw_voice *v, const struct cw_learned *learned)
{
    v->weigh_by = *learned;
    v->learnings++;
    v->calm = false;
    v->adopted = 0.0;
    for (int i = 0; i < CW_SETUPS; i++) {
        v->stale[i] = v->stale[i] || level_by_played(&v->controls);
    }
}

void cw_voice_learn(struct cw_voice *v, const struct cw_learned *learned)
{
    cw_learn_restore(&v->learn, learned);
    weigh_by(v, learned);
    v->changed = v->reweighed = true;
}

/* ---- from controls to a path --------------------------------------------------------------- */

/* A design at a sample rate. */
struct sounding {
    const struct cw_sections *design;
    double rate;
};

/* Nothing above the top of the band. */
static double power_of(const void *of, double hz)
{
    const struct sounding *s = of;
    return hz < 0.5 * s->rate ? cw_sections_power(s->design, hz, s->rate) : 0.0;
}

/* Gain that brings the design to the loudness of the recording. It may not lift any frequency over the boost limit. */
static double matching_gain(const struct cw_voice *v, const struct cw_sections *design)
{
    double limit = pow(10.0, 0.05 * v->controls.global[CW_G_BOOST_LIMIT]);
    double ratio = cw_learned_through(&v->weigh_by, power_of, &(struct sounding){design, v->rate});
    return fmin(1.0 / sqrt(fmax(ratio, 1e-20)), fmax(limit / design->top, 1.0));
}

/* The path of a finished design, its filter's memory empty. Returns false where it sounds as what is heard, whose
 * match, if any, then drifts on. */
static bool path_of(struct cw_voice *v, struct path *path)
{
    const struct cw_redesign *made = &v->redesign;
    struct path *heard = &v->path[v->heard];
    double most = pow(10.0, 0.05 * (made->controls.global[CW_G_BOOST_LIMIT] + CW_GUARD_DB)) * made->trim;
    bool same = memcmp(&made->design, &heard->design, sizeof made->design) == 0 && made->trim == heard->trim &&
                made->matched == heard->matched;
    bool reweighed = v->reweighed && made->matched;
    v->reweighed = false;
    if (same && !v->fresh && !reweighed) {
        heard->most = most;
        return false;
    }
    path->design = made->design;
    path->trim = made->trim;
    path->matched = made->matched;
    path->match = made->matched ? matching_gain(v, &made->design) : 1.0;
    path->most = most;
    cw_parallel_init(&path->filter, &path->design, path->trim * path->match);
    return true;
}

/* ---- changes -------------------------------------------------------------------------------- */

/* Share of the incoming path at t in 0..1: its first two derivatives vanish at both ends. */
static double fade_share(double t) { return t * t * t * (10.0 + t * (6.0 * t - 15.0)); }

/* Let a new filter hear the recent past, so that it joins in as if it had been there; a piece of it. The past
 * itself fades in: an abrupt start would set sharp resonances ringing. */
static void replay(struct cw_voice *v, struct cw_parallel *filter, size_t most)
{
    float past[CHUNK], ignored[CHUNK];
    while (most > 0 && v->lag > 0) {
        size_t n = most < CHUNK ? most : CHUNK, start = v->history_at - v->lag;
        n = v->lag < n ? v->lag : n;
        for (size_t i = 0; i < n; i++) {
            double share = fade_share(fmin((double)(v->warmed + i) / (double)v->warm_length, 1.0));
            past[i] = (float)(share * (double)v->history[(start + i) & HISTORY_MASK]);
        }
        cw_parallel_process(filter, past, ignored, n);
        v->warmed += n;
        v->lag -= n;
        most -= n;
    }
}

static void no_drift(struct cw_voice *v) { v->drift = (struct drift){0.0, 0.0, 1.0, 1.0}; }

static void begin_change(struct cw_voice *v)
{
    cw_redesign_start(&v->redesign, &v->controls);
    v->changed = false;
    v->change = DESIGNING;
}

/* The first path is there at once: nothing is heard yet that it would have to be faded into. */
static void take_at_once(struct cw_voice *v)
{
    begin_change(v);
    while (!cw_redesign_step(&v->redesign)) {
    }
    v->change = AT_REST;
    (void)path_of(v, &v->path[!v->heard]);
    v->fresh = false;
    v->heard = !v->heard;
    no_drift(v);
}

/* Whether what was learned may be taken over: nothing is being compared, or there was nothing yet to go by. */
static bool may_adopt(const struct cw_voice *v)
{
    return (v->held >= HOLD_SECONDS || !cw_learned_enough(&v->weigh_by)) && cw_learned_enough(&v->learn.learned);
}

/* Whether the learner has kept another part since. */
static bool has_more(const struct cw_voice *v) { return v->learn.learned.at != v->weigh_by.at; }

static void begin_warming(struct cw_voice *v)
{
    if (may_adopt(v) && has_more(v)) {
        weigh_by(v, &v->learn.learned);
    }
    bool differs = path_of(v, &v->path[!v->heard]);
    v->change = differs ? WARMING : AT_REST;
    v->held = differs ? 0.0 : v->held;
    v->lag = v->warm_length;
    v->warmed = 0;
}

static void warm(struct cw_voice *v)
{
    replay(v, &v->path[!v->heard].filter, v->warm_length / REPLAYS + 1 + v->step);
    if (v->lag == 0) {
        v->change = AT_REST;
        v->fade_left = v->fade_length;
    }
}

/* A step of what is heard. The filter of the next path has to wait until a fade has done with its place.
 * Returns false where there is nothing to do. */
static bool step_change(struct cw_voice *v)
{
    switch (v->change) {
    case AT_REST:
        if (!v->changed) {
            return false;
        }
        begin_change(v);
        return true;
    case DESIGNING: v->change = cw_redesign_step(&v->redesign) ? DESIGNED : DESIGNING; return true;
    case DESIGNED:
        if (v->fade_left > 0) {
            return false;
        }
        begin_warming(v);
        return true;
    case WARMING:
    default: warm(v); return true;
    }
}

/* Returns whether the figures at work are done; the level by what was played may be left to do. */
static bool step_counting(struct cw_voice *v)
{
    if (!cw_figures_step(&v->counting)) {
        return false;
    }
    v->playing = level_by_played(&v->controls) && cw_learned_enough(&v->weigh_by) && cw_split_acts(&v->counting.setup);
    if (v->playing) {
        cw_played_start(&v->played, &v->counting.setup, &v->controls.setup[CW_REC],
                        v->controls.global[CW_G_UNDO_RECORDING] > 0.0, &v->weigh_by);
    }
    return !v->playing;
}

static bool step_played(struct cw_voice *v)
{
    const bool done = cw_played_step(&v->played);
    v->counting.figures.value[CW_M_LEVEL] = done ? v->played.level : v->counting.figures.value[CW_M_LEVEL];
    return done;
}

/* A step of the figures. Returns whether those of a setup are done. */
static bool step_figures(struct cw_voice *v)
{
    for (int i = 0; i < CW_SETUPS && v->counted == CW_SETUPS; i++) {
        if (v->stale[i]) {
            v->stale[i] = false;
            v->counted = i;
            v->playing = false;
            cw_figures_start(&v->counting, &v->controls.setup[i], v->controls.global[CW_G_MAINS]);
        }
    }
    if (v->counted == CW_SETUPS || !(v->playing ? step_played(v) : step_counting(v))) {
        return false;
    }
    v->figures[v->counted] = v->counting.figures;
    v->counted = CW_SETUPS;
    return true;
}

static bool has_stale(const struct cw_voice *v)
{
    bool any = v->counted < CW_SETUPS;
    for (int i = 0; i < CW_SETUPS; i++) {
        any = any || v->stale[i];
    }
    return any;
}

/* Figures without a sample in between: of all setups before anything is heard, else of one. */
static bool count_at_once(struct cw_voice *v)
{
    bool any = false;
    while (has_stale(v) && (v->fresh || !any)) {
        any = step_figures(v) || any;
    }
    return any;
}

static bool has_work(const struct cw_voice *v) { return v->change != AT_REST || v->changed || has_stale(v); }

/* Where a step is due, do it: of the change first. Returns whether a figure is new. */
static bool step(struct cw_voice *v)
{
    if (v->to_step > 0 || !has_work(v)) {
        return false;
    }
    v->to_step = v->step;
    return !step_change(v) && step_figures(v);
}

/* ---- what is learned ------------------------------------------------------------------------ */

/* Weigh by what was learned from now on. What is heard keeps its gain for the moment, and drifts from there. */
static void adopt(struct cw_voice *v)
{
    const struct path *heard = &v->path[v->heard];
    weigh_by(v, &v->learn.learned);
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
    if (news && may_adopt(v) && v->adopted > ADOPT_SECONDS && v->fade_left == 0 && v->change == AT_REST &&
        !v->changed) {
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

static bool drifts(const struct drift *d) { return d->gain != 1.0 || d->from_gain != 1.0; }

/* The drift of what is heard, in a part of a step. By the sample's place in the step, so that a cut does not show. */
static void apply_drift(const struct cw_voice *v, float *y, size_t n)
{
    const struct drift *d = &v->drift;
    const double slope = (d->gain - d->from_gain) / CW_LEARN_STEP;
    const size_t place = v->history_at % CW_LEARN_STEP;
    for (size_t i = 0; i < n; i++) {
        y[i] = (float)((double)y[i] * (d->from_gain + slope * (double)(place + i + 1)));
    }
}

static size_t least(size_t a, size_t b) { return a < b ? a : b; }

/* How many samples are worked on together: up to where anything may change. */
static size_t chunk(const struct cw_voice *v, size_t n)
{
    n = least(n, CW_LEARN_STEP - v->history_at % CW_LEARN_STEP);
    if (v->calm) {
        return n;
    }
    n = v->fade_left > 0 ? least(n, v->fade_left) : n;
    return v->to_step > 0 ? least(n, v->to_step) : n;
}

/* Of two paths, the one that may be louder sets the bound. */
static double bound_of(const struct cw_voice *v)
{
    double most = v->path[v->heard].most;
    return v->fade_left > 0 ? fmax(most, v->path[!v->heard].most) : most;
}

static bool is_awake(const struct cw_voice *v)
{
    const float *last = v->history + ((v->history_at - LAST_SAMPLES) & HISTORY_MASK);
    bool awake = false;
    for (int i = 0; i < LAST_SAMPLES; i++) {
        awake |= fabsf(last[i]) > ASLEEP;
    }
    return awake;
}

static void go_on(struct cw_voice *v, size_t n)
{
    v->history_at = (v->history_at + n) & HISTORY_MASK;
    v->to_step -= least(v->to_step, n);
    v->lag += v->change == WARMING ? n : 0;
    if (v->history_at % CW_LEARN_STEP == 0) {
        const struct cw_denormals host = cw_denormals_zero();
        learn(v);
        cw_denormals_restore(host);
        v->awake = is_awake(v);
    }
}

/* What is heard while something is faded in, or its gain drifts. */
static void play_on(struct cw_voice *v, const float *x, float *out, size_t n)
{
    if (drifts(&v->drift)) {
        apply_drift(v, out, n);
    }
    if (v->fade_left > 0) {
        fade(v, x, out, n);
    }
}

/* The same by two passes, with any inputs; x: where they are kept. */
static void play_any(struct cw_voice *v, const float *in, float *x, float *out, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        x[i] = fabsf(in[i]) < LOUDEST ? in[i] : 0.0f; /* false for NaN */
    }
    cw_parallel_process(&v->path[v->heard].filter, x, out, n);
}

/* What one pass did not do: of samples where something changes, or that are not ordinary. */
__attribute__((noinline)) static void play_rest(struct cw_voice *v, enum cw_heard heard, const float *in, float *x,
                                                float *out, size_t n, double most)
{
    if (heard == CW_HEARD_NOT) {
        play_any(v, in, x, out, n);
    }
    play_on(v, x, out, n);
    cw_guard_hold(&v->guard, x, out, n, most);
}

/* What passes without a word, as things stand. */
static struct cw_bounds bounds_of(const struct cw_voice *v)
{
    return (struct cw_bounds){v->guard.loudest, cw_guard_bound(&v->guard, bound_of(v))};
}

/* What is heard, of samples that nothing begins or ends in between. The input goes into the history first: it may lie
 * in the output's buffer. */
static void play(struct cw_voice *v, const float *in, float *out, size_t n)
{
    const double most = bound_of(v); /* a fade may end with these */
    float *x = v->history + v->history_at;
    const enum cw_heard heard = cw_parallel_hear(&v->path[v->heard].filter, in, x, out, n, bounds_of(v));
    if (heard != CW_HEARD || !v->calm) {
        play_rest(v, heard, in, x, out, n, most);
    }
}

/* The same with denormal numbers as zero where there may be any, which is found out at the ends of steps: whatever
 * the calls, the same samples are played in the same mode. */
static void play_in_mode(struct cw_voice *v, const float *in, float *out, size_t n)
{
    if (v->awake) {
        play(v, in, out, n);
    } else {
        const struct cw_denormals host = cw_denormals_zero();
        play(v, in, out, n);
        cw_denormals_restore(host);
    }
}

/* What there is to be done before the next samples. Returns whether a figure is new. */
static bool work(struct cw_voice *v, size_t n)
{
    const struct cw_denormals host = cw_denormals_zero();
    bool news = v->fresh || n == 0 ? count_at_once(v) : false;
    if (v->fresh && n > 0) {
        take_at_once(v);
    }
    news = (n > 0 && step(v)) || news;
    v->calm = !has_work(v) && v->fade_left == 0 && !drifts(&v->drift);
    cw_denormals_restore(host);
    return news;
}

/* By itself, so that the ordinary case saves no registers for it. Returns whether a figure is new. */
__attribute__((noinline)) static bool play_all(struct cw_voice *v, const float *in, float *out, size_t n)
{
    bool news = n == 0 ? work(v, n) : false;
    while (n > 0) {
        news = (!v->calm && work(v, n)) || news;
        const size_t count = chunk(v, n);
        play_in_mode(v, in, out, count);
        go_on(v, count);
        in += count;
        out += count;
        n -= count;
    }
    v->bounds = bounds_of(v);
    return news;
}

/* Ordinary samples, of which nothing is to be said: what a processor does nearly all the time. */
static bool is_ordinary(const struct cw_voice *v, size_t n)
{
    return v->calm && v->awake && n > 0 && n < CW_LEARN_STEP - v->history_at % CW_LEARN_STEP;
}

static void play_ordinary(struct cw_voice *v, const float *in, float *out, size_t n)
{
    float *x = v->history + v->history_at;
    const enum cw_heard heard = cw_parallel_hear(&v->path[v->heard].filter, in, x, out, n, v->bounds);
    if (heard != CW_HEARD) {
        play_rest(v, heard, in, x, out, n, v->path[v->heard].most);
        v->bounds = bounds_of(v);
    }
    v->history_at += n;
    v->to_step -= least(v->to_step, n);
}

bool cw_voice_process(struct cw_voice *v, const float *in, float *out, size_t n)
{
    if (is_ordinary(v, n)) {
        play_ordinary(v, in, out, n);
        return false;
    }
    const unsigned learnings = v->learnings;
    const bool news = play_all(v, in, out, n);
    return news || v->learnings != learnings;
}
