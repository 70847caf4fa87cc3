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

#ifdef __cplusplus
}
#endif
#endif
