/* SPDX-License-Identifier: ISC */
/** \file within.h
 * Assertions on numbers that say what was compared.
 */
#ifndef TEST_WITHIN_H
#define TEST_WITHIN_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/** Fail unless |value - expected| <= tolerance; NaN fails. */
static inline void within(double value, double expected, double tolerance, const char *what)
{
    if (!(fabs(value - expected) <= tolerance)) {
        fail_msg("%s: %.9g, expected %.9g within %.3g", what, value, expected, tolerance);
    }
}

/** The larger of the worst error so far and another; NaN fails, where fmax() would pass over it. */
static inline double worse(double worst, double error)
{
    if (isnan(error)) {
        fail_msg("an error that is not a number");
    }
    return fmax(worst, error);
}

/** The same with a tolerance relative to what is expected. */
static inline void within_share(double value, double expected, double share, const char *what)
{
    within(value, expected, share * fabs(expected), what);
}

#endif
