/* SPDX-License-Identifier: ISC */
/** \file magnetics.h
 * Magnets: demagnetisation and working point. SI units.
 *
 * Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_MAGNETICS_H
#define CW_MAGNETICS_H

#include "material.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Demagnetising factor of a prolate spheroid along its axis (J. A. Osborn, Phys. Rev. 67, 1945,
 * 351): what a rod of that slenderness is taken to have.
 * \param aspect length over diameter, above 1 */
double cw_demagnetising_spheroid(double aspect);

/** Flux density in tesla where the demagnetisation curve meets the load line
 * B = -mu0 H (1 - N)/N of a demagnetising factor N, 0 < N < 1.
 *
 * The curve is the hyperbola B = Br (Hc - |H|)/(Hc - a |H|) with a from the energy product
 * (K. Hornfeck and R. F. Edgar, AIEE Trans. 59, 1940, from memory). */
double cw_magnet_working_point(const struct cw_magnet_info *magnet, double demagnetising);

#ifdef __cplusplus
}
#endif
#endif
