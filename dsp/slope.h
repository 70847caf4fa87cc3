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

#include "match.h"
#include "places.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_SLOPE_POLES = CW_SLOPE_ROOTS };

/** The most that the slope raises or lowers, dB: larger wishes approach it. */
#define CW_SLOPE_MOST_DB 15.0

/** Add a slope to a plan.
 * \param power wanted change as a power ratio, above 0, at each point
 * \param rate  Hz
 * \return false where no such filter was found; the plan is then as it was. */
bool cw_slope_append(const double power[CW_PLACE_POINTS], double rate, struct cw_plan *plan);

#ifdef __cplusplus
}
#endif
#endif
