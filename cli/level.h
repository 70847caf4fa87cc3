/* SPDX-License-Identifier: ISC */
/** \file level.h
 * How loud a piece of audio is: ITU-R BS.1770 (loudness by libebur128), peaks, plain mean power.
 */
#ifndef CW_LEVEL_H
#define CW_LEVEL_H

#include <stdbool.h>
#include <stddef.h>

#include "true_peak.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What was measured. Levels of digital silence are -HUGE_VAL. */
struct cw_levels {
    double loudness;    /**< integrated, LUFS; -HUGE_VAL where too short (below 0.4 s) or below the gate */
    double true_peak;   /**< dBTP */
    double sample_peak; /**< dBFS */
    double rms;         /**< unweighted, dBFS, where a full-scale square wave is 0 */
};

/** A measurement under way. Zeroed is none. */
struct cw_meter {
    void *state; /**< of libebur128 */
    double power;
    double peak;
    struct cw_true_peak true_peak;
    unsigned long long count;
};

/** \param rate Hz. Reports and returns false when out of memory. */
bool cw_meter_start(struct cw_meter *meter, int rate);
bool cw_meter_add(struct cw_meter *meter, const float *samples, size_t n);
/** Read the result and free the meter. */
bool cw_meter_finish(struct cw_meter *meter, struct cw_levels *levels);
/** Free without a result; harmless on a zeroed meter. */
void cw_meter_drop(struct cw_meter *meter);

/** Gains that make \p count pieces equally loud without raising any: to the quietest by integrated
 * loudness; where one piece has sound but no loudness (too short, below the gate) all go by plain
 * mean power. Pieces of digital silence get 0 dB and do not count.
 * \param levels of the pieces
 * \param gain   dB, 0 or less, one for each
 * \return true where loudness was used, false where mean power was */
bool cw_level_match(const struct cw_levels *const *levels, size_t count, double *gain);

/** 10^(db / 20). */
double cw_from_db(double db);

#ifdef __cplusplus
}
#endif
#endif
