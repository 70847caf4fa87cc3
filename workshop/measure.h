/* SPDX-License-Identifier: ISC */
/** \file measure.h
 * From a recorded take of the sweep to the ratio of its two channels over frequency, with its error.
 *
 * Channel one hears the interface's output, channel two the node behind the series resistor (jig.h). Both
 * are deconvolved by the sweep's closed-form spectrum and windowed alike, so that gains, latency and the
 * generator's own response cancel, and a difference of the clocks nearly so. Harmonics of a nonlinear
 * chain come before the linear answer and fall outside of the window.
 *
 * Threading class: pure functions that allocate; not the audio thread.
 */
#ifndef CW_MEASURE_H
#define CW_MEASURE_H

#include <stdbool.h>
#include <stddef.h>

#include "polynomial.h"
#include "sweep.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_RATIO_POINTS = 241 }; /**< 20 Hz to 20 kHz, 24 an octave and a little more */

/** A take: two channels, as recorded. */
struct cw_recorded_take {
    const float *one, *two;
    size_t frames;
    double rate; /**< Hz */
};

/** What can be wrong with a take. */
enum cw_take_fault {
    CW_TAKE_GOOD,
    CW_TAKE_MEMORY,   /**< memory ran out */
    CW_TAKE_SHORT,    /**< shorter than the sweep */
    CW_TAKE_NO_SWEEP, /**< no sweep is found in channel one */
    CW_TAKE_CUT,      /**< the sweep begins or ends outside of the file */
    CW_TAKE_CLIPPED,  /**< a channel stands at full scale */
    CW_TAKE_QUIET,    /**< channel one is below -50 dBFS at its highest */
    CW_TAKE_DEAD,     /**< channel two holds 80 dB less than channel one, or nothing */
    CW_TAKE_BENT,     /**< channel two has more than 3 % of harmonics: something is driven too hard */
    CW_TAKE_DROPPED,  /**< samples are missing, or too many, between the markers */
    CW_TAKE_NOISY,    /**< what was to be silence holds a sweep */
    CW_TAKE_FAULTS
};

/** The fault in words that a person at the bench can act on; "" for none. Static. */
const char *cw_take_fault_words(enum cw_take_fault fault);

/** Channel two over channel one. */
struct cw_ratio {
    double hz[CW_RATIO_POINTS];
    struct cw_complex m[CW_RATIO_POINTS];
    double sigma[CW_RATIO_POINTS]; /**< standard error of m from noise and hum, an amplitude */
    size_t count;                  /**< points below 0.45 of the rate */
    double level;                  /**< highest sample of channel one, dBFS */
    double markers;                /**< samples from marker to marker */
    double louder;                 /**< the take's own noise and hum over those of the silent take, dB; 0: no more */
};

/** Work the ratio out.
 * \param silence a take of the same length and gain with nothing played, whose noise and hum give sigma; NULL, or
 * where the take itself has clearly more of it: sigma is that of the time after the answer has rung out
 * \return what is wrong; the ratio is then not filled in */
enum cw_take_fault cw_ratio_of(const struct cw_sweep *sweep, const struct cw_recorded_take *take,
                               const struct cw_recorded_take *silence, struct cw_ratio *ratio);

#ifdef __cplusplus
}
#endif
#endif
