/* SPDX-License-Identifier: ISC */
/** \file slope.h
 * A smooth change of level, as zeros and poles in z: six real poles at fixed frequencies, and the
 * zeros that meet a given power at the points of places.h, by linear least squares.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_SLOPE_H
#define CW_SLOPE_H

#include <stdbool.h>

#include "places.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_SLOPE_POLES = 6 };

struct cw_plan;

/** The most that the slope raises or lowers, dB: larger wishes approach it. */
#define CW_SLOPE_MOST_DB 15.0

/** A slope that was fitted: c0 + sum of ck pk / (u + pk), u = sin^2(w/2). */
struct cw_slope {
    double pole[CW_SLOPE_POLES];  /**< pk */
    double c[CW_SLOPE_POLES + 1]; /**< power at a point is their sum, weighted as above */
    double n[CW_SLOPE_POLES + 1]; /**< numerator over the product of u + pk, lowest power of u first */
    double rate;                  /**< Hz */
};

/** Where the wish cannot be factored, a gentler one is tried: half of it in dB, and half again. */
enum { CW_SLOPE_TRIES = 4 };

/** Fit a slope.
 * \param power wanted change as a power ratio, above 0, at each point of places.h
 * \param rate  Hz
 * \return false where no such filter was found. */
bool cw_slope_fit(const double power[CW_PLACE_POINTS], double rate, struct cw_slope *slope);

/** One of its tries, 0 to CW_SLOPE_TRIES - 1, for who spreads the work. */
bool cw_slope_try(const double power[CW_PLACE_POINTS], double rate, int number, struct cw_slope *slope);

/** The slope that hearing a recording made through one setup through another asks for.
 * \param candidate_means, recorded_means of their places; brought up to date where these have changed
 * \return false where there is none to put in. */
bool cw_slope_between(const struct cw_setup *candidate, const struct cw_setup *recorded,
                      struct cw_place_means *candidate_means, struct cw_place_means *recorded_means, double rate,
                      struct cw_slope *slope);

/** Its power at a frequency: what is heard, not what was wanted. */
double cw_slope_power(const struct cw_slope *slope, double hz);

/** Add it to a plan. */
void cw_slope_append(const struct cw_slope *slope, struct cw_plan *plan);

#ifdef __cplusplus
}
#endif
#endif
