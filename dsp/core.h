/* SPDX-License-Identifier: ISC */
/** \file core.h
 * What a core and the metal around a coil do to its inductance: an inductance that does not lose, and
 * branches, an inductance with a resistance across it each, that do. SI units.
 *
 * Threading class: pure functions, any thread, audio included; fixed time.
 */
#ifndef CW_CORE_H
#define CW_CORE_H

#include "rods.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A part of a coil's inductance that its core takes away towards high frequencies: an inductance with a
 * resistance across it. Its corner is resistance / (2 pi inductance). */
struct cw_branch {
    double inductance; /**< henry; 0: there is none */
    double resistance; /**< ohm, above 0 */
};

enum { CW_BRANCHES = 2 };

/** An inductor in parts that stand in series. */
struct cw_inductor {
    double lossless; /**< henry, above 0 */
    struct cw_branch branch[CW_BRANCHES];
    double tail; /**< henry second, 0 or more: of what goes on being lost far above the branches' corners the first
                    term, L(s) - s tail. In a circuit a conductance of tail/lossless^2 across the inductor, which is no
                      pole more */
};

/** Rods of one material. */
struct cw_core_material {
    double permeability; /**< relative, 1 or more */
    double conductivity; /**< siemens per metre */
};

/** Metal around the coil: a closed turn that couples with it. */
struct cw_metal {
    double share;  /**< of the inductance at 0 Hz that is lost far above the corner, 0 to 0.5 */
    double corner; /**< hertz */
};

/** The inductor of a coil round rods, from L = air + henry chi/(1 + N chi), chi + 1 = mu 2 J1(ka)/(ka J0(ka)), with
 * metal around it.
 *
 * - Where N mu is above 2 (steel) the skin effect rules, and the rods' part is an inductance with a resistance
 *   of the square root of the frequency across it: cw_core_skin() with the first two terms of the Bessel
 *   functions' asymptotic series (Abramowitz and Stegun 9.7.1). Within 0.05 dB of the impedance between
 *   100 Hz and 20 kHz for permeabilities of 100 to 500.
 * - Below (alnico) one branch, exact at rest and where the coil rings by itself.
 * - Without conductivity (ferrite, in effect) none.
 *
 * \param air     inductance without the rods, henry
 * \param share   what the rods add, henry for the coil's turns
 * \param radius  of a rod, metre
 * \param own_hz  where the coil rings with nothing connected and no metal around it, hertz, about: there an error of
 *                the inductance is seen most */
struct cw_inductor cw_core_inductor(double air, struct cw_rods_share share, struct cw_core_material material,
                                    double radius, struct cw_metal metal, double own_hz);

/** The same at 0 Hz, exactly, henry: steel's branches are made for the resonances and have up to 1 % less there. */
double cw_core_at_rest(double air, struct cw_rods_share share, struct cw_core_material material);

/** beside + inductance/(1 + sqrt(s/(2 pi corner))): a semi-inductor with an inductance across it (K. Thorborg and
 * A. D. Unruh, JAES 56(9), 2008, in another field). Henry, hertz. */
struct cw_skin {
    double beside, inductance, corner;
};

/** An inductor that stands for a semi-inductor with metal around it. Made so that the errors that are left cost least
 * in decibels in a coil that rings at \p own_hz: without metal by a table (dsp/tables/skin.c says how) over corners
 * from 1 kHz to 4 MHz and own_hz from 4.5 to 33 kHz, one outside being taken as the nearest; with metal by least
 * squares over 60 Hz to 18 kHz from there. At most 0.9 of the part that does not lose is given to the metal. \param
 * own_hz as of cw_core_inductor() */
struct cw_inductor cw_core_skin(const struct cw_skin *skin, struct cw_metal metal, double own_hz);

/** Put metal around a coil of which a branch is free: it takes that, exactly. At most 0.9 of the part that does not
 * lose is given to the metal. */
void cw_core_add_metal(struct cw_inductor *inductor, struct cw_metal metal);

#ifdef __cplusplus
}
#endif
#endif
