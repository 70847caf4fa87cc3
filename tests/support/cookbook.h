/* SPDX-License-Identifier: ISC */
/** \file cookbook.h
 * Sections to try things on: the designs of R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note,
 * 8 June 2021, https://www.w3.org/TR/audio-eq-cookbook/
 */
#ifndef TEST_COOKBOOK_H
#define TEST_COOKBOOK_H

#include "biquad.h"

/** Kinds of cookbook design. */
enum cookbook_kind {
    CW_LOWPASS,
    CW_HIGHPASS,
    CW_BANDPASS, /**< 0 dB peak gain */
    CW_NOTCH,
    CW_ALLPASS,
    CW_PEAKING,
    CW_LOWSHELF,
    CW_HIGHSHELF
};

/** A cookbook section.
 * \param hz   centre, corner or midpoint frequency, above 0 and below rate / 2
 * \param q    above 0
 * \param db   gain of the peaking and shelving kinds; ignored by the others
 * \param rate sample rate, Hz */
struct cw_biquad cookbook(enum cookbook_kind kind, double hz, double q, double db, double rate);

#endif
