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

/** Inductance of a circular coil of rectangular section: the mean of Maxwell's mutual inductance
 * over the section, its logarithmic part in closed form by the geometric mean distance, the rest
 * by Gauss quadrature. Within 0.07 % of the exact integral for height/mean radius 0.1 to 7 and
 * build/mean radius 0.02 to 1.7; against Nagaoka's coefficient within 0.1 % at a height of ten mean
 * radii, 0.4 % at 15 (the most that the parameters allow) and 1.3 % at 20.
 * \param mean_radius,height,build metre; build below twice the mean radius */
double cw_inductance_circular(double mean_radius, double height, double build);

/** Inductance of a racetrack coil: two straight bundles joined by half circles.
 *
 * L = circle + straight + joint: the circular coil of the ends; the straight bundles as parallel
 * bars of unlimited length by their geometric mean distances (Maxwell; E. B. Rosa); and a
 * correction for the ends of the bars, their mutual inductance with the half circles and the
 * half circles' being apart, fitted by us to the Neumann integral. Within 1 % of the Neumann
 * integral over the section for every former of the parameters' range.
 * \param straight length of the straight part, metre
 * \param inner_radius of the innermost turn's half circle, metre */
double cw_inductance_racetrack(double straight, double inner_radius, double height, double build);

#ifdef __cplusplus
}
#endif
#endif
