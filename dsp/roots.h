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
#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_FACTORS_MAX = 2 * CW_SECTIONS_MAX }; /**< zeros, or poles, of one filter */

#define CW_PI 3.14159265358979323846

/** Roots, conjugates adjacent with the positive imaginary part first: pairs are steps of two. */
struct cw_root_set {
    int count;
    struct cw_complex root[CW_FACTORS_MAX];
};

void cw_roots_append(struct cw_root_set *set, const struct cw_complex *roots, int count);
void cw_roots_take_out(struct cw_root_set *set, int at, int width);

/** Real roots in order, the largest first. */
void cw_sort_falling(double *root, int count);

/** Roots in u of a polynomial in u. \return their number */
int cw_roots_in_u(const double *coefficient, int degree, struct cw_complex *u);

/** Roots in u to roots in z inside the circle of radius \p most, added to \p z.
 * \return false where there is none: a root lies on 0..1, or too near the circle. */
bool cw_roots_to_circle(const struct cw_complex *u, int count, double most, struct cw_root_set *z);

#ifdef __cplusplus
}
#endif
#endif
