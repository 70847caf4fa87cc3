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

#include <stdbool.h>

#include "places.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Slope of the partials of a usual pluck. */
enum { CW_BRIGHTNESS_SLOPE = 2 };

/** A partial, and how much of the string's motion each coil sees of it. */
struct cw_partial {
    double hz, one, two;
    short number, string;
    bool is_bass; /* else treble */
};

/** Most partials that are heard. */
enum { CW_PARTIALS_MAX = 768 };

/** All that are heard, of every note. */
struct cw_partials {
    int count;
    int string; /* of which the balance is told; below 0 for all */
    struct cw_partial partial[CW_PARTIALS_MAX];
};

/** \param places where the coils stand; with one string the balance is that one's */
void cw_partials_of(const struct cw_places *places, struct cw_partials *partials);

/** Treble balance in dB; 0 where nothing is heard. */
double cw_brightness(const struct cw_setup *setup, const struct cw_partials *partials);

/** What a split does to it, dB against full. */
struct cw_brightness_change {
    double db;        /**< partials of a usual pluck */
    double low, high; /**< over slopes 1 to 4 and each string alone */
    double other;     /**< with the same parts across the other coil */
};

/** \param split clean values with the split on
 * \param full  the same unsplit
 * \param partials at the places of its coils */
void cw_brightness_change_of(const struct cw_setup *split, const struct cw_setup *full,
                             const struct cw_partials *partials, struct cw_brightness_change *change);

#ifdef __cplusplus
}
#endif
#endif
