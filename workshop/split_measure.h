/* SPDX-License-Identifier: ISC */
/** \file split_measure.h
 * By what a split's level and tone are told.
 *
 * Pure functions, but for a measure by a recording (see take.h).
 */
#ifndef CW_SPLIT_MEASURE_H
#define CW_SPLIT_MEASURE_H

#include "take.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Kinds of level. */
enum cw_measure_kind {
    CW_MEASURE_LOUDNESS, /**< of the assumed spectrum of a guitar: dsp/loudness.h */
    CW_MEASURE_FLAT,     /**< mean power of the response over a band, on a logarithmic axis */
    CW_MEASURE_AT,       /**< at one frequency */
    CW_MEASURE_TAKE      /**< integrated loudness of a recording */
};

/** A measure of level. */
struct cw_measure {
    enum cw_measure_kind kind;
    double low, high;           /**< Hz, the band; low is the one frequency */
    const struct cw_take *take; /**< the recording */
};

/** Level in dB, not above any fixed reference; -200 or -HUGE_VAL where the response is silent. */
double cw_measure_db(const struct cw_measure *measure, const struct cw_transfer *h);

/** Mean of |H|^2 from \p low to \p high Hz, evenly over a logarithmic axis. */
double cw_mean_power(const struct cw_transfer *h, double low, double high);

/** Treble balance in dB: mean power from 2 to 6 kHz over that from 100 to 500 Hz. What counts as
 * treble is our own choice: the octaves around a pickup's resonance. */
double cw_treble_balance(const struct cw_transfer *h);

/** The highest local maximum of |H| between 700 Hz and 20 kHz: the resonance that a player hears,
 * also where the bass is louder, as it is with parts across one coil. Its height is over the level
 * at low frequency. hz is 0 where there is none. */
struct cw_peak cw_treble_peak(const struct cw_transfer *h);

#ifdef __cplusplus
}
#endif
#endif
