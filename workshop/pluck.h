/* SPDX-License-Identifier: ISC */
/** \file pluck.h
 * One plucked string as a pickup senses it, by a digital waveguide.
 *
 * Source of the method: K. Karplus and A. Strong, "Digital Synthesis of Plucked-String and Drum
 * Timbres", Computer Music Journal 7(2), 1983; D. A. Jaffe and J. O. Smith, "Extensions of the
 * Karplus-Strong Plucked-String Algorithm", same issue (from memory). The decay times and the
 * pick are our own choice by ear and common practice, no source.
 */
#ifndef CW_PLUCK_H
#define CW_PLUCK_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A note. Shares of the length are counted from the bridge, for the string as stopped. */
struct cw_pluck {
    double hz;          /**< fundamental, 40 Hz or more, below rate / 8 */
    double amplitude;   /**< of the string's velocity, linear */
    double pick_at;     /**< where it is plucked, 0.02..0.5 of the length */
    double pickup_at;   /**< where the pickup stands, 0.02..0.5 of the length */
    double start, stop; /**< seconds: plucked, damped by the hand */
    double decay;       /**< seconds for 60 dB at the fundamental */
    double decay_high;  /**< the same at 5 kHz; shorter than decay */
    double softness;    /**< seconds: how round the pick leaves the string's corner */
    uint32_t seed;      /**< of the pick's noise; not 0 */
};

/** Add the string's velocity at the pickup to \p out, \p frames samples at \p rate Hz. Pure and
 * deterministic; no allocation. */
void cw_pluck_add(const struct cw_pluck *note, double rate, float *out, size_t frames);

#ifdef __cplusplus
}
#endif
#endif
