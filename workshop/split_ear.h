/* SPDX-License-Identifier: ISC */
/** \file split_ear.h
 * How far a split sounds from the same pickup unsplit, each coil in its own place (dsp/places.h, the octave
 * means over strings and notes), in auditory bands at one level below 630 Hz (audible.h).
 *
 * Threading class: pure functions, any thread; no allocation; some milliseconds, so not for the audio thread.
 */
#ifndef CW_SPLIT_EAR_H
#define CW_SPLIT_EAR_H

#include "audible.h"
#include "places.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The distance for either choice of coil. */
struct cw_split_ear {
    struct cw_audible is;    /**< as the setup has it */
    struct cw_audible other; /**< the same parts across the other coil */
};

/** What splits of one pickup are held against, and what is the same for all of them. */
struct cw_split_full {
    struct cw_place_means means;
    double level[CW_AUDIBLE_BANDS];
};

/** \param full clean values, two coils in series, unsplit */
void cw_split_full_of(const struct cw_setup *full, struct cw_split_full *against);

/** Setups that are judged at a time. */
enum { CW_SPLIT_EARS = 8 };

/** \param setups splits of the pickup that stands in \p against; unsplit it is at no distance
 * \param count  1 to CW_SPLIT_EARS */
void cw_split_ears_of(const struct cw_setup *const setups[], int count, struct cw_split_full *against,
                      struct cw_split_ear ear[]);

#ifdef __cplusplus
}
#endif
#endif
