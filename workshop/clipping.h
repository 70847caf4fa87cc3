/* SPDX-License-Identifier: ISC */
/** \file clipping.h
 * Whether a recording was cut off at full scale.
 *
 * Three or more equal samples in a row within 0.01 dB of full scale: common practice, no source. A lone
 * peak at full scale is none.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_CLIPPING_H
#define CW_CLIPPING_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A search under way. Zeroed is at the start. */
struct cw_clipping {
    long long samples, places; /**< cut-off samples found so far, and how many runs of them */
    float last;
    int run;
};

/** Look at more of the recording, samples of -1 to 1. */
void cw_clipping_add(struct cw_clipping *clipping, const float *samples, size_t n);

#ifdef __cplusplus
}
#endif
#endif
