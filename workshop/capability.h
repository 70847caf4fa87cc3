/* SPDX-License-Identifier: ISC */
/** \file capability.h
 * Capability of a process, and the chart of single readings: whether a batch is one population, and how it fits its
 * limits.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_CAPABILITY_H
#define CW_CAPABILITY_H

#include <stddef.h>

#include "acceptance.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Fewest pieces from which a verdict on capability means something; below it only the interval is told (common
 * practice; the interval says why). */
enum { CW_CAPABILITY_LEAST = 30 };

/** How often a process fits its limits (NIST/SEMATECH e-Handbook, 6.1.6); 0 for Cp where one limit is missing. */
struct cw_capability {
    double cp, cpk;
    double low, high; /**< interval of cpk, two-sided: A. F. Bissell, Applied Statistics 39(3), 1990 */
};

/** \param count pieces behind mean and deviation, 2 or more \param confidence as in 0.95 */
struct cw_capability cw_capability_of(struct cw_limits limits, double mean, double deviation, size_t count,
                                      double confidence);

/** Chart of individuals and moving ranges of two (NIST/SEMATECH e-Handbook, 6.3.2.2), with d2 and d3 worked out. */
struct cw_chart {
    double mean;
    struct cw_limits limits; /**< of single readings: mean +- 3 mean range / d2 */
    double mean_range, range_high;
    size_t outside;       /**< readings beyond their limits (rule 1 alone: each further rule adds false alarms) */
    size_t first_outside; /**< index of the first; count where there is none */
    size_t ranges_outside;
};

/** \param value in the order in which the pieces were made \param count 2 or more */
struct cw_chart cw_chart_of(const double *value, size_t count);

/** Factors of charts of samples of \p n: A2 (of the mean range, for means), D3 and D4 (for ranges). */
struct cw_chart_factors {
    double a2, d3, d4;
};
struct cw_chart_factors cw_chart_factors_of(int n);

#ifdef __cplusplus
}
#endif
#endif
