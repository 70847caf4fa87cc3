/* SPDX-License-Identifier: ISC */
/* The demonstration's DI: rising notes from the lowest string to the twelfth fret of the highest,
 * a short run, a strummed chord. */
#include "phrase.h"

#include <math.h>
#include <string.h>

#include "biquad.h"
#include "constants.h"
#include "digital.h"
#include "pluck.h"

/* Where pick and pickup stand, as a share of the open string, and how the strings decay: common
 * practice, no source. */
static const double PICK_AT = 0.17;
static const double PICKUP_AT = 0.085;
static const double FADE_SECONDS = 0.15;

/* Open strings, semitones from A at 440 Hz, lowest first. */
static const int open_string[6] = {-29, -24, -19, -14, -10, -5};

struct note {
    double start, stop;
    int string, fret;
    double amplitude;
};

static const struct note score[] = {
    {0.10, 1.60, 0, 0, 1.00},  {0.70, 2.40, 1, 2, 0.85},  {1.30, 3.10, 2, 2, 0.80},  {1.90, 3.40, 3, 0, 0.80},
    {2.50, 3.70, 4, 0, 0.75},  {3.10, 3.75, 5, 0, 0.80},  {3.75, 4.30, 5, 3, 0.80},  {4.30, 4.85, 5, 7, 0.85},
    {4.85, 6.05, 5, 12, 0.90}, {6.10, 6.60, 1, 2, 0.90},  {6.60, 6.80, 2, 0, 0.80},  {6.80, 7.15, 1, 4, 0.80},
    {7.15, 7.55, 0, 3, 0.95},  {7.600, 11.0, 0, 0, 0.90}, {7.616, 11.0, 1, 2, 0.75}, {7.632, 11.0, 2, 0, 0.70},
    {7.648, 11.0, 3, 0, 0.70}, {7.664, 11.0, 4, 3, 0.65}, {7.680, 11.0, 5, 0, 0.65},
};

/* A string moves in two planes that decay at different rates and are a hair apart in pitch. */
static void add_note(const struct note *n, uint32_t seed, float *out)
{
    double stopped = exp2((double)n->fret / 12.0); /* the stopped length is this much shorter */
    double hz = 440.0 * exp2((double)(open_string[n->string] + n->fret) / 12.0);
    struct cw_pluck pluck = {
        .hz = hz,
        .amplitude = n->amplitude,
        .pick_at = fmin(PICK_AT * stopped, 0.5),
        .pickup_at = fmin(PICKUP_AT * stopped, 0.5),
        .start = n->start,
        .stop = n->stop,
        .decay = 9.0 * pow(82.4 / hz, 0.4),
        .decay_high = 2.2 * pow(82.4 / hz, 0.15),
        .softness = 0.00006,
        .seed = seed,
    };
    cw_pluck_add(&pluck, CW_PHRASE_RATE, out, CW_PHRASE_FRAMES);
    pluck.hz = hz * exp2(0.4 / 1200.0);
    pluck.amplitude *= 0.3;
    pluck.decay *= 1.7;
    cw_pluck_add(&pluck, CW_PHRASE_RATE, out, CW_PHRASE_FRAMES);
}

static void set_peak(float *out, double peak)
{
    float highest = 0.0f; /* as a double, gcc 12 for AArch64 ends in an error of its own here */
    for (size_t i = 0; i < CW_PHRASE_FRAMES; i++)
        highest = fmaxf(highest, fabsf(out[i]));
    double gain = highest > 0.0f ? peak / (double)highest : 0.0;
    for (size_t i = 0; i < CW_PHRASE_FRAMES; i++)
        out[i] = (float)(gain * (double)out[i]);
}

static void fade_out(float *out)
{
    size_t n = (size_t)(FADE_SECONDS * CW_PHRASE_RATE);
    for (size_t i = 0; i < n; i++) {
        double share = (double)i / (double)n; /* 0 at the last sample */
        out[CW_PHRASE_FRAMES - 1 - i] *= (float)(share * share);
    }
}

void cw_phrase_strings(float *out)
{
    memset(out, 0, CW_PHRASE_FRAMES * sizeof *out);
    for (size_t i = 0; i < sizeof score / sizeof score[0]; i++)
        add_note(&score[i], (uint32_t)(2463534242u + 977u * i), out);
    fade_out(out);
    set_peak(out, 1.0);
}

void cw_phrase_render(const struct cw_transfer *recorded, float *out)
{
    struct cw_sections sections;
    cw_phrase_strings(out);
    cw_digital_design(recorded, NULL, CW_PHRASE_RATE, 60.0, &sections);
    for (int i = 0; i < sections.count; i++) {
        struct cw_biquad_state state = {0.0, 0.0};
        cw_biquad_process(&sections.section[i], &state, out, out, CW_PHRASE_FRAMES);
    }
    fade_out(out);
    set_peak(out, pow(10.0, CW_PHRASE_PEAK_DB / 20.0)); /* the sections' gain falls out here */
}

void cw_tone_render(float *out)
{
    double amplitude = pow(10.0, CW_TONE_DB / 20.0);
    for (size_t i = 0; i < CW_TONE_FRAMES; i++)
        out[i] = (float)(amplitude * sin(CW_TAU * CW_TONE_HZ * (double)i / CW_PHRASE_RATE));
}
