/* SPDX-License-Identifier: ISC */
/** \file modes.h
 * A cascade of sections as a sum: the first samples of its impulse response, and from there on one
 * decaying mode for each section that has poles.
 *
 * Source: partial fractions; in this form, where the modes begin after a delay, B. Bank and
 * J. O. Smith III, "A delayed parallel filter structure with an FIR part having improved numerical
 * properties", AES 136th Convention, 2014 (cited from memory).
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_MODES_H
#define CW_MODES_H

#include "biquad.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_MODES_DELAY_SHORT = 8, /**< enough for nearly every design */
    CW_MODES_DELAY_LONG = 44, /**< enough for every one: a section holds two poles at zero at most */
    CW_MODES_OVERLAP = 3      /**< samples of the impulse response that are given beyond the delay */
};

/** From the sample \c delay on, a mode's share of the impulse response is that of
 * (c0 + c1 z^-1) / (1 + a1 z^-1 + a2 z^-2), counted from there. */
struct cw_mode {
    double c0, c1, a1, a2;
};

/** Impulse response: \c head for the first delay + CW_MODES_OVERLAP samples, the sum of the modes from
 * \c delay on; the overlap is in both. */
struct cw_modes {
    int count, delay;
    struct cw_mode mode[CW_SECTIONS_MAX];
    double head[CW_MODES_DELAY_LONG + CW_MODES_OVERLAP];
};

/** The sum that equals \p sections times \p gain, poles inside the unit circle. Real poles that coincide share a
 * mode. Where two conjugate pairs coincide, or more than two real poles, they are moved apart: each a few
 * millionths of its distance from the unit circle, some tenths of a percent where four coincide; more than four
 * are not provided for. tests/test_parallel.c prints what that costs. */
void cw_modes_of(const struct cw_sections *sections, double gain, struct cw_modes *modes);

#ifdef __cplusplus
}
#endif
#endif
