/* SPDX-License-Identifier: ISC */
/** \file complex_math.h
 * Complex arithmetic on struct cw_complex, private to dsp/. C's own complex type is not used
 * because its multiplication checks for infinities at every step and C++ cannot read it.
 */
#ifndef CW_COMPLEX_MATH_H
#define CW_COMPLEX_MATH_H

#include <math.h>

#include "polynomial.h"

static inline struct cw_complex cw_c(double re, double im) { return (struct cw_complex){re, im}; }
static inline struct cw_complex cw_add(struct cw_complex a, struct cw_complex b)
{
    return cw_c(a.re + b.re, a.im + b.im);
}
static inline struct cw_complex cw_sub(struct cw_complex a, struct cw_complex b)
{
    return cw_c(a.re - b.re, a.im - b.im);
}
static inline struct cw_complex cw_mul(struct cw_complex a, struct cw_complex b)
{
    return cw_c(a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re);
}
static inline struct cw_complex cw_scale(struct cw_complex a, double by) { return cw_c(a.re * by, a.im * by); }
static inline double cw_norm(struct cw_complex a) { return a.re * a.re + a.im * a.im; }
static inline double cw_abs(struct cw_complex a) { return sqrt(cw_norm(a)); }
static inline struct cw_complex cw_div(struct cw_complex a, struct cw_complex b)
{
    double n = cw_norm(b);
    return cw_c((a.re * b.re + a.im * b.im) / n, (a.im * b.re - a.re * b.im) / n);
}

#endif
