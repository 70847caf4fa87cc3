/* SPDX-License-Identifier: ISC */
/** \file capacitance.h
 * Self-capacitance of a layered winding. SI units.
 *
 * Threading class: pure functions, any thread, audio included; fixed time.
 */
#ifndef CW_CAPACITANCE_H
#define CW_CAPACITANCE_H

#include "exact.h"

#ifdef __cplusplus
extern "C" {
#endif

/** How the wire lies. */
struct cw_lay {
    double bare, overall;   /**< diameters of the wire, metre */
    double packing;         /**< share of the cross-section that is insulated wire, 0..0.9069 */
    double enamel, filling; /**< relative permittivity of the enamel and of what fills the gaps */
};

/** Distance of neighbouring wires in metre, if they lie in equal triangles (hexagonal lay). */
double cw_lay_pitch(const struct cw_lay *lay);

/** Capacitance in farad of one metre of a wire to one of its neighbours in the next layer.
 *
 * The cell of A. Massarini and M. K. Kazimierczuk, "Self-capacitance of inductors", IEEE Trans.
 * Power Electron. 12(4), 1997, 671-676: field lines straight through both enamels and the gap,
 * over a sixth of the circumference of hexagonally laid wires. Ours: the gap's
 * filling, and gaps that are spread evenly from touching to twice their mean width. */
double cw_lay_capacitance(const struct cw_lay *lay);

/** Capacitance in farad between the ends of a winding whose layers are wound to and fro:
 * (4/3) C_layer (n - 1)/n^2 with n layers and C_layer between two of them (E. C. Snelling, Soft
 * Ferrites, 1969: energy of the linear voltage between layers; from memory).
 * \param turns        of the winding
 * \param layers       number of layers, need not be whole; below 2 counts as 2
 * \param mean_turn    length of the mean turn, metre */
double cw_capacitance_winding(const struct cw_lay *lay, double turns, double layers, double mean_turn);

#ifdef __cplusplus
}
#endif
#endif
