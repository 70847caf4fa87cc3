/* SPDX-License-Identifier: ISC */
/** \file exact_wound.h
 * A winding's pickup with the exact rod for a core, and its network by Kirchhoff's laws: a judge of branches, circuit,
 * figures and sound.
 *
 * Of dsp/ only what stands before the core is asked: the coil's geometry (inductance in air, the rods' share of it),
 * ohm, farad, loss of the dielectric and EMF. The skin effect is the Bessel functions of support/rod.h, metal is a
 * closed turn beside it, and nothing is put into branches, polynomials or filters.
 */
#ifndef TEST_EXACT_WOUND_H
#define TEST_EXACT_WOUND_H

#include <complex.h>
#include <stdbool.h>

#include "rod.h"
#include "setup.h"

/** One coil, SI units. */
struct exact_coil {
    double emf, ohm, farad, loss;
    double air, share; /**< henry without rods; of it the rods' share, 0: no rods */
    struct rod rod;
    double metal, metal_hz; /**< share that metal takes away far above its corner; 0: none */
};

struct exact_pickup {
    int coils;
    bool parallel;
    struct exact_coil coil[2]; /**< coil one on the hot side */
    double mutual;
};

/** The pickup of a winding, without calibration. */
void exact_pickup_of(const struct cw_setup *setup, struct exact_pickup *pickup);

/** Inductance of a coil at a complex frequency \p s, rad/s; 0 is at rest. */
double complex exact_inductance(const struct exact_coil *coil, double complex s);

/** Voltage at the wiper with the string's EMF; impedance at the leads, in ohm, nothing connected. Bleed, split and
 * controls as set. */
double complex exact_response(const struct cw_setup *setup, const struct exact_pickup *pickup, double complex s);
double complex exact_impedance(const struct cw_setup *setup, const struct exact_pickup *pickup, double complex s);

/** The natural frequency nearest to \p from, rad/s, where the response has its pole; by Newton's method in the
 * secant's form. */
double complex exact_pole(const struct cw_setup *setup, const struct exact_pickup *pickup, double complex from);

#endif
