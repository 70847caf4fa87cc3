/* SPDX-License-Identifier: ISC */
/** \file loudness.h
 * Weighted level of a response: how loud a guitar would be through it.
 *
 * The weighting is K-weighting of ITU-R BS.1770-4. The long-term spectrum of the guitar's signal
 * is our own assumption (common practice, no source): equal power in each third of an octave from
 * 80 Hz to 630 Hz, falling 9 dB an octave above, nothing below.
 *
 * Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_LOUDNESS_H
#define CW_LOUDNESS_H

#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Number of bands of the long-term spectrum: third octaves from 80 Hz to 16 kHz. */
enum { CW_LOUDNESS_BANDS = 24 };

/** Gain of K-weighting at \p hz as a power ratio, by the 48 kHz coefficients of BS.1770-4. */
double cw_loudness_k_power(double hz);

/** Centre frequency of a band, Hz: 1000 * 10^((i - 11)/10) (IEC 61260-1, base ten), from a table. */
double cw_loudness_centre(int band);

/** Weight of a band in the assumed spectrum; all together 1. From a table: for the audio thread. */
double cw_loudness_weight(int band);

/** Weighted level in dB of a response given as its power |H|^2 at the centre of each band, against a
 * flat response of 1. \return -200 where it is silent. */
double cw_loudness_of_bands(const double power[CW_LOUDNESS_BANDS]);

/** The same of |candidate| / |recorded|; recorded NULL where nothing is divided out. */
double cw_loudness_of(const struct cw_transfer *candidate, const struct cw_transfer *recorded);

/** How much louder the guitar is through \p h than through \p against, dB: the one level by which
 * setups are compared. Where one is silent its level is taken as -200. */
double cw_loudness_against(const struct cw_transfer *h, const struct cw_transfer *against);

#ifdef __cplusplus
}
#endif
#endif
