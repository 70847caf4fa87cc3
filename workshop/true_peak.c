/* SPDX-License-Identifier: ISC */
#include "true_peak.h"

#include <math.h>
#include <string.h>

#include "constants.h"

/* Samples taken at a time. A piece whose samples are so low that nothing between them can pass the
 * peak so far needs no interpolation; most of a recording is like that. */
enum {
    PIECE = 64,
    PAST = CW_TRUE_PEAK_TAPS - 1,
    HALF = CW_TRUE_PEAK_TAPS / 2,
    LANES = 8,                       /* values looked at in one step */
    ROOM = PIECE + CW_TRUE_PEAK_TAPS /* past and piece, and a zero behind them that makes full lanes */
};

/* sin(pi x)/(pi x) under a Hann window that ends HALF samples to either side. */
static double interpolator(double x)
{
    double window = 0.5 + 0.5 * cos(CW_PI * x / HALF);
    return x == 0.0 ? 1.0 : window * sin(CW_PI * x) / (CW_PI * x);
}

void cw_true_peak_start(struct cw_true_peak *meter, int rate)
{
    memset(meter, 0, sizeof *meter);
    int factor = rate < 96000 ? 4 : rate < 192000 ? 2 : 1;
    meter->between = factor - 1;
    meter->gain = 1.0f;
    for (int p = 0; p < meter->between; p++) {
        double sum = 0.0, at = (double)(p + 1) / factor;
        for (int k = 0; k < CW_TRUE_PEAK_TAPS; k++) {
            double tap = interpolator((double)(k - HALF + 1) - at);
            meter->tap[p][k] = (float)tap;
            sum += fabs(tap);
        }
        meter->gain = fmaxf(meter->gain, (float)(1.001 * sum)); /* and some room for rounding */
    }
}

/* Of a number of values that is a whole number of lanes. */
static float highest(const float *x, int n)
{
    float lane[LANES] = {0}, most = 0.0f;
    for (int i = 0; i < n; i += LANES) {
        for (int k = 0; k < LANES; k++) {
            float size = fabsf(x[i + k]);
            lane[k] = size > lane[k] ? size : lane[k];
        }
    }
    for (int k = 0; k < LANES; k++) {
        most = lane[k] > most ? lane[k] : most;
    }
    return most;
}

/* The values between the samples of a piece, one kind after the other, many at a step. The first
 * \p count are looked at: behind them samples are still to come. */
static float highest_between(const struct cw_true_peak *meter, const float *x, int count)
{
    float most = 0.0f;
    for (int p = 0; p < meter->between; p++) {
        float y[PIECE] = {0};
        for (int k = 0; k < CW_TRUE_PEAK_TAPS; k++) {
            const float tap = meter->tap[p][k];
            for (int i = 0; i < PIECE; i++) {
                y[i] += tap * x[i + k];
            }
        }
        memset(y + count, 0, (size_t)(PIECE - count) * sizeof *y);
        float top = highest(y, PIECE);
        most = top > most ? top : most;
    }
    return most;
}

void cw_true_peak_add(struct cw_true_peak *meter, const float *samples, size_t n)
{
    float x[ROOM] = {0};
    memcpy(x, meter->past, sizeof meter->past);
    for (size_t at = 0; at < n; at += PIECE) {
        size_t count = n - at < PIECE ? n - at : PIECE;
        memcpy(x + PAST, samples + at, count * sizeof *x);
        memset(x + PAST + count, 0, (PIECE - count) * sizeof *x);
        float top = highest(x, ROOM);
        meter->peak = top > meter->peak ? top : meter->peak;
        if (top * meter->gain > meter->peak) {
            float between = highest_between(meter, x, (int)count);
            meter->peak = between > meter->peak ? between : meter->peak;
        }
        memmove(x, x + count, sizeof meter->past);
    }
    memcpy(meter->past, x, sizeof meter->past);
}

double cw_true_peak_finish(struct cw_true_peak *meter)
{
    static const float silence[PAST];
    cw_true_peak_add(meter, silence, PAST);
    return (double)meter->peak;
}
