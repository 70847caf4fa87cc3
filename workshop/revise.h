/* SPDX-License-Identifier: ISC */
/** \file revise.h
 * Prediction against the coils as wound: what the model said before, what the bench says now, and the calibration
 * that follows for the next revision.
 *
 * Threading class: pure functions, any thread but the audio thread; some milliseconds.
 */
#ifndef CW_REVISE_H
#define CW_REVISE_H

#include <stdbool.h>

#include "calibrate.h"
#include "coil_limits.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What follows of a batch, reading by reading as of coil_limits.h. */
struct cw_revision {
    double said[CW_BENCH_READINGS];  /**< by the design before */
    double sure[CW_BENCH_READINGS];  /**< how far the model left that open, about two standard deviations, of 1; of the
                                          resonance by first order from inductance and capacitance; 0 for a coil that is
                                          known by its values */
    double bench[CW_BENCH_READINGS]; /**< the means; NAN where nothing was read */
    double says[CW_BENCH_READINGS];  /**< by the calibrated design */
    struct cw_setup next;            /**< calibrated */
    struct cw_fit fit;
};

/** What a setup's pickup reads at the bench, as designed. */
void cw_bench_nominal(const struct cw_setup *setup, double nominal[CW_BENCH_READINGS]);

/** Calibrate a design by the means of a batch. \param mean corrected to 20 degrees C, 120 Hz and series mode; NAN where
 * nothing was read \return false where nothing was */
bool cw_revise(const struct cw_setup *setup, const double mean[CW_BENCH_READINGS], struct cw_revision *revision);

#ifdef __cplusplus
}
#endif
#endif
