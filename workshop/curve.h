/* SPDX-License-Identifier: ISC */
/** \file curve.h
 * What is drawn and tabled of a candidate, by the same functions that the sound is made with.
 */
#ifndef CW_CURVE_H
#define CW_CURVE_H

#include <stdbool.h>

#include "circuit.h"
#include "setup.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Response of a setup, or its ratio to a recorded-through setup, and impedance at the leads. */
struct cw_curve {
    struct cw_transfer response, recorded, impedance;
    bool divided; /**< recorded is divided out; a silent recording is not */
};

/** \param recorded NULL for nothing */
void cw_curve_init(struct cw_curve *curve, const struct cw_setup *setup, const struct cw_setup *recorded);

/** Level in dB; -inf where the candidate is silent. */
double cw_curve_db(const struct cw_curve *curve, double hz);

/** Phase in degrees, -180 to 180; 0 where the candidate is silent. */
double cw_curve_degrees(const struct cw_curve *curve, double hz);

/** Impedance at the leads: magnitude in ohm, phase in degrees. */
double cw_curve_ohm(const struct cw_curve *curve, double hz);
double cw_curve_ohm_degrees(const struct cw_curve *curve, double hz);

#ifdef __cplusplus
}
#endif
#endif
