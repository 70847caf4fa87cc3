/* SPDX-License-Identifier: ISC */
#include "rehearsal.h"

#include <complex.h>
#include <kiss_fftr.h>
#include <math.h>
#include <stdlib.h>

#include "c_complex.h"
#include "constants.h"
#include "instrument.h"
#include "philox.h"
#include "polynomial.h"

const char *const cw_rehearsal_file[CW_REHEARSALS] = {
    [CW_REHEARSAL_OPEN] = "open.wav",     [CW_REHEARSAL_KNOWN] = "known.wav", [CW_REHEARSAL_CHECK] = "check.wav",
    [CW_REHEARSAL_SILENT] = "silent.wav", [CW_REHEARSAL_FULL] = "full.wav",   [CW_REHEARSAL_DARK] = "dark.wav",
    [CW_REHEARSAL_HALF] = "half.wav",     [CW_REHEARSAL_CHOKE] = "choke.wav", [CW_REHEARSAL_EXCITER] = "exciter.wav",
    [CW_REHEARSAL_LOADED] = "loaded.wav",
};

/* ---- what is measured ------------------------------------------------------------------------- */

static const double SERIES = 100e3, GAIN = 1.03, NOISE_DBFS = -90.0, HUM = 1e-3 /* of full scale */, MAINS_HZ = 50.003;
static const struct cw_jack_load AT_NODE = {350e-12, 1e6};
static const double CAPACITOR = 470e-12;

/* Steel rods of mu 200, 5.8 MS/m and 4.8 mm, 19.2 mm long, in a coil of 2.6365 H in air. */
static const struct cw_instrument instrument = {
    .resistance = 8e3,
    .la = 2.474413,
    .le = 2.025587,
    .per_k = 1.0 / 765.366,
    .skin_time = 8.396346e-3,
    .metal_corner = 1e3,
    .capacitance = 120e-12,
    .volume_pot = 500e3,
    .tone_pot = 500e3,
    .tone_cap = 22e-9,
};

/* The share of a pot's track at half rotation: a taper of 12 %. */
static const struct cw_standing full = {false, 1.0, 1.0}, dark = {false, 1.0, 0.0}, half = {false, 0.12, 1.0};

static double complex choke(double hz)
{
    double complex coil = I * CW_TAU * hz * 0.1;
    double complex z = 60.0 + coil / (1.0 + coil / 60e3);
    return z / (1.0 + z * I * CW_TAU * hz * 80e-12);
}

/* Admittance at the plug. */
static double complex at_plug(enum cw_rehearsal take, double hz)
{
    switch (take) {
    case CW_REHEARSAL_KNOWN: return 1.0 / CW_REHEARSAL_KNOWN_OHM;
    case CW_REHEARSAL_CHECK: return 1.0 / CW_REHEARSAL_CHECK_OHM;
    case CW_REHEARSAL_FULL: return 1.0 / cw_as_c(cw_instrument_impedance(&instrument, full, hz));
    case CW_REHEARSAL_DARK: return 1.0 / cw_as_c(cw_instrument_impedance(&instrument, dark, hz));
    case CW_REHEARSAL_HALF: return 1.0 / cw_as_c(cw_instrument_impedance(&instrument, half, hz));
    case CW_REHEARSAL_CHOKE: return 1.0 / choke(hz);
    default: return 0.0;
    }
}

/* Channel two over channel one. The exciter's EMF falls as the inductance does. */
static double complex ratio_at(enum cw_rehearsal take, double hz)
{
    double complex s = I * CW_TAU * hz;
    struct cw_jack_load load = AT_NODE;
    if (take == CW_REHEARSAL_EXCITER || take == CW_REHEARSAL_LOADED) {
        load.farad += take == CW_REHEARSAL_LOADED ? CAPACITOR : 0.0;
        double complex emf = 3e-5 * s * cw_as_c(cw_instrument_inductance(&instrument, hz)) / 4.5;
        return emf * cw_as_c(cw_instrument_response(&instrument, full, load, hz));
    }
    return GAIN / (1.0 + SERIES * (1.0 / load.ohm + s * load.farad + at_plug(take, hz)));
}

/* ---- the recording ---------------------------------------------------------------------------- */

/* The sweep through the ratio, by its transform; \p one holds the sweep. */
static bool filter(enum cw_rehearsal take, double rate, const float *one, float *two, size_t frames)
{
    int size = kiss_fftr_next_fast_size_real((int)(frames + frames / 4));
    kiss_fftr_cfg forward = kiss_fftr_alloc(size, 0, NULL, NULL), back = kiss_fftr_alloc(size, 1, NULL, NULL);
    kiss_fft_scalar *samples = calloc((size_t)size, sizeof *samples);
    kiss_fft_cpx *bins = calloc((size_t)size / 2 + 1, sizeof *bins);
    bool good = forward && back && samples && bins;
    if (good) {
        for (size_t i = 0; i < frames; i++) {
            samples[i] = one[i];
        }
        kiss_fftr(forward, samples, bins);
        for (int k = 0; k <= size / 2; k++) {
            double complex y = (bins[k].r + I * bins[k].i) * ratio_at(take, fmax(k * rate / size, 1e-3));
            bins[k] = (kiss_fft_cpx){(float)creal(y), (float)cimag(y)};
        }
        kiss_fftri(back, bins, samples);
        for (size_t i = 0; i < frames; i++) {
            two[i] = samples[i] / (float)size;
        }
    }
    kiss_fftr_free(forward);
    kiss_fftr_free(back);
    free(samples);
    free(bins);
    return good;
}

/* Mains and its harmonics, falling as their number. */
static double hum_at(double seconds)
{
    double sum = 0.0;
    for (int k = 1; k < 20; k++) {
        sum += sin(CW_TAU * MAINS_HZ * k * seconds + k) / k;
    }
    return HUM * sum;
}

static void add_noise(enum cw_rehearsal take, double rate, float *one, float *two, size_t frames)
{
    struct cw_draw draw;
    const double noise = pow(10.0, NOISE_DBFS / 20.0);
    bool hums = take == CW_REHEARSAL_SILENT || take >= CW_REHEARSAL_FULL;
    cw_draw_start(&draw, 1, (uint64_t)take);
    for (size_t i = 0; i < frames; i++) {
        one[i] += (float)(noise * cw_draw_normal(&draw));
        two[i] += (float)(noise * cw_draw_normal(&draw) + (hums ? hum_at((double)i / rate) : 0.0));
    }
}

bool cw_rehearse(enum cw_rehearsal take, const struct cw_sweep *sweep, double level, double rate, float *one,
                 float *two, size_t frames)
{
    for (size_t i = 0; i < frames; i++) {
        one[i] = (float)(level * cw_sweep_take_at(sweep, (double)i / rate));
        two[i] = 0.0f;
    }
    if (take == CW_REHEARSAL_SILENT) {
        for (size_t i = 0; i < frames; i++) {
            one[i] = 0.0f;
        }
    } else if (!filter(take, rate, one, two, frames)) {
        return false;
    }
    add_noise(take, rate, one, two, frames);
    return true;
}
