/* SPDX-License-Identifier: ISC */
/** \file limit.h
 * Keeps the boost of a filter within its limit.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_LIMIT_H
#define CW_LIMIT_H

#include <stdbool.h>

#include "biquad.h"
#include "match.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Find the highest gain of \p out, which was cut from \p plan. \return whether it is above \p limit_db */
bool cw_limit_exceeded(const struct cw_plan *plan, double limit_db, struct cw_sections *out);

/** Plan anew what was found to be above \p limit_db. |H|^2 becomes |H|^2 / (1 + e |H|^2), with e such that the
 * highest point meets the limit exactly. */
void cw_limit_boost(struct cw_plan *plan, double limit_db, struct cw_sections *out);

/** Cut the sections of what was planned anew, so that nothing is above the limit whatever was rounded. */
void cw_limit_cut(const struct cw_plan *plan, double limit_db, struct cw_sections *out);

#ifdef __cplusplus
}
#endif
#endif
