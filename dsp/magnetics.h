/* SPDX-License-Identifier: ISC */
/** \file magnetics.h
 * Rods and magnets: demagnetisation, working point, permeability of a conducting rod. SI units.
 *
 * Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_MAGNETICS_H
#define CW_MAGNETICS_H

#include "material.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A complex relative permeability mu' + j im; a lossy one has im < 0. */
struct cw_permeability {
    double re, im;
};

/** Demagnetising factor of a prolate spheroid along its axis (J. A. Osborn, Phys. Rev. 67, 1945,
 * 351): what a rod of that slenderness is taken to have.
 * \param aspect length over diameter, above 1 */
double cw_demagnetising_spheroid(double aspect);

/** Demagnetising factor of a long elliptic cylinder across its length (Osborn 1945): what a flat
 * bar is taken to have.
 * \param along   its size in the direction of magnetisation
 * \param across  its other size, in the same unit */
double cw_demagnetising_bar(double along, double across);

/** Flux density in tesla where the demagnetisation curve meets the load line
 * B = -mu0 H (1 - N)/N of a demagnetising factor N, 0 < N < 1.
 *
 * The curve is the hyperbola B = Br (Hc - |H|)/(Hc - a |H|) with a from the energy product
 * (K. Hornfeck and R. F. Edgar, AIEE Trans. 59, 1940, from memory). */
double cw_magnet_working_point(const struct cw_magnet_info *magnet, double demagnetising);

/** Effective permeability of a round conducting rod in an axial field:
 * mu 2 J1(ka)/(ka J0(ka)), k = (1 - j)/delta, delta = 1/sqrt(pi f mu mu0 sigma) (textbook skin
 * effect; the Bessel ratio by its continued fraction, Abramowitz and Stegun 9.1.73).
 * \param radius metre
 * \param hz     0 or more; below |ka| = 50 the relative error is under 1e-9 */
struct cw_permeability cw_rod_permeability(double mu, double conductivity, double radius, double hz);

/** Apparent permeability mu/(1 + N (mu - 1)) of a body with demagnetising factor N. */
struct cw_permeability cw_apparent_permeability(struct cw_permeability mu, double demagnetising);

#ifdef __cplusplus
}
#endif
#endif
