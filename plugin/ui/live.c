/* SPDX-License-Identifier: ISC */
#include "live.h"

#include <kiss_fftr.h>
#include <math.h>
#include <stdlib.h>

#include "constants.h"

enum { BANDS = 60, SIDES = 2 };

static const double FALL_DB = 20.0; /* a second */

struct cw_live {
    size_t size;
    double rate, square; /* sum of the window's squares */
    kiss_fftr_cfg transform;
    kiss_fft_scalar *window, *samples;
    kiss_fft_cpx *bins;
    double db[SIDES][BANDS];
};

/* Edges of a band, Hz; the lowest begins at the plot's foot. */
static double edge(int band) { return CW_PLOT_HZ_LOW * exp2(band / 6.0); }

struct cw_live *cw_live_new(double rate)
{
    struct cw_live *live = calloc(1, sizeof *live);
    if (!live) {
        return NULL;
    }
    live->size = rate <= 50000.0 ? 4096 : 8192;
    live->rate = rate;
    live->transform = kiss_fftr_alloc((int)live->size, 0, NULL, NULL);
    live->window = calloc(live->size, sizeof *live->window);
    live->samples = calloc(live->size, sizeof *live->samples);
    live->bins = calloc(live->size / 2 + 1, sizeof *live->bins);
    if (!live->transform || !live->window || !live->samples || !live->bins) {
        cw_live_free(live);
        return NULL;
    }
    for (size_t i = 0; i < live->size; i++) {
        double hann = 0.5 - 0.5 * cos(CW_TAU * (double)i / (double)live->size);
        live->window[i] = (kiss_fft_scalar)hann;
        live->square += hann * hann;
    }
    for (int side = 0; side < SIDES; side++) {
        for (int band = 0; band < BANDS; band++) {
            live->db[side][band] = CW_LIVE_FOOT_DB;
        }
    }
    return live;
}

void cw_live_free(struct cw_live *live)
{
    if (live) {
        kiss_fftr_free(live->transform);
        free(live->window);
        free(live->samples);
        free(live->bins);
        free(live);
    }
}

size_t cw_live_size(const struct cw_live *live) { return live->size; }

static double power_of(const struct cw_live *live, size_t bin)
{
    return (double)live->bins[bin].r * (double)live->bins[bin].r +
           (double)live->bins[bin].i * (double)live->bins[bin].i;
}

/* Mean square of a band, from the bins that share it with its edges as they cut them: of a band narrower than a bin,
 * its part of that bin. Against a sine of full scale, whose mean square is a half. */
static double band_db(const struct cw_live *live, int band)
{
    const double step = live->rate / (double)live->size, last = 0.5 * (double)live->size;
    const double low = edge(band) / step, high = fmin(edge(band + 1) / step, last);
    double sum = 0.0;
    for (double bin = floor(low + 0.5); bin - 0.5 < high; bin++) {
        const double share = fmin(bin + 0.5, high) - fmax(bin - 0.5, low);
        sum += share > 0.0 ? share * power_of(live, (size_t)bin) : 0.0;
    }
    return 10.0 * log10(fmax(4.0 * sum / (live->square * (double)live->size), 1e-30));
}

static void feed(struct cw_live *live, const float *x, double fall, double db[BANDS])
{
    for (size_t i = 0; i < live->size; i++) {
        const float sample = x && fabsf(x[i]) < 1e6f ? x[i] : 0.0f; /* false for NaN */
        live->samples[i] = sample * live->window[i];
    }
    kiss_fftr(live->transform, live->samples, live->bins);
    for (int band = 0; band < BANDS; band++) {
        db[band] = fmax(fmax(band_db(live, band), db[band] - fall), CW_LIVE_FOOT_DB);
    }
}

void cw_live_feed(struct cw_live *live, const float *in, const float *out, double seconds)
{
    const double fall = FALL_DB * fmin(fmax(seconds, 0.0), 10.0);
    feed(live, in, fall, live->db[0]);
    feed(live, out, fall, live->db[1]);
}

/* Between the middles of bands along a straight line. */
static double height_at(const double db[BANDS], double hz)
{
    const double at = fmin(fmax(6.0 * log2(hz / CW_PLOT_HZ_LOW) - 0.5, 0.0), BANDS - 1.001);
    const int band = (int)at;
    const double level = db[band] + (at - band) * (db[band + 1] - db[band]);
    return fmin(fmax((level - CW_LIVE_FOOT_DB) / (CW_LIVE_TOP_DB - CW_LIVE_FOOT_DB), 0.0), 1.0);
}

bool cw_live_ground(const struct cw_live *live, struct cw_plot_ground *ground)
{
    bool any = false;
    for (int side = 0; side < SIDES; side++) {
        for (int i = 0; i < CW_PLOT_POINTS; i++) {
            ground->height[side][i] = height_at(live->db[side], cw_plot_hz(i));
            any = any || ground->height[side][i] > 0.0;
        }
    }
    return any;
}
