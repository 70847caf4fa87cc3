/* SPDX-License-Identifier: ISC */
/** \file band_grid.h
 * The auditory bands of audible.h from few frequencies: for searches, which look at hundreds of thousands of
 * responses.
 *
 * The power between 16 frequencies an octave is taken for a cubic, and the bands' filters are laid over it once and
 * for all. For resonances of Q up to 10 the levels are within 0.02 dB of cw_audible_levels() (tests/test_wind.c).
 *
 * Threading class: pure functions, any thread; no allocation. A level costs some nanoseconds a frequency.
 */
#ifndef CW_BAND_GRID_H
#define CW_BAND_GRID_H

#include "audible.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Frequencies: 16 an octave from 20 Hz to 20 kHz. */
enum { CW_BAND_GRID_POINTS = 161 };

/** The filters, laid over the frequencies. */
struct cw_band_grid {
    double hz[CW_BAND_GRID_POINTS];
    double weight[CW_AUDIBLE_BANDS][CW_BAND_GRID_POINTS];
    int first[CW_AUDIBLE_BANDS], end[CW_AUDIBLE_BANDS]; /**< points that count for a band: from first to before end */
};

void cw_band_grid_init(struct cw_band_grid *grid);

/** Power of a response at the frequencies. */
void cw_band_grid_power(const struct cw_band_grid *grid, const struct cw_transfer *h,
                        double power[CW_BAND_GRID_POINTS]);

/** Level of each band, dB, of such a power; -200 where it is silent. */
void cw_band_grid_levels(const struct cw_band_grid *grid, const double power[CW_BAND_GRID_POINTS],
                         double level[CW_AUDIBLE_BANDS]);

/** Height of the highest point between the ends, dB over the level at 0 Hz, between the frequencies as of a
 * resonance; 0 where the response only falls.
 * \param at_rest power at 0 Hz */
double cw_band_grid_peak(const double power[CW_BAND_GRID_POINTS], double at_rest);

#ifdef __cplusplus
}
#endif
#endif
