/* SPDX-License-Identifier: ISC */
/** \file guard.h
 * The last word on how loud it gets: no sample is louder than the loudest sample of the input so far, times a
 * factor.
 *
 * It is a bound that needs no search: whatever filter, fade or gain stands before it. What plays below it passes
 * untouched, and an ordinary block costs one pass that only looks.
 *
 * Threading class: audio; no allocation, no lock, bounded time.
 */
#ifndef CW_GUARD_H
#define CW_GUARD_H

#include <stddef.h>

#include "exact.h"

#ifdef __cplusplus
extern "C" {
#endif

/** How far the peak of any waveform may pass the limit for a steady tone, dB. The worst that was searched for is
 * below it: docs/robustness.md. */
#define CW_GUARD_DB 18.0

/** What was heard so far; all zero at the start. */
struct cw_guard {
    float loudest; /**< magnitude of the input */
};

/** The magnitude that no output passes as long as no input is louder than what was heard. */
static inline float cw_guard_bound(const struct cw_guard *guard, double most)
{
    return (float)(most * (double)guard->loudest);
}

/** Hold \p y within \p most times the loudest of the input up to each sample. The same to the bit however the
 * samples are cut into calls.
 * \param x input, finite \param y output, finite */
void cw_guard_hold(struct cw_guard *guard, const float *x, float *y, size_t n, double most);

#ifdef __cplusplus
}
#endif
#endif
