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

/** \name Polynomial arithmetic. Results may alias neither argument unless said.
 * @{ */
struct cw_poly cw_poly_constant(double c);
/** c0 + c1 s with s in rad/s (not normalised). */
struct cw_poly cw_poly_linear(double c0, double c1);
struct cw_poly cw_poly_add(struct cw_poly a, struct cw_poly b);
struct cw_poly cw_poly_sub(struct cw_poly a, struct cw_poly b);
struct cw_poly cw_poly_mul(struct cw_poly a, struct cw_poly b);
struct cw_poly cw_poly_scale(struct cw_poly a, double factor);
/** a multiplied by s (rad/s). */
struct cw_poly cw_poly_times_s(struct cw_poly a, double factor);
/** @} */

#ifdef __cplusplus
}
#endif
#endif
