/* SPDX-License-Identifier: ISC */
#include "split_measure.h"

#include <math.h>

#include "loudness.h"

static const double SILENT_DB = -200.0;

static double to_db(double power) { return power > 1e-20 ? 10.0 * log10(power) : SILENT_DB; }

double cw_mean_power(const struct cw_transfer *h, double low, double high)
{
    enum { STEPS = 192 }; /* a capacitor across a coil resonates sharply */
    double sum = 0.0, ratio = pow(high / low, 1.0 / STEPS), hz = low;
    for (int i = 0; i <= STEPS; i++, hz *= ratio) {
        sum += cw_transfer_power(h, hz) * (i == 0 || i == STEPS ? 0.5 : 1.0);
    }
    return sum / STEPS;
}

double cw_measure_db(const struct cw_measure *measure, const struct cw_transfer *h)
{
    switch (measure->kind) {
    case CW_MEASURE_FLAT: return to_db(cw_mean_power(h, measure->low, measure->high));
    case CW_MEASURE_AT: return to_db(cw_transfer_power(h, measure->low));
    case CW_MEASURE_TAKE: return cw_take_loudness(measure->take, h);
    case CW_MEASURE_LOUDNESS:
    default: return cw_loudness_of(h, NULL);
    }
}
