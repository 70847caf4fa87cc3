/* SPDX-License-Identifier: ISC */
/** \file match.h
 * From roots in s to roots in z whose magnitude follows the analogue one to the top of the band:
 * poles and zeros within the band are mapped exactly, and a correction of low order meets what
 * that leaves of the magnitude at a handful of frequencies. What comes out is ahead of the analogue
 * phase by a constant time; where that reaches a whole sample, a sample of delay takes it back.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_MATCH_H
#define CW_MATCH_H

#include "roots.h"
#include "target.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A filter as roots in z, before it is cut into sections. */
struct cw_plan {
    double dc; /**< gain at 0 Hz */
    struct cw_root_set zeros, poles;
    int correction; /**< zeros of the correction */
    bool delayed;   /**< one sample of delay is to be put in */
};

/** Plan a filter for \p target at sample rate \p rate, Hz. */
void cw_match(const struct cw_target *target, double rate, struct cw_plan *plan);

#ifdef __cplusplus
}
#endif
#endif
