/* SPDX-License-Identifier: ISC */
/** \file rods.h
 * Six magnetised rods in a row inside a coil: what they add to its inductance, and the field that the coil
 * then has at a string. SI units.
 *
 * The field of the coil along the axis of the rods, its mean over them, is taken as a polynomial of degree 4.
 * What rods do in such a field has been worked out beforehand, by moments of magnetised bodies of their real length
 * and thickness and by their number: dsp/tables/rods.c makes it into dsp/rods_table.inc, and says how. All six
 * are taken to be magnetised alike.
 *
 * The outermost rods stand in the centres of the former's half circles, as usual (common practice, no
 * source), so that the distance of two is a fifth of the straight part.
 *
 * Threading class: pure functions, any thread, audio included; fixed time.
 */
#ifndef CW_RODS_H
#define CW_RODS_H

#ifdef __cplusplus
extern "C" {
#endif

/** A row of six rods. Metre. */
struct cw_rods {
    double length, diameter; /**< of each; length 2 to 16 diameters */
    double above;            /**< how far the top stands over the top of the winding; the bottom hangs where it may */
};

/** The coil around them: a racetrack of rectangular section, its turns spread evenly. Metre. */
struct cw_rods_coil {
    double straight;    /**< length of the straight part */
    double mean_radius; /**< of the half circles in the middle of the winding: half the mean turn's width */
    double height, build;
};

enum {
    CW_RODS = 6,
    CW_RODS_TERMS = 5,
    CW_RODS_BUILDS = 2,   /**< the turns are put at so many depths */
    CW_RODS_ELEMENTS = 16 /**< a half circle of them in so many pieces, as seen from the rods */
};

/** The turns of a coil as its field is summed. */
struct cw_rods_turns {
    double radius[CW_RODS_BUILDS];                   /**< of the half circles, metre */
    double r2[CW_RODS_BUILDS][CW_RODS_ELEMENTS];     /**< distance of a piece from a rod's axis, squared */
    double weight[CW_RODS_BUILDS][CW_RODS_ELEMENTS]; /**< of its field */
};

/** Rods in their coil, ready for any permeability. */
struct cw_rods_in_coil {
    struct cw_rods rods;
    double spacing; /**< of two rods, metre */
    struct cw_rods_turns turns;
    double volume;               /**< of all rods, cubic metre */
    double field[CW_RODS_TERMS]; /**< mean field of the coil over a rod's section, by Legendre terms, 1/metre:
                                      for one ampere and one turn */
    double energy[CW_RODS_TERMS][CW_RODS_TERMS]; /**< what demagnetises, for what the rods do in the end */
    double even[CW_RODS_TERMS][CW_RODS_TERMS];   /**< the same for magnetisation that is even over the section */
};

/** Work out the field of the coil in its rods. */
void cw_rods_place(const struct cw_rods *rods, const struct cw_rods_coil *coil, struct cw_rods_in_coil *placed);

/** Magnetisation along the rods by Legendre terms, 1/metre, for one ampere and one turn: as if it were even over
 * the section, which leaves a long slug's field outside some 1 dB too low, an alnico rod's right.
 * \param susceptibility relative permeability less 1, above 0 */
void cw_rods_magnetise(const struct cw_rods_in_coil *placed, double susceptibility,
                       double magnetisation[CW_RODS_TERMS]);

/** What the rods add to the inductance of one turn as one pole in the permeability:
 * henry chi/(1 + N chi). */
struct cw_rods_share {
    double henry; /**< for a susceptibility that goes to 0: over it */
    double demagnetising;
};

/** The form henry chi/(1 + N chi) that is exact at two susceptibilities. */
struct cw_rods_share cw_rods_added(const struct cw_rods_in_coil *placed, double one, double other);

/** The coil's field along its axis on the axis of a rod at a distance above its top, mean over the rods,
 * 1/metre: for one ampere and one turn, with the rods as magnetised as \p magnetisation says.
 * \param slope its derivative by the distance, 1/metre^2 */
double cw_rods_field_above(const struct cw_rods_in_coil *placed, const struct cw_rods_coil *coil,
                           const double magnetisation[CW_RODS_TERMS], double distance, double *slope);

#ifdef __cplusplus
}
#endif
#endif
