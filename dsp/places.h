/* SPDX-License-Identifier: ISC */
/** \file places.h
 * Each coil hears the string in its own place.
 *
 * A partial at frequency f on a string of wave speed c = 2 x scale x open pitch moves at the distance
 * x from the bridge with the amplitude sin(2 pi f x / c), whatever the fret (textbook, ideal string
 * with fixed ends). With H1 and H2 the network's answers to the EMF of coil one and two, the mean
 * over strings and notes of what comes out is
 *
 *     P = |H1|^2 S11 + |H2|^2 S22 + 2 Re(H1 conj H2) S12,
 *     Sab(f) = weighted mean over strings of sin(2 pi f xa / c) sin(2 pi f xb / c).
 *
 * Six strings in equal temperament; each note weighs as its fundamental (pluck spectra that fall as
 * 1 / f^2 in power), so that a string weighs as its open pitch. P over |H1 + H2|^2, averaged over an
 * octave, is what a network that feeds both coils one signal leaves out; the means over octaves are
 * smooth, since no fixed filter can play the nulls of one string.
 *
 * Threading class: pure functions, any thread, audio included; bounded time, no allocation.
 */
#ifndef CW_PLACES_H
#define CW_PLACES_H

#include <stdbool.h>

#include "circuit.h"
#include "coil.h"
#include "setup.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_PLACE_STEPS = 8,                       /**< points in an octave */
    CW_PLACE_POINTS = 9 * CW_PLACE_STEPS + 1, /**< 40 Hz to 20.48 kHz */
    CW_STRINGS = 6
};

/** Frequency of a point, Hz. */
double cw_place_hz(int point);

/** Open pitch of a string, Hz: 0 is the highest (E4), 5 the lowest (E2); A4 = 440 Hz, equal temperament. */
double cw_string_pitch(int string);

/** Where the coils stand. */
struct cw_places {
    double one, two; /**< distance of each coil from the bridge, m; equal for a pickup of one coil */
    double scale;    /**< vibrating length of the open string, m */
    int string;      /**< 0 to 5 for one string alone; -1 for the mean of six */
};

/** The means Sab for given places. */
struct cw_place_means {
    struct cw_places of;
    bool stand; /**< they are worked out */
    double one[CW_PLACE_POINTS], two[CW_PLACE_POINTS], both[CW_PLACE_POINTS];
};

/** Work the means out, each exactly averaged over its eighth of an octave. Costs some 1,800 sines:
 * keep them while the places stay. */
void cw_place_means_of(const struct cw_places *places, struct cw_place_means *means);

/** A partial of one string as the network gives it, without a mean: |H1 s1 + H2 s2|^2 over |H1 + H2|^2, with
 * sa = sin(2 pi f xa / c). What no fixed filter can play; to be shown.
 * \param string 0 to 5 */
double cw_place_partial(const struct cw_setup *setup, const struct cw_pickup *pickup, const struct cw_transfer *sum,
                        const struct cw_transfer *difference, int string, double hz);

/** Where a setup's coils stand, by its parameters. */
void cw_places_of(const struct cw_setup *setup, struct cw_places *places);

/** What the places make of a setup: octave means of P / |H1 + H2|^2 at each point.
 * \param setup clean values \param pickup the coils of that setup */
void cw_place_power(const struct cw_setup *setup, const struct cw_pickup *pickup, const struct cw_place_means *means,
                    double power[CW_PLACE_POINTS]);

/** The means of a setup's places, worked out where these have changed. */
void cw_place_means_at(const struct cw_setup *setup, struct cw_place_means *means);

/** cw_place_power() of a setup, its coils solved and its means kept. */
void cw_place_power_of(const struct cw_setup *setup, struct cw_place_means *means, double power[CW_PLACE_POINTS]);

/** What the places change where a recording made through one setup is heard through another: the power of
 * the candidate over that of the recording, at each point; \p change may be either.
 * \return false where it is flat within 0.0001 dB, as between equal setups */
bool cw_place_change(const double power[CW_PLACE_POINTS], const double recorded[CW_PLACE_POINTS],
                     double change[CW_PLACE_POINTS]);

#ifdef __cplusplus
}
#endif
#endif
