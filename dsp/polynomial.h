/* SPDX-License-Identifier: ISC */
/** \file polynomial.h
 * Polynomials of s with real coefficients.
 *
 * They are in the normalised variable p = s / (2 pi 1 kHz), lowest power first, so that the
 * coefficients of audio circuits stay near one another.
 *
 * Threading class: pure functions, any thread, audio included; bounded time, no allocation.
 */
#ifndef CW_POLYNOMIAL_H
#define CW_POLYNOMIAL_H

#include <assert.h>

#include "constants.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_DEGREE_MAX = 15, /**< of a polynomial of dsp/circuit.h; they stay below it (tests/test_orders.c) */
    CW_ROOTS_MAX = 40   /**< most roots that are found at once: those of a filter in as many sections as there can be */
};

/** Angular frequency that the normalised variable is measured in, rad/s. */
#define CW_OMEGA_UNIT (1000.0 * CW_TAU)

struct cw_complex {
    double re, im;
};

struct cw_poly {
    int degree;
    double c[CW_DEGREE_MAX + 1];
};

/** \name Polynomial arithmetic. In the header, since the network is made of hundreds of these small steps.
 * @{ */
static inline struct cw_poly cw_poly_constant(double c)
{
    struct cw_poly p = {0, {c}};
    return p;
}

/** c0 + c1 s with s in rad/s (not normalised). */
static inline struct cw_poly cw_poly_linear(double c0, double c1)
{
    struct cw_poly p = {c1 != 0.0 ? 1 : 0, {c0, c1 * CW_OMEGA_UNIT}};
    return p;
}

/* a + factor b */
static inline struct cw_poly cw_poly_combine(const struct cw_poly *a, const struct cw_poly *b, double factor)
{
    struct cw_poly r = *a;
    for (int i = a->degree + 1; i <= b->degree; i++) {
        r.c[i] = 0.0;
    }
    for (int i = 0; i <= b->degree; i++) {
        r.c[i] += factor * b->c[i];
    }
    r.degree = a->degree > b->degree ? a->degree : b->degree;
    return r;
}

static inline struct cw_poly cw_poly_add(struct cw_poly a, struct cw_poly b) { return cw_poly_combine(&a, &b, 1.0); }
static inline struct cw_poly cw_poly_sub(struct cw_poly a, struct cw_poly b) { return cw_poly_combine(&a, &b, -1.0); }

static inline struct cw_poly cw_poly_mul(struct cw_poly a, struct cw_poly b)
{
    assert(a.degree + b.degree <= CW_DEGREE_MAX);
    struct cw_poly r = {a.degree + b.degree, {0.0}};
    for (int i = 0; i <= a.degree; i++) {
        for (int k = 0; k <= b.degree; k++) {
            r.c[i + k] += a.c[i] * b.c[k];
        }
    }
    return r;
}

static inline struct cw_poly cw_poly_scale(struct cw_poly a, double factor)
{
    for (int i = 0; i <= a.degree; i++) {
        a.c[i] *= factor;
    }
    return a;
}

/** a multiplied by s (rad/s) and a factor. */
static inline struct cw_poly cw_poly_times_s(struct cw_poly a, double factor)
{
    assert(a.degree < CW_DEGREE_MAX);
    for (int i = a.degree; i >= 0; i--) {
        a.c[i + 1] = a.c[i] * factor * CW_OMEGA_UNIT;
    }
    a.c[0] = 0.0;
    a.degree++;
    return a;
}
/** @} */

#ifdef __cplusplus
}
#endif
#endif
