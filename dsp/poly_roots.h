/* SPDX-License-Identifier: ISC */
/** \file poly_roots.h
 * Roots of polynomials. Pure, for any thread, the audio thread included; no call allocates.
 */
#ifndef CW_POLY_ROOTS_H
#define CW_POLY_ROOTS_H

#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Roots of a polynomial with real coefficients, conjugates adjacent (positive imaginary part
 * first). Simultaneous iteration of Ehrlich (1967) and Aberth (1973) from starting points on the
 * Newton polygon (Bini, Numerical Algorithms 13, 1996).
 * \param c      degree + 1 coefficients, lowest power first
 * \param degree 0 to CW_ROOTS_MAX
 * \param roots  room for degree values
 * \return the number of roots; leading zero coefficients do not count. */
int cw_poly_roots(const double *c, int degree, struct cw_complex *roots);

enum {
    CW_ROOTS_SWEEPS = 80,    /**< most sweeps over all roots: they settle within 30 */
    CW_ROOTS_SWEEPS_ONCE = 8 /**< those of one call of cw_poly_roots_near() */
};

/** The same from starting points of the caller's in \p roots, one for each root, in steps of bounded length. No two
 * points may be equal, and they should not be symmetric about the real axis: points on it cannot leave it together.
 * \param sweeps those that are left, at first CW_ROOTS_SWEEPS
 * \return the number of roots; -1 while there is more to do, from where \p roots has come to */
int cw_poly_roots_near(const double *c, int degree, struct cw_complex *roots, int *sweeps);

#ifdef __cplusplus
}
#endif
#endif
