/* SPDX-License-Identifier: ISC */
#include "measure.h"

#include <complex.h>
#include <kiss_fftr.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "constants.h"

/* The linear answer: this long before and after its top. */
static const double BEFORE = 0.200, AFTER = 0.250;
/* Noise is looked at this long after the top, in a window of the same length. */
static const double NOISE_AFTER = 0.300;
/* The deconvolution's band fades out over this factor beyond the sweep's ends. */
static const double BAND_FADE = 1.15;
static const double CLIPPED = 0.9999, QUIET_DBFS = -50.0;
/* Clocks of two devices stand less than this apart; more is samples lost. */
static const double CLOCKS = 3e-4;
/* Neighbours over which the noise is averaged: a third of an octave either way. */
enum { NOISE_NEIGHBOURS = 8 };

const char *cw_take_fault_words(enum cw_take_fault fault)
{
    static const char *const words[CW_TAKE_FAULTS] = {
        [CW_TAKE_GOOD] = "",
        [CW_TAKE_MEMORY] = "out of memory",
        [CW_TAKE_SHORT] = "expected a take at least as long as the sweep: was recording stopped early?",
        [CW_TAKE_NO_SWEEP] =
            "expected the sweep in channel 1: does it hear the interface's output, and are the operating "
            "system's sound effects off?",
        [CW_TAKE_CUT] = "expected the whole sweep: start recording before, and stop after, the file has played",
        [CW_TAKE_CLIPPED] =
            "expected no sample at full scale: turn the output or the input gain down and take all takes "
            "again",
        [CW_TAKE_QUIET] = "expected channel 1 above -50 dBFS: turn the output up",
        [CW_TAKE_DROPPED] = "expected the markers as far apart as they were played: samples were lost; close other "
                            "programs or take a larger buffer",
    };
    return (unsigned)fault < CW_TAKE_FAULTS ? words[fault] : "";
}

/* Room for the transforms of one take. */
struct work {
    size_t size; /* of a transform */
    kiss_fftr_cfg forward, back;
    kiss_fft_scalar *samples;
    kiss_fft_cpx *bins;
    size_t length; /* of the window */
    double *window;
    float *answer[2]; /* impulse responses of the channels, size samples, circular */
};

static void drop(struct work *w)
{
    kiss_fftr_free(w->forward);
    kiss_fftr_free(w->back);
    free(w->samples);
    free(w->bins);
    free(w->window);
    free(w->answer[0]);
    free(w->answer[1]);
}

/* 1 but for soft ends. */
static double window(double at, double length, double edge)
{
    double share = fmin(at, length - at) / edge;
    return share >= 1.0 ? 1.0 : share <= 0.0 ? 0.0 : 0.5 - 0.5 * cos(0.5 * CW_TAU * share);
}

static bool prepare(struct work *w, size_t frames, double rate)
{
    memset(w, 0, sizeof *w);
    w->size = (size_t)kiss_fftr_next_fast_size_real((int)frames);
    w->forward = kiss_fftr_alloc((int)w->size, 0, NULL, NULL);
    w->back = kiss_fftr_alloc((int)w->size, 1, NULL, NULL);
    w->samples = calloc(w->size, sizeof *w->samples);
    w->bins = malloc((w->size / 2 + 1) * sizeof *w->bins);
    w->answer[0] = malloc(w->size * sizeof *w->answer[0]);
    w->answer[1] = malloc(w->size * sizeof *w->answer[1]);
    w->length = (size_t)((BEFORE + AFTER) * rate);
    w->window = malloc(w->length * sizeof *w->window);
    for (size_t i = 0; w->window && i < w->length; i++) {
        w->window[i] = window((double)i, (double)w->length, 0.5 * BEFORE * rate);
    }
    return w->forward && w->back && w->samples && w->bins && w->window && w->answer[0] && w->answer[1];
}

/* 1 within the sweep's band, falling to 0 beyond its ends. */
static double band(const struct cw_sweep *sweep, double hz)
{
    double over = hz < sweep->low_hz ? sweep->low_hz / hz : hz / sweep->high_hz;
    double share = log(over) / log(BAND_FADE);
    return share <= 0.0 ? 1.0 : share >= 1.0 ? 0.0 : 0.5 + 0.5 * cos(0.5 * CW_TAU * share);
}

static void deconvolve(struct work *w, const struct cw_sweep *sweep, const float *channel, size_t frames, double rate,
                       float *answer)
{
    for (size_t i = 0; i < w->size; i++) {
        w->samples[i] = i < frames ? channel[i] : 0.0f;
    }
    kiss_fftr(w->forward, w->samples, w->bins);
    w->bins[0] = (kiss_fft_cpx){0.0f, 0.0f};
    for (size_t k = 1; k <= w->size / 2; k++) {
        double hz = (double)k * rate / (double)w->size, gain = band(sweep, hz);
        double complex y = 0.0;
        if (gain > 0.0) {
            struct cw_complex x = cw_sweep_spectrum(sweep, hz);
            y = gain * (w->bins[k].r + I * w->bins[k].i) / (x.re + I * x.im) / rate;
        }
        w->bins[k] = (kiss_fft_cpx){(float)creal(y), (float)cimag(y)};
    }
    kiss_fftri(w->back, w->bins, w->samples);
    for (size_t i = 0; i < w->size; i++) {
        answer[i] = w->samples[i] * (float)(rate / (double)w->size);
    }
}

/* Fourier transform of the window that begins at a sample (circular), at one frequency. */
static double complex transform(const struct work *w, const float *answer, long start, double rate, double hz)
{
    long size = (long)w->size;
    size_t at = (size_t)((start % size + size) % size);
    double complex sum = 0.0, step = cexp(-I * CW_TAU * hz / rate), turn = 1.0;
    for (size_t i = 0; i < w->length; i++, turn *= step) {
        sum += turn * ((double)answer[at] * w->window[i]);
        at = at + 1 < w->size ? at + 1 : 0;
    }
    return sum;
}

static long top_of(const float *answer, size_t size)
{
    size_t at = 0;
    for (size_t i = 1; i < size; i++) {
        at = fabsf(answer[i]) > fabsf(answer[at]) ? i : at;
    }
    return (long)at;
}

static double highest(const float *samples, size_t from, size_t to)
{
    double most = 0.0;
    for (size_t i = from; i < to; i++) {
        most = fmax(most, fabs((double)samples[i]));
    }
    return most;
}

/* Where the largest sample between two times is, seconds. */
static double loudest_at(const struct cw_recorded_take *take, double from, double to)
{
    size_t best = (size_t)(from * take->rate);
    for (size_t i = best; i < (size_t)(to * take->rate); i++) {
        best = fabsf(take->one[i]) > fabsf(take->one[best]) ? i : best;
    }
    return (double)best / take->rate;
}

/* \param start of the sweep in the take, seconds */
static enum cw_take_fault check_markers(const struct cw_sweep *sweep, const struct cw_recorded_take *take, double start)
{
    const double reach = 0.1;
    double shift = start - cw_sweep_take_start(), end = (double)take->frames / take->rate;
    double first = shift + cw_sweep_take_first_marker(), last = shift + cw_sweep_take_last_marker(sweep);
    if (first < reach || last + reach > end) {
        return CW_TAKE_CUT;
    }
    double found = loudest_at(take, last - reach, last + reach) - loudest_at(take, first - reach, first + reach);
    return fabs(found - (last - first)) > CLOCKS * (last - first) + 3e-4 ? CW_TAKE_DROPPED : CW_TAKE_GOOD;
}

static enum cw_take_fault check_levels(const struct cw_sweep *sweep, const struct cw_recorded_take *take)
{
    if ((double)take->frames < cw_sweep_take_last_marker(sweep) * take->rate) {
        return CW_TAKE_SHORT;
    }
    double one = highest(take->one, 0, take->frames), two = highest(take->two, 0, take->frames);
    if (one >= CLIPPED || two >= CLIPPED) {
        return CW_TAKE_CLIPPED;
    }
    return one < pow(10.0, QUIET_DBFS / 20.0) ? CW_TAKE_QUIET : CW_TAKE_GOOD;
}

/* The top must stand out of what surrounds it, or there was no sweep. */
static bool stands_out(const float *answer, size_t size, long top)
{
    double sum = 0.0;
    for (size_t i = 0; i < size; i++) {
        sum += (double)answer[i] * (double)answer[i];
    }
    return fabs((double)answer[top]) > 20.0 * sqrt(sum / (double)size);
}

static void fill_sigma(const double noise[CW_RATIO_POINTS], const double one[CW_RATIO_POINTS], struct cw_ratio *ratio)
{
    for (size_t i = 0; i < ratio->count; i++) {
        double sum = 0.0;
        int n = 0;
        for (int k = -NOISE_NEIGHBOURS; k <= NOISE_NEIGHBOURS; k++) {
            long at = (long)i + k;
            if (at >= 0 && at < (long)ratio->count) {
                sum += noise[at];
                n++;
            }
        }
        /* what stands at the point itself counts where it is more: hum is narrow */
        ratio->sigma[i] = sqrt(fmax(sum / n, noise[i])) / one[i];
    }
}

static void fill_points(const struct work *w, long top, double rate, double one[CW_RATIO_POINTS],
                        struct cw_ratio *ratio)
{
    long start = top - (long)(BEFORE * rate);
    ratio->count = 0;
    for (int i = 0; i < CW_RATIO_POINTS; i++) {
        double hz = 20.0 * pow(1000.0, (double)i / (CW_RATIO_POINTS - 1));
        if (hz > 0.45 * rate) {
            break;
        }
        double complex a = transform(w, w->answer[0], start, rate, hz);
        double complex b = transform(w, w->answer[1], start, rate, hz), m = b / a;
        ratio->hz[i] = hz;
        ratio->m[i] = (struct cw_complex){creal(m), cimag(m)};
        one[i] = cabs(a);
        ratio->count++;
    }
}

static void fill_noise(const struct work *w, long start, double rate, const struct cw_ratio *ratio,
                       double noise[CW_RATIO_POINTS])
{
    for (size_t i = 0; i < ratio->count; i++) {
        double size = cabs(transform(w, w->answer[1], start, rate, ratio->hz[i]));
        noise[i] = size * size;
    }
}

static enum cw_take_fault analyse(struct work *w, const struct cw_sweep *sweep, const struct cw_recorded_take *take,
                                  const struct cw_recorded_take *silence, struct cw_ratio *ratio)
{
    double one[CW_RATIO_POINTS], noise[CW_RATIO_POINTS];
    deconvolve(w, sweep, take->one, take->frames, take->rate, w->answer[0]);
    deconvolve(w, sweep, take->two, take->frames, take->rate, w->answer[1]);
    long top = top_of(w->answer[0], w->size);
    if (!stands_out(w->answer[0], w->size, top)) {
        return CW_TAKE_NO_SWEEP;
    }
    enum cw_take_fault fault = check_markers(sweep, take, (double)top / take->rate);
    if (fault != CW_TAKE_GOOD) {
        return fault;
    }
    fill_points(w, top, take->rate, one, ratio);
    ratio->level = 20.0 * log10(highest(take->one, 0, take->frames));
    long start = top + (long)(NOISE_AFTER * take->rate);
    if (silence) {
        deconvolve(w, sweep, silence->two, silence->frames < w->size ? silence->frames : w->size, take->rate,
                   w->answer[1]);
        start = top - (long)(BEFORE * take->rate);
    }
    fill_noise(w, start, take->rate, ratio, noise);
    fill_sigma(noise, one, ratio);
    return CW_TAKE_GOOD;
}

enum cw_take_fault cw_ratio_of(const struct cw_sweep *sweep, const struct cw_recorded_take *take,
                               const struct cw_recorded_take *silence, struct cw_ratio *ratio)
{
    enum cw_take_fault fault = check_levels(sweep, take);
    if (fault != CW_TAKE_GOOD) {
        return fault;
    }
    struct work w;
    fault = prepare(&w, take->frames, take->rate) ? analyse(&w, sweep, take, silence, ratio) : CW_TAKE_MEMORY;
    drop(&w);
    return fault;
}
