/* SPDX-License-Identifier: ISC */
/** \file target.h
 * What a filter is to reach: the candidate over what the recording went through, as roots in s.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_TARGET_H
#define CW_TARGET_H

#include "roots.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** gain * prod(p - zero) / prod(p - pole), p normalised as in transfer.h. */
struct cw_target {
    double gain;
    struct cw_root_set zeros, poles;
    bool mirrored; /**< zeros of the recorded-through response in the right half plane were mirrored */
};

/** What a candidate alone asks for.
 * \return false where it is silent, or where there are more than CW_TARGET_MAX zeros or poles. */
bool cw_target_begin(const struct cw_transfer *candidate, struct cw_target *target);

/** Divide by what a recording was made through; a silent one is left out.
 * \return false where there are more than CW_TARGET_MAX zeros or poles. */
bool cw_target_divide(const struct cw_transfer *recorded, struct cw_target *target);

/** Both. \param recorded NULL where nothing is divided out; a silent one is not divided out either
 * \return false where the candidate is silent, or where there are more than CW_TARGET_MAX zeros or poles. */
bool cw_target_of(const struct cw_transfer *candidate, const struct cw_transfer *recorded, struct cw_target *target);

#ifdef __cplusplus
}
#endif
#endif
