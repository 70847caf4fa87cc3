/* SPDX-License-Identifier: ISC */
/** \file learn.h
 * Learns how loud what is played is, so that levels are matched by it and not by an assumed spectrum.
 *
 * What is kept is the power of the last 25 s of playing in parts of 0.1 s and in the bands of
 * dsp/loudness.h, K-weighted. Of those, the gated loudness through any response is worked out as EBU
 * R 128 measures it (ITU-R BS.1770-4: blocks of 0.4 s, one every 0.1 s; the mean of those above -70
 * LUFS and within 10 LU of their own mean). Parts below -60 LUFS are no playing (ours) and not kept.
 *
 * Two frames of 1024 samples (at about 48 kHz: higher rates are thinned) are transformed as one complex
 * one, a stage a step, so that no step is long, while the next two come in.
 *
 * Threading class: cw_learn_init() instantiation; everything else audio. No allocation, no lock, no
 * I/O, bounded time. One struct is one learner; there are no globals.
 */
#ifndef CW_LEARN_H
#define CW_LEARN_H

#include <stdbool.h>

#include "loudness.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_LEARN_STEP = 256,    /**< samples that a step takes */
    CW_LEARN_POINTS = 1024, /**< of a frame */
    CW_LEARN_PARTS = 256,   /**< of 0.1 s that are kept */
    CW_LEARN_ENOUGH = 40    /**< that are enough to go by */
};

/** What was learned; plain values, so that it can be kept. */
struct cw_learned {
    int count;                                      /**< of parts, up to CW_LEARN_PARTS */
    int at;                                         /**< where the next part goes */
    double hz[CW_LOUDNESS_BANDS];                   /**< where in the band its power lies; 0 where not known */
    double spread[CW_LOUDNESS_BANDS];               /**< and how far about that: its standard deviation, Hz */
    float power[CW_LOUDNESS_BANDS][CW_LEARN_PARTS]; /**< mean square of the band, K-weighted; finite, 0 or more */
};

struct __attribute__((aligned(64))) cw_learn {
    struct cw_learned learned;
    /* at multiples of a vector's length, for speed: */
    __attribute__((aligned(64))) float cosine[CW_LEARN_POINTS], sine[CW_LEARN_POINTS]; /**< of the transform */
    float twice[2][CW_LEARN_POINTS / 4],
        thrice[2][CW_LEARN_POINTS / 4]; /**< the same of two and three times the angle */
    float window[CW_LEARN_POINTS];      /**< Hann */
    float weight[CW_LEARN_POINTS / 2];  /**< of a bin: K-weighting, and the frame's scale */
    float next[2 * CW_LEARN_POINTS];    /**< the two frames that come in, while those before are transformed */
    float re[2][CW_LEARN_POINTS], im[2][CW_LEARN_POINTS];
    float power[CW_LEARN_POINTS + 1];                        /**< of the bins; the last is 0 */
    int first[CW_LOUDNESS_BANDS + 1];                        /**< bin of each band; the last is past them */
    int thinning;                                            /**< one sample of so many is taken */
    int taken;                                               /**< samples of the two frames that are there */
    int stage;                                               /**< of the transform that is to be done */
    double part[CW_LOUDNESS_BANDS];                          /**< sums of the part at work */
    double sum[CW_LOUDNESS_BANDS], place[CW_LOUDNESS_BANDS]; /**< power, and power times Hz, fading away */
    double square[CW_LOUDNESS_BANDS];                        /**< the same times Hz squared */
    float hz_step;                                           /**< from bin to bin */
    double part_place[CW_LOUDNESS_BANDS], part_square[CW_LOUDNESS_BANDS]; /**< of the part at work */
    int pairs, pairs_in_part; /**< of frames, and of how many a part is made */
};

/** Nothing learned. \param rate Hz, 8000 to 384000 */
void cw_learn_init(struct cw_learn *learn, double rate);

/** Leave the frames at work: a pause follows. What was learned stays. */
void cw_learn_pause(struct cw_learn *learn);

/** Go on from what was learned at another time. \param learned cw_learned_valid() of it is true */
void cw_learn_restore(struct cw_learn *learn, const struct cw_learned *learned);

/** A step. \param x the last CW_LEARN_STEP samples, finite
 * \return whether something was learned anew */
bool cw_learn_step(struct cw_learn *learn, const float x[CW_LEARN_STEP]);

/** Whether enough was heard to go by. */
bool cw_learned_enough(const struct cw_learned *learned);

/** |response|^2 at a frequency, Hz. */
typedef double cw_learned_power(const void *of, double hz);

/** How much louder what was played is through a response: cw_learned_ratio() of its power at cw_learned_hz(). */
double cw_learned_through(const struct cw_learned *learned, cw_learned_power *power, const void *of);

/** Where a response is to be asked for in a band, Hz: a standard deviation below and above where the power was, so
 * that the mean of both is right for any response that is a cubic there (Gauss, two points); or twice the centre. */
void cw_learned_hz(const struct cw_learned *learned, int band, double hz[2]);

/** How much louder what was played is through a response, or what is assumed to be where that is not enough.
 * \param power |response|^2 of each band: the mean of those at cw_learned_hz()
 * \return a power ratio; 0 where it is silent */
double cw_learned_ratio(const struct cw_learned *learned, const double power[CW_LOUDNESS_BANDS]);

/** Whether values from outside can be what was learned. */
bool cw_learned_valid(const struct cw_learned *learned);

#ifdef __cplusplus
}
#endif
#endif
