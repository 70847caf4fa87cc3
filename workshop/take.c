/* SPDX-License-Identifier: ISC */
#include "take.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void cw_take_free(struct cw_take *take)
{
    free(take->power);
    free(take->block);
    memset(take, 0, sizeof *take);
}

/* Mean of the blocks that are at or above a mean square; 0 where there are none. */
static double mean_above(const double *block, size_t count, double gate)
{
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        if (block[i] >= gate) {
            sum += block[i];
            n++;
        }
    }
    return n ? sum / (double)n : 0.0;
}

double cw_take_loudness(const struct cw_take *take, const struct cw_transfer *h)
{
    double through[CW_TAKE_BANDS];
    for (int b = 0; b < take->bands; b++) {
        through[b] = cw_transfer_power(h, take->hz[b]);
    }
    const float *row = take->power;
    for (size_t i = 0; i < take->blocks; i++, row += take->bands) {
        double sum = 0.0;
        for (int b = 0; b < take->bands; b++) {
            sum += through[b] * (double)row[b];
        }
        take->block[i] = sum;
    }
    double gate = pow(10.0, (-70.0 + 0.691) / 10.0);
    double relative = 0.1 * mean_above(take->block, take->blocks, gate);
    double mean = mean_above(take->block, take->blocks, fmax(gate, relative));
    return mean > 0.0 ? -0.691 + 10.0 * log10(mean) : -HUGE_VAL;
}
