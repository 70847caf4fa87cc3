/* SPDX-License-Identifier: ISC */
/** \file limit.h
 * Keeps the boost of a filter within its limit.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_LIMIT_H
#define CW_LIMIT_H

#include "biquad.h"
#include "match.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Find the highest gain of \p out, which was cut from \p plan, and bring it down to \p limit_db
 * where it is higher. |H|^2 becomes |H|^2 / (1 + e |H|^2), with e such that the highest point meets
 * the limit exactly: a response that stays below the limit is left as it is. */
void cw_limit_boost(struct cw_plan *plan, double limit_db, struct cw_sections *out);

#ifdef __cplusplus
}
#endif
#endif
