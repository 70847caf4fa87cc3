/* SPDX-License-Identifier: ISC */
/** \file inductance.h
 * Inductance of thick coils in air, for one turn: multiply by the square of the turns. SI units.
 *
 * Threading class: pure functions, any thread, audio included; fixed time.
 */
#ifndef CW_INDUCTANCE_H
#define CW_INDUCTANCE_H

#ifdef __cplusplus
extern "C" {
#endif

/** Mutual inductance in henry of two coaxial circles (J. C. Maxwell, Treatise, art. 701), the
 * elliptic integrals by Abramowitz and Stegun 17.3.34 and 17.3.36: error below 1e-6 of the larger
 * circle's mu0 r.
 * \param r1,r2 radii, metre
 * \param z     distance of the planes, metre; the circles must not touch */
double cw_mutual_circles(double r1, double r2, double z);

/** Log of the geometric mean distance of a rectangle from itself (Maxwell, art. 692); lengths in
 * metre. */
double cw_log_gmd_rectangle(double width, double height);

/** Inductance of a racetrack coil: two straight bundles joined by half circles.
 *
 * L = circle + straight + joint: the circular coil of the ends; the straight bundles as parallel
 * bars of unlimited length by their geometric mean distances (Maxwell; E. B. Rosa); and a
 * correction for the ends of the bars, their mutual inductance with the half circles and the
 * half circles' being apart, fitted by us to the Neumann integral. Within 1 % of the Neumann
 * integral over the section for every former of the parameters' range.
 * \param straight length of the straight part, metre; 0 is a circular coil
 * \param inner_radius of the innermost turn's half circle, metre */
double cw_inductance_racetrack(double straight, double inner_radius, double height, double build);

#ifdef __cplusplus
}
#endif
#endif
