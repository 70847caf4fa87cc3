/* SPDX-License-Identifier: ISC */
#include "measure.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "c_complex.h"
#include "constants.h"
#include "fourier.h"

/* The linear answer: this long before and after its top. */
static const double BEFORE = 0.200, AFTER = 0.250;
/* Noise is looked at this long after the top, in a window of the same length. */
static const double NOISE_AFTER = 0.300;
/* The deconvolution's band fades out over this factor beyond the sweep's ends. */
static const double BAND_FADE = 1.15;
static const double CLIPPED = 0.9999, QUIET_DBFS = -50.0, DEAD = 1e-4;
/* Share of harmonics from which a take is refused: 1 % moves an impedance by some 0.015 dB, ten times as much by
 * something that is heard. They are looked for this long either way. */
static const double BENT = 0.03, HARMONIC_HALF = 0.05;
/* Power of the take's own noise over the silent take's from which the silent take is another place. */
static const double LOUDER = 4.0;
/* Hum is looked for above the lowest mains; a sweep leaves less than this of its power behind (79 dB at 50 Hz). */
static const double MAINS_LOW = 45.0, LEFT_BEHIND = 1e-6;
/* Clocks of two devices stand less than this apart; more is samples lost. */
static const double CLOCKS = 3e-4;
/* Neighbours over which the noise is averaged: a third of an octave either way. */
enum { NOISE_NEIGHBOURS = 8 };

const char *cw_take_fault_words(enum cw_take_fault fault)
{
    static const char *const words[CW_TAKE_FAULTS] = {
        [CW_TAKE_GOOD] = "",
        [CW_TAKE_MEMORY] = "out of memory",
        [CW_TAKE_SHORT] = "expected a take at least as long as the sweep: was recording stopped early, is "
                          "--seconds what was played?",
        [CW_TAKE_NO_SWEEP] =
            "expected the sweep in channel 1: does it hear the interface's output, and are the operating "
            "system's sound effects off, is --seconds what was played?",
        [CW_TAKE_CUT] = "expected the whole sweep: start recording before, and stop after, the file has played",
        [CW_TAKE_CLIPPED] =
            "expected no sample at full scale: turn the output or the input gain down and take all takes "
            "again",
        [CW_TAKE_QUIET] = "expected channel 1 above -50 dBFS: turn the output up",
        [CW_TAKE_DEAD] = "expected something in channel 2: does it hear the node, is its gain up, is the plug shorted?",
        [CW_TAKE_BENT] =
            "expected the sweep without harmonics in channel 2, found more than 3 %: an input or output is "
            "driven too hard, or a loose contact; turn the output down and take all takes again",
        [CW_TAKE_DROPPED] = "expected the markers as far apart as they were played: samples were lost; close other "
                            "programs or take a larger buffer",
        [CW_TAKE_NOISY] = "expected the silent take without a sweep, found one: is it the right file?",
    };
    return (unsigned)fault < CW_TAKE_FAULTS ? words[fault] : "";
}

/* Room for the transforms of one take. */
struct work {
    struct cw_fourier fourier;
    struct cw_complex *answer; /* impulse responses, circular: channel one real, channel two imaginary */
    size_t length;             /* of the window */
    double *window;
};

static void drop(struct work *w)
{
    cw_fourier_free(&w->fourier);
    free(w->answer);
    free(w->window);
}

/* 1 but for soft ends. */
static double window(double at, double length, double edge)
{
    double share = fmin(at, length - at) / edge;
    return share >= 1.0 ? 1.0 : share <= 0.0 ? 0.0 : 0.5 - 0.5 * cos(0.5 * CW_TAU * share);
}

static bool prepare(struct work *w, size_t frames, double rate)
{
    size_t size = cw_fourier_size(frames);
    w->answer = malloc(size * sizeof *w->answer);
    w->length = (size_t)((BEFORE + AFTER) * rate);
    w->window = malloc(w->length * sizeof *w->window);
    for (size_t i = 0; w->window && i < w->length; i++) {
        w->window[i] = window((double)i, (double)w->length, 0.5 * BEFORE * rate);
    }
    return cw_fourier_init(&w->fourier, size) && w->answer && w->window;
}

/* 1 within the sweep's band, falling to 0 beyond its ends. */
static double band(const struct cw_sweep *sweep, double hz)
{
    double over = hz < sweep->low_hz ? sweep->low_hz / hz : hz / sweep->high_hz;
    double share = log(over) / log(BAND_FADE);
    return share <= 0.0 ? 1.0 : share >= 1.0 ? 0.0 : 0.5 + 0.5 * cos(0.5 * CW_TAU * share);
}

/* Both channels at once: the filter is that of a real answer, which keeps them apart. */
static void deconvolve(struct work *w, const struct cw_sweep *sweep, const struct cw_recorded_take *take)
{
    size_t size = w->fourier.size;
    struct cw_complex *x = w->answer;
    for (size_t i = 0; i < size; i++) {
        bool inside = i < take->frames;
        x[i] = (struct cw_complex){inside ? take->one[i] : 0.0, inside ? take->two[i] : 0.0};
    }
    cw_fourier_forward(&w->fourier, x);
    x[0] = x[size / 2] = (struct cw_complex){0.0, 0.0};
    for (size_t k = 1; k < size / 2; k++) {
        double hz = (double)k * take->rate / (double)size, gain = band(sweep, hz) / (double)size;
        double complex filter = gain > 0.0 ? gain / cw_as_c(cw_sweep_spectrum(sweep, hz)) : 0.0;
        x[k] = cw_of_c(cw_as_c(x[k]) * filter);
        x[size - k] = cw_of_c(cw_as_c(x[size - k]) * conj(filter));
    }
    cw_fourier_back(&w->fourier, x);
}

enum channel { ONE, TWO };

/* A sample of a channel's answer, at a time that may be before 0 or beyond the end. */
static double answer_at(const struct work *w, enum channel channel, long at)
{
    const struct cw_complex *x = &w->answer[(size_t)at & (w->fourier.size - 1)];
    return channel == ONE ? x->re : x->im;
}

/* Fourier transform of the window that begins at a sample, at one frequency. */
static double complex transform(const struct work *w, enum channel channel, long start, double rate, double hz)
{
    double complex sum = 0.0, step = cexp(-I * CW_TAU * hz / rate), turn = 1.0;
    for (size_t i = 0; i < w->length; i++, turn *= step) {
        sum += turn * (answer_at(w, channel, start + (long)i) * w->window[i]);
    }
    return sum;
}

static long top_of(const struct work *w)
{
    size_t at = 0;
    for (size_t i = 1; i < w->fourier.size; i++) {
        at = fabs(w->answer[i].re) > fabs(w->answer[at].re) ? i : at;
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
static enum cw_take_fault check_markers(const struct cw_sweep *sweep, const struct cw_recorded_take *take, double start,
                                        double *samples)
{
    const double reach = 0.1;
    double shift = start - cw_sweep_take_start(), end = (double)take->frames / take->rate;
    double first = shift + cw_sweep_take_first_marker(), last = shift + cw_sweep_take_last_marker(sweep);
    if (first < reach || last + reach > end) {
        return CW_TAKE_CUT;
    }
    double found = loudest_at(take, last - reach, last + reach) - loudest_at(take, first - reach, first + reach);
    *samples = round(found * take->rate);
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
    return one < pow(10.0, QUIET_DBFS / 20.0) ? CW_TAKE_QUIET : two < DEAD * one ? CW_TAKE_DEAD : CW_TAKE_GOOD;
}

/* The top must stand out of what surrounds it, or there was no sweep. */
static bool stands_out(const struct work *w, long top)
{
    double sum = 0.0;
    for (size_t i = 0; i < w->fourier.size; i++) {
        sum += w->answer[i].re * w->answer[i].re;
    }
    return fabs(answer_at(w, ONE, top)) > 20.0 * sqrt(sum / (double)w->fourier.size);
}

/* Energy of channel two's answer about a time, seconds after the top. */
static double energy_about(const struct work *w, long top, double rate, double seconds)
{
    long middle = top + lround(seconds * rate), half = (long)(HARMONIC_HALF * rate);
    double sum = 0.0;
    for (long i = middle - half; i < middle + half; i++) {
        sum += answer_at(w, TWO, i) * answer_at(w, TWO, i);
    }
    return sum;
}

/* Harmonic k comes L ln k before the top (sweep.h), L the sweep's seconds to e times the frequency; hum and noise are
 * as much where no harmonic is. */
static bool bent(const struct work *w, const struct cw_sweep *sweep, long top, double rate)
{
    double l = sweep->seconds / log(sweep->high_hz / sweep->low_hz), straight = energy_about(w, top, rate, 0.0);
    double noise = energy_about(w, top, rate, -0.5 * l * log(2.0)), most = 0.0;
    for (int k = 2; k <= 3; k++) {
        most = fmax(most, energy_about(w, top, rate, -l * log(k)));
    }
    return most > 4.0 * noise && most > BENT * BENT * straight;
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
        double complex a = transform(w, ONE, start, rate, hz);
        double complex b = transform(w, TWO, start, rate, hz), m = b / a;
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
        double size = cabs(transform(w, TWO, start, rate, ratio->hz[i]));
        noise[i] = size * size;
    }
}

/* The silent take's noise, or the take's own where that is clearly more and not what a sweep leaves behind. */
static void settle_noise(const double quiet[CW_RATIO_POINTS], const double one[CW_RATIO_POINTS],
                         double noise[CW_RATIO_POINTS], struct cw_ratio *ratio)
{
    double own = 0.0, silent = 0.0;
    int more = 0;
    for (size_t i = 0; i < ratio->count; i++) {
        if (ratio->hz[i] > MAINS_LOW) {
            own += noise[i];
            silent += quiet[i];
            more += noise[i] > LOUDER * quiet[i] && noise[i] > LEFT_BEHIND * one[i] * one[i];
        }
    }
    if (more > 2 && own > LOUDER * silent) {
        ratio->louder = silent > 0.0 ? 10.0 * log10(own / silent) : HUGE_VAL;
    } else {
        memcpy(noise, quiet, ratio->count * sizeof *noise);
    }
}

static enum cw_take_fault hear_silence(struct work *w, const struct cw_sweep *sweep,
                                       const struct cw_recorded_take *silence, long top, const struct cw_ratio *ratio,
                                       double quiet[CW_RATIO_POINTS])
{
    deconvolve(w, sweep, silence);
    if (stands_out(w, top_of(w))) {
        return CW_TAKE_NOISY;
    }
    fill_noise(w, top - (long)(BEFORE * silence->rate), silence->rate, ratio, quiet);
    return CW_TAKE_GOOD;
}

static enum cw_take_fault analyse(struct work *w, const struct cw_sweep *sweep, const struct cw_recorded_take *take,
                                  const struct cw_recorded_take *silence, struct cw_ratio *ratio)
{
    double one[CW_RATIO_POINTS], noise[CW_RATIO_POINTS], quiet[CW_RATIO_POINTS];
    deconvolve(w, sweep, take);
    long top = top_of(w);
    if (!stands_out(w, top)) {
        return CW_TAKE_NO_SWEEP;
    }
    enum cw_take_fault fault = check_markers(sweep, take, (double)top / take->rate, &ratio->markers);
    if (fault != CW_TAKE_GOOD || bent(w, sweep, top, take->rate)) {
        return fault != CW_TAKE_GOOD ? fault : CW_TAKE_BENT;
    }
    fill_points(w, top, take->rate, one, ratio);
    ratio->level = 20.0 * log10(highest(take->one, 0, take->frames));
    ratio->louder = 0.0;
    fill_noise(w, top + (long)(NOISE_AFTER * take->rate), take->rate, ratio, noise);
    fault = silence ? hear_silence(w, sweep, silence, top, ratio, quiet) : CW_TAKE_GOOD;
    if (silence && fault == CW_TAKE_GOOD) {
        settle_noise(quiet, one, noise, ratio);
    }
    fill_sigma(noise, one, ratio);
    return fault;
}

enum cw_take_fault cw_ratio_of(const struct cw_sweep *sweep, const struct cw_recorded_take *take,
                               const struct cw_recorded_take *silence, struct cw_ratio *ratio)
{
    enum cw_take_fault fault = check_levels(sweep, take);
    if (fault != CW_TAKE_GOOD) {
        return fault;
    }
    struct work w = {0};
    fault = prepare(&w, take->frames, take->rate) ? analyse(&w, sweep, take, silence, ratio) : CW_TAKE_MEMORY;
    drop(&w);
    return fault;
}
