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

/** The same from starting points of the caller's in \p roots, one for each root: quicker where they
 * are near. No two may be equal, and they should not be
 * symmetric about the real axis: points on it cannot leave it together. */
int cw_poly_roots_near(const double *c, int degree, struct cw_complex *roots);

#ifdef __cplusplus
}
#endif
#endif
