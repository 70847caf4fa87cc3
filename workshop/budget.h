/* SPDX-License-Identifier: ISC */
/** \file budget.h
 * An uncertainty budget by first order: what each cause does to a figure, together and with which confidence (JCGM
 * 100:2008, the GUM).
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_BUDGET_H
#define CW_BUDGET_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What one cause contributes. */
struct cw_contribution {
    double slope;    /**< change of the figure for a change of the cause */
    double standard; /**< standard uncertainty of the cause, in its unit */
    double freedom;  /**< degrees of freedom behind it; INFINITY where it is known */
};

/** Independent contributions together. */
struct cw_budget {
    double standard; /**< combined standard uncertainty: root of the sum of squares (GUM 5.1.2) */
    double freedom;  /**< effective degrees of freedom (Welch-Satterthwaite, GUM G.4.1), not rounded */
};

struct cw_budget cw_budget_of(const struct cw_contribution *contribution, size_t count);

/** Expanded uncertainty that encloses \p confidence (0.95) two-sided, with the degrees of freedom rounded down, as
 * GUM G.4.1 has it. */
double cw_budget_expanded(const struct cw_budget *budget, double confidence);

#ifdef __cplusplus
}
#endif
#endif
