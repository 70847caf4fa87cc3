/* SPDX-License-Identifier: ISC */
/** \file brightness.h
 * How bright a pickup is under real strings, each coil in its own place (dsp/places.h), partial by partial:
 * the power of those from 2 to 6 kHz over that of those from 80 to 500 Hz, six strings at frets 0, 3, 5 and
 * 7. What counts as treble is our own choice: the octaves around a pickup's resonance.
 *
 * Partials fall as a power of their number, n^-slope in power; 2 stands for a usual pluck (common practice,
 * no source), 1 to 4 for the range from hard and near the bridge to soft and far from it.
 *
 * Threading class: pure functions, any thread; no allocation; some 0.1 ms.
 */
#ifndef CW_BRIGHTNESS_H
#define CW_BRIGHTNESS_H

#include "places.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Slope of the partials of a usual pluck. */
enum { CW_BRIGHTNESS_SLOPE = 2 };

/** Treble balance in dB; 0 where nothing is heard.
 * \param places where the setup's coils stand; with one string that one alone */
double cw_brightness(const struct cw_setup *setup, const struct cw_places *places);

/** What a split does to it, dB against full. */
struct cw_brightness_change {
    double db;        /**< partials of a usual pluck */
    double low, high; /**< over slopes 1 to 4 and each string alone */
    double other;     /**< with the same parts across the other coil */
};

/** \param split clean values with the split on, its own places
 * \param full  the same unsplit */
void cw_brightness_change_of(const struct cw_setup *split, const struct cw_setup *full,
                             struct cw_brightness_change *change);

#ifdef __cplusplus
}
#endif
#endif
