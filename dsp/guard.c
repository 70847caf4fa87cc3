/* SPDX-License-Identifier: ISC */
#include "guard.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* Magnitudes of finite floats are in the order of their bits, and whole numbers have a maximum that a compiler
 * works out side by side. */
static float peak(const float *x, size_t n)
{
    int32_t most = 0;
    for (size_t i = 0; i < n; i++) {
        int32_t bits;
        memcpy(&bits, x + i, sizeof bits);
        bits &= INT32_MAX;
        most = bits > most ? bits : most;
    }
    float value;
    memcpy(&value, &most, sizeof value);
    return value;
}

static void hold_each(struct cw_guard *guard, const float *x, float *y, size_t n, double most)
{
    for (size_t i = 0; i < n; i++) {
        guard->loudest = fmaxf(guard->loudest, fabsf(x[i]));
        float bound = (float)(most * (double)guard->loudest);
        y[i] = fminf(fmaxf(y[i], -bound), bound);
    }
}

void cw_guard_hold(struct cw_guard *guard, const float *x, float *y, size_t n, double most)
{
    if (peak(y, n) > (float)(most * (double)guard->loudest)) {
        hold_each(guard, x, y, n, most);
    } else {
        guard->loudest = fmaxf(guard->loudest, peak(x, n));
    }
}
