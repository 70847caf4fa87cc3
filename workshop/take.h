/* SPDX-License-Identifier: ISC */
/** \file take.h
 * A recording as loudness sees it: its K-weighted power spectrum over time, so that the integrated
 * loudness (ITU-R BS.1770-4, gates included) through any response can be worked out at once.
 */
#ifndef CW_TAKE_H
#define CW_TAKE_H

#include <stddef.h>

#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Most bands: single bins of 2.5 Hz at the bottom, 48 an octave above. */
enum { CW_TAKE_BANDS = 420 };

/** A recording. Zeroed is none. */
struct cw_take {
    int bands;
    double hz[CW_TAKE_BANDS]; /**< centre of each band */
    size_t blocks;            /**< of 400 ms, 100 ms apart */
    float *power;             /**< mean square of each band in each block, K-weighted; blocks rows */
    double *block;            /**< scratch of cw_take_loudness(), so one thread at a time */
};

/** Empty it. */
void cw_take_free(struct cw_take *take);

/** Integrated loudness of the recording through a response, LUFS; -HUGE_VAL where all of it is below
 * the gate of -70 LUFS. */
double cw_take_loudness(const struct cw_take *take, const struct cw_transfer *h);

#ifdef __cplusplus
}
#endif
#endif
