/* SPDX-License-Identifier: ISC */
/** \file rod.h
 * A coil with a round, conducting core by its exact formulas: the judge of what the circuit makes of a core.
 * Nothing of dsp/ is used. exp(+jwt); SI units.
 *
 * Sources: a long round rod in an alternating field along it, effective permeability 2 J1(ka)/(ka J0(ka)) of its
 * own, k^2 = -j w mu mu0 sigma: W. R. Smythe, "Static and Dynamic Electricity", 1950, chapter on eddy currents (from
 * memory). Ratio of Bessel functions by its continued fraction: Abramowitz and Stegun 9.1.73. Demagnetising factor
 * of a spheroid: J. A. Osborn, Phys. Rev. 67, 1945.
 */
#ifndef TEST_ROD_H
#define TEST_ROD_H

#include <complex.h>

struct rod {
    double permeability, conductivity; /* relative; S/m */
    double radius;                     /* metre */
    double demagnetising;              /* 0..1 */
};

/** A coil of \c air henry in air, of which the rods reach the share \c share. */
struct rod_coil {
    double air, share;
    struct rod rod;
    double ohm, farad; /* resistance in series; capacitance across the whole */
};

/** Demagnetising factor of a spheroid along its long axis, \p ratio times as long as it is thick. */
double rod_demagnetising(double ratio);

/** 2 J1(z) / (z J0(z)). */
double complex rod_bessel_ratio(double complex z);

/** Relative permeability of the rod's material as eddy currents leave it, and as its ends let it be seen. */
double complex rod_permeability(const struct rod *rod, double hz);
double complex rod_apparent(const struct rod *rod, double hz);

/** Inductance with what it loses as a negative imaginary part, henry. */
double complex rod_inductance(const struct rod_coil *coil, double hz);

/** The closed form La + (Le || K sqrt s) of the same coil. */
struct rod_semi {
    double la, le, k;
};
struct rod_semi rod_semi_of(const struct rod_coil *coil);
double complex rod_semi_inductance(const struct rod_semi *semi, double hz);

/** Impedance at the leads of a coil with the inductance \p henry. */
double complex rod_impedance(double complex henry, double ohm, double farad, double hz);

/** The coil of the check vectors: 4.5 H at 0 Hz with steel rods of 19.2 x 4.8 mm, mu 200, 5.8 MS/m; 8 kohm, 120 pF. */
struct rod_coil rod_check_coil(void);

#endif
