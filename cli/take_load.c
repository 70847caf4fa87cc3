/* SPDX-License-Identifier: ISC */
#include "take_load.h"

#include <kiss_fftr.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "audio.h"
#include "constants.h"
#include "loudness.h"
#include "message.h"
#include "progress.h"

/* The blocks of BS.1770: 400 ms, 100 ms apart. Their window is flat, so that each holds the energy
 * that the gates go by, but for soft edges that keep the bass from leaking into the treble. */
static const double EDGE_SECONDS = 0.01;

static const double LOWEST_HZ = 15.0, HIGHEST_HZ = 22000.0, BANDS_AN_OCTAVE = 48.0;

/* Analysis under way. */
struct analysis {
    struct cw_take *take;
    struct cw_audio_in in;
    size_t hop, length; /* samples from block to block and of a block */
    kiss_fftr_cfg fft;
    float *window, *frame;
    kiss_fft_cpx *bins;
    int *band_of;   /* of each bin, -1 for none */
    double *weight; /* of each bin: K-weighting over the recorded-through response, and scale */
    float *samples; /* of the file, from the block's first on */
    size_t held;
    bool ended;
    size_t room; /* blocks that fit into take->power */
};

static void drop(struct analysis *a)
{
    cw_audio_close(&a->in);
    kiss_fftr_free(a->fft);
    free(a->window);
    free(a->frame);
    free(a->bins);
    free(a->band_of);
    free(a->weight);
    free(a->samples);
}

/* Bins to bands, and the frequency of each band. */
static void lay_out_bands(struct analysis *a)
{
    struct cw_take *take = a->take;
    double step = a->in.rate / (double)a->length;
    double edge = 0.0;
    int members = 0;
    take->bands = 0;
    for (size_t k = 0; k <= a->length / 2; k++) {
        double hz = (double)k * step;
        a->band_of[k] = -1;
        if (hz < LOWEST_HZ || hz > HIGHEST_HZ) {
            continue;
        }
        if (hz >= edge && take->bands < CW_TAKE_BANDS) {
            edge = hz * exp2(1.0 / BANDS_AN_OCTAVE);
            take->hz[take->bands++] = 0.0;
            members = 0;
        }
        int band = take->bands - 1;
        a->band_of[k] = band;
        take->hz[band] = (take->hz[band] * members + hz) / (members + 1);
        members++;
    }
}

/* Mean square of a frame = sum over bins of 2 |X|^2 / (length * sum of window^2). */
static void lay_out_weights(struct analysis *a, const struct cw_transfer *recorded)
{
    double square = 0.0, step = a->in.rate / (double)a->length, edge = EDGE_SECONDS * a->in.rate;
    for (size_t i = 0; i < a->length; i++) {
        double from_end = 0.5 + (double)(i < a->length / 2 ? i : a->length - 1 - i);
        a->window[i] = from_end < edge ? (float)(0.5 - 0.5 * cos(0.5 * CW_TAU * from_end / edge)) : 1.0f;
        square += (double)a->window[i] * (double)a->window[i];
    }
    for (size_t k = 0; k <= a->length / 2; k++) {
        double hz = (double)k * step, through = recorded ? cw_transfer_power(recorded, hz) : 1.0;
        a->weight[k] = a->band_of[k] < 0 || !(through > 0.0)
                           ? 0.0
                           : 2.0 * cw_loudness_k_power(hz) / ((double)a->length * square * through);
    }
}

static bool prepare(struct analysis *a, const struct cw_transfer *recorded)
{
    a->hop = ((size_t)a->in.rate + 5) / 10;
    size_t n = a->length = 4 * a->hop;
    a->fft = kiss_fftr_alloc((int)n, 0, NULL, NULL);
    a->window = malloc(n * sizeof *a->window);
    a->frame = malloc(n * sizeof *a->frame);
    a->bins = malloc((n / 2 + 1) * sizeof *a->bins);
    a->band_of = malloc((n / 2 + 1) * sizeof *a->band_of);
    a->weight = malloc((n / 2 + 1) * sizeof *a->weight);
    a->samples = malloc((n + CW_AUDIO_BLOCK) * sizeof *a->samples);
    if (!a->fft || !a->window || !a->frame || !a->bins || !a->band_of || !a->weight || !a->samples) {
        cw_error_memory();
        return false;
    }
    lay_out_bands(a);
    lay_out_weights(a, recorded);
    return true;
}

/* Read on until a whole block is held or the file has ended. */
static bool hold_block(struct analysis *a)
{
    while (!a->ended && a->held < a->length) {
        long got = cw_audio_read(&a->in, a->samples + a->held);
        if (got < 0) {
            return false;
        }
        a->held += (size_t)got;
        a->ended = got == 0;
    }
    return true;
}

/* The bands of the block held. */
static void fill_row(struct analysis *a, float *row)
{
    for (size_t i = 0; i < a->length; i++) {
        a->frame[i] = a->samples[i] * a->window[i];
    }
    kiss_fftr(a->fft, a->frame, a->bins);
    for (size_t k = 0; k <= a->length / 2; k++) {
        if (a->band_of[k] >= 0) {
            double re = (double)a->bins[k].r, im = (double)a->bins[k].i;
            row[a->band_of[k]] += (float)(a->weight[k] * (re * re + im * im));
        }
    }
}

static float *next_row(struct analysis *a)
{
    struct cw_take *take = a->take;
    size_t bands = (size_t)take->bands;
    if (take->blocks == a->room) {
        size_t room = a->room ? 2 * a->room : 256;
        float *more = realloc(take->power, room * bands * sizeof *more);
        if (!more) {
            cw_error_memory();
            return NULL;
        }
        take->power = more;
        a->room = room;
    }
    float *row = take->power + take->blocks * bands;
    memset(row, 0, bands * sizeof *row);
    return row;
}

/* \return 1 where a whole block was added, 0 at the end, -1 on failure */
static int add_block(struct analysis *a)
{
    if (!hold_block(a)) {
        return -1;
    }
    if (a->held < a->length) {
        return 0;
    }
    float *row = next_row(a);
    if (!row) {
        return -1;
    }
    fill_row(a, row);
    a->take->blocks++;
    a->held -= a->hop;
    memmove(a->samples, a->samples + a->hop, a->held * sizeof *a->samples);
    if (a->in.frames > 0) {
        cw_progress("Measuring the recording", (double)a->in.at / (double)a->in.frames);
    }
    return 1;
}

static bool analyse(struct analysis *a, const char *path, const struct cw_transfer *recorded)
{
    if (!prepare(a, recorded)) {
        return false;
    }
    int more;
    while ((more = add_block(a)) > 0) {
    }
    cw_progress_end();
    if (more < 0) {
        return false;
    }
    if (a->take->blocks == 0) {
        cw_error_at(path, 0, "expected at least 0.4 s of sound, found less");
        return false;
    }
    a->take->block = malloc(a->take->blocks * sizeof *a->take->block);
    if (!a->take->block) {
        cw_error_memory();
    }
    return a->take->block != NULL;
}

bool cw_take_load(struct cw_take *take, const char *path, int channel, const struct cw_transfer *recorded)
{
    struct analysis a = {.take = take};
    memset(take, 0, sizeof *take);
    bool good = cw_audio_open(&a.in, path, channel) && analyse(&a, path, recorded);
    drop(&a);
    if (!good) {
        cw_take_free(take);
    }
    return good;
}
