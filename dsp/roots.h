/* SPDX-License-Identifier: ISC */
/** \file roots.h
 * Sets of zeros or poles, and the way from a magnitude back to roots in z.
 *
 * u = sin^2(w/2) stands for frequency wherever only the magnitude matters: the squared magnitude of
 * a filter is a ratio of polynomials in u, and a polynomial that is positive on 0..1 has a
 * minimum-phase filter behind it.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_ROOTS_H
#define CW_ROOTS_H

#include <stdbool.h>

#include "biquad.h"
#include "constants.h"
#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Room for the zeros, or the poles, of one filter, and what asks for it. */
enum {
    CW_FACTORS_MAX = 2 * CW_SECTIONS_MAX,
    CW_CORRECTION_ZEROS = 6, /**< most that the match adds to meet the magnitude at the top of the band */
    CW_CORRECTION_POLES = 2,
    CW_SLOPE_ROOTS = 6, /**< zeros, and as many poles, of the slope that the coils' places ask for */
    CW_DELAY_ZEROS = 1, /**< a sample of delay takes the place of a zero */
    /** Most zeros, or poles, that a target may have. */
    CW_TARGET_MAX = CW_FACTORS_MAX - CW_CORRECTION_ZEROS - CW_SLOPE_ROOTS - CW_DELAY_ZEROS
};

/** Roots, conjugates adjacent with the positive imaginary part first: pairs are steps of two. */
struct cw_root_set {
    int count;
    struct cw_complex root[CW_FACTORS_MAX];
};

/** \return false where they have no room: then nothing is appended. */
bool cw_roots_append(struct cw_root_set *set, const struct cw_complex *roots, int count);
void cw_roots_take_out(struct cw_root_set *set, int at, int width);

/** A real root, and a number that its owner gives it. */
struct cw_real_root {
    double at;
    int from;
};

/** Put real roots into pairs, steps of two with the larger first: of those that are left, always the two nearest
 * neighbours. Where their number is odd, the last one stays alone. */
void cw_pair_real(struct cw_real_root *root, int count);

/** Roots in u to roots in z inside the circle of radius \p most, added to \p z.
 * \return false where there is none: a root lies on 0..1, or too near the circle; or where there is no room. */
bool cw_roots_to_circle(const struct cw_complex *u, int count, double most, struct cw_root_set *z);

#ifdef __cplusplus
}
#endif
#endif
