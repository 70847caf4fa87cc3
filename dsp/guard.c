/* SPDX-License-Identifier: ISC */
#include "guard.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/* Magnitudes of finite floats are in the order of their bits, and whole numbers are compared side by side by any
 * compiler. */
static int32_t magnitude(float x)
{
    int32_t bits;
    memcpy(&bits, &x, sizeof bits);
    return bits & INT32_MAX;
}

/* Whether any of x or of y is above what is given for it. Nothing in the loop waits for the sample before. */
static bool any_above(const float *x, float x_most, const float *y, float y_most, size_t n)
{
    const int32_t most = magnitude(x_most), held = magnitude(y_most);
    int32_t above = 0;
    for (size_t i = 0; i < n; i++) {
        above |= (most - magnitude(x[i])) | (held - magnitude(y[i])); /* below zero where it is */
    }
    return above < 0;
}

static float peak(const float *x, size_t n)
{
    int32_t most = 0;
    for (size_t i = 0; i < n; i++) {
        const int32_t bits = magnitude(x[i]);
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
        const float bound = cw_guard_bound(guard, most);
        y[i] = fminf(fmaxf(y[i], -bound), bound);
    }
}

void cw_guard_hold(struct cw_guard *guard, const float *x, float *y, size_t n, double most)
{
    const float bound = cw_guard_bound(guard, most);
    if (!any_above(x, guard->loudest, y, bound, n)) {
        return;
    }
    if (peak(y, n) > bound) {
        hold_each(guard, x, y, n, most);
    } else {
        guard->loudest = fmaxf(guard->loudest, peak(x, n));
    }
}
