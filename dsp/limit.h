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
#include "polynomial.h"
#include "roots.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Find the highest gain of \p out, which was cut from \p plan. \return whether it is above \p limit_db */
bool cw_limit_exceeded(const struct cw_plan *plan, double limit_db, struct cw_sections *out);

/** The search for the poles of a limited response. */
struct cw_limit {
    double c[CW_FACTORS_MAX + 1]; /**< the polynomial that they are roots of */
    struct cw_complex root[CW_FACTORS_MAX];
    int degree, sweeps;
    double dc; /**< gain of the plan at 0 Hz, then */
};

/** Begin to plan anew what was found to be above \p limit_db. |H|^2 becomes |H|^2 / (1 + e |H|^2), with e such that
 * the highest point meets the limit exactly. */
void cw_limit_begin(const struct cw_plan *plan, double limit_db, struct cw_sections *out, struct cw_limit *limit);

/** A step of bounded length of that. \return true when \p plan is the new one */
bool cw_limit_step(struct cw_limit *limit, struct cw_plan *plan);

/** Cut the sections of what was planned anew, so that nothing is above the limit whatever was rounded. */
void cw_limit_cut(const struct cw_plan *plan, double limit_db, struct cw_sections *out);

#ifdef __cplusplus
}
#endif
#endif
