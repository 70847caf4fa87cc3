/* SPDX-License-Identifier: ISC */
/** \file take_tone.h
 * What two recordings of one phrase, each on its own instrument, say of the other instrument's pickup.
 *
 * Their long-term spectra are compared in the bands of audible.h, and the difference is fitted by the few freedoms that
 * a network leaves: the pickup of the first recording, known by a setup, with another inductance and another loss, and
 * another level. What the hand, the strings and the place of the coil do is not the network's and cannot be told from
 * it: each band is taken to be unsure by CW_TONE_HAND_DB beside what the recordings themselves scatter, and their
 * treble to lean by CW_TONE_TILT_DB.
 *
 * Threading class: pure functions, any thread; no allocation; some tenths of a second, 300 KB of stack.
 */
#ifndef CW_TAKE_TONE_H
#define CW_TAKE_TONE_H

#include <stdbool.h>

#include "audible.h"
#include "setup.h"
#include "take.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Standard deviation of a band from one playing of a phrase to the next, on other strings, dB: our own choice. */
#define CW_TONE_HAND_DB 1.5

/** Standard deviation of how much more or less treble, dB an octave above CW_TONE_TILT_HZ, pick and age of the strings
 * give from one recording to the other: our own choice. */
#define CW_TONE_TILT_DB 1.5
#define CW_TONE_TILT_HZ 2000.0

/** Difference of two takes by bands. */
struct cw_tone_bands {
    double level[CW_AUDIBLE_BANDS];  /**< dB, theirs over mine */
    double spread[CW_AUDIBLE_BANDS]; /**< standard deviation of that, dB, the hand's among it */
    bool heard[CW_AUDIBLE_BANDS];    /**< both have sound there, within 60 dB of their loudest band */
    int count;                       /**< of the spectrum of mine: */
    double hz[CW_TAKE_BANDS], power[CW_TAKE_BANDS];
};

/** \return bands that are heard in both: fewer than CW_TONE_LEAST say nothing */
int cw_tone_compare(const struct cw_take *mine, const struct cw_take *theirs, struct cw_tone_bands *bands);

/** Fewest bands that are fitted. */
enum { CW_TONE_LEAST = 20 };

/** A figure with its interval of about 95 %. */
struct cw_tone_figure {
    double value, low, high;
};

/** What was fitted. */
struct cw_tone {
    struct cw_setup setup;            /**< theirs, by values: mine with another inductance and loss */
    double level;                     /**< dB, theirs over mine, that no inductance explains */
    struct cw_tone_figure resonance;  /**< hertz */
    struct cw_tone_figure peak;       /**< dB; 0 where flat */
    struct cw_tone_figure inductance; /**< henry */
    bool open_low, open_high;         /**< the interval of the inductance ends where the search does */
    double left;                      /**< what of the difference is left, dB, root mean square over the bands heard */
    double unsure; /**< half of what the responses within the interval differ by at most, dB in a band */
};

/** Fit. \param mine clean values of the pickup, guitar and cable of the first recording; the second's guitar and cable
 * are taken for the same */
void cw_tone_fit(const struct cw_setup *mine, const struct cw_tone_bands *bands, struct cw_tone *tone);

#ifdef __cplusplus
}
#endif
#endif
