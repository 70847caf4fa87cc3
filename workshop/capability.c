/* SPDX-License-Identifier: ISC */
#include "capability.h"

#include <math.h>

#include "statistics.h"

struct cw_capability cw_capability_of(struct cw_limits limits, double mean, double deviation, size_t count,
                                      double confidence)
{
    struct cw_capability c = {0.0, 0.0, 0.0, 0.0};
    double n = (double)count, z = cw_normal_quantile(0.5 + 0.5 * confidence);
    c.cp = isfinite(limits.low) && isfinite(limits.high) ? (limits.high - limits.low) / (6.0 * deviation) : 0.0;
    c.cpk = fmin(limits.high - mean, mean - limits.low) / (3.0 * deviation);
    double half = z * sqrt(1.0 / (9.0 * n) + c.cpk * c.cpk / (2.0 * (n - 1.0)));
    c.low = c.cpk - half;
    c.high = c.cpk + half;
    return c;
}

struct cw_chart_factors cw_chart_factors_of(int n)
{
    struct cw_range_of range = cw_range_of_normals(n);
    double width = 3.0 * range.d3 / range.d2;
    return (struct cw_chart_factors){3.0 / (range.d2 * sqrt((double)n)), fmax(0.0, 1.0 - width), 1.0 + width};
}

struct cw_chart cw_chart_of(const double *value, size_t count)
{
    struct cw_chart chart = {.mean = cw_mean(value, count), .first_outside = count};
    struct cw_range_of range = cw_range_of_normals(2);
    for (size_t i = 1; i < count; i++) {
        chart.mean_range += fabs(value[i] - value[i - 1]) / (double)(count - 1);
    }
    double half = 3.0 * chart.mean_range / range.d2;
    chart.limits = (struct cw_limits){chart.mean - half, chart.mean + half};
    chart.range_high = chart.mean_range * (1.0 + 3.0 * range.d3 / range.d2);
    for (size_t i = 0; i < count; i++) {
        if (value[i] < chart.limits.low || value[i] > chart.limits.high) {
            chart.first_outside = chart.outside++ ? chart.first_outside : i;
        }
        chart.ranges_outside += i > 0 && fabs(value[i] - value[i - 1]) > chart.range_high;
    }
    return chart;
}
