/* SPDX-License-Identifier: ISC */
/** \file true_peak.h
 * The highest value that a signal reaches between its samples, by oversampling to 192 kHz or more
 * (ITU-R BS.1770-4, annex 2).
 */
#ifndef CW_TRUE_PEAK_H
#define CW_TRUE_PEAK_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_TRUE_PEAK_FACTOR = 4, /**< most oversampling */
    CW_TRUE_PEAK_TAPS = 24   /**< of the interpolator for each of the values between two samples */
};

/** A measurement under way. */
struct cw_true_peak {
    int between; /**< values that are worked out between two samples */
    float tap[CW_TRUE_PEAK_FACTOR - 1][CW_TRUE_PEAK_TAPS];
    float gain; /**< no value between samples is further above the highest sample near it, a ratio */
    float past[CW_TRUE_PEAK_TAPS - 1];
    float peak; /**< the result so far, an amplitude */
};

/** \param rate Hz */
void cw_true_peak_start(struct cw_true_peak *meter, int rate);
void cw_true_peak_add(struct cw_true_peak *meter, const float *samples, size_t n);

/** The result, an amplitude; the last samples' way out is reckoned in. */
double cw_true_peak_finish(struct cw_true_peak *meter);

#ifdef __cplusplus
}
#endif
#endif
