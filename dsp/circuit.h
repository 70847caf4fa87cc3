/* SPDX-License-Identifier: ISC */
/** \file circuit.h
 * The network from the string's EMF to the amplifier's input, solved exactly.
 *
 * Topology (so that any circuit simulator can check it):
 * - a coil is, in series, EMF, resistance and inductor; the inductor is, in series, the inductance that loses
 *   nothing and the branches of the core, an inductance with a resistance across it each; the loss resistor
 *   stands across the inductor, with the conductance of the core's tail (coil.h), the capacitance across the whole
 *   coil;
 * - the EMF falls as the core takes inductance away: with the matrix L(s) of the inductors, open coils without
 *   loss resistors give L(s) L(0)^-1 e. What is taken off stands in series with the inductor, inside loss and tail;
 * - two coils in series stand from hot to the junction (coil one) and from the junction to earth
 *   (coil two), the inductances that lose nothing coupled; two in parallel both stand from hot to earth;
 * - a split changes coil two itself where its winding is tapped, and has its parts across what
 *   stays of it (dsp/split_kinds.def); where coil one is the one reduced, the two coils change places
 *   in this;
 * - volume control from hot to the wiper to earth; treble bleed from hot to the wiper;
 *   tone control from hot, or from the wiper, to earth;
 * - cable, input capacitance and input resistance from the wiper to earth. The output is the
 *   wiper's voltage.
 *
 * Threading class: pure functions, any thread, audio included; bounded time, no allocation.
 */
#ifndef CW_CIRCUIT_H
#define CW_CIRCUIT_H

#include "coil.h"
#include "setup.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Most poles and zeros of H(s). Poles: a capacitance, an inductance and two branches of each coil, the capacitors
 * of a split, the tone, the bleed and the cable. Zeros: two fewer, as the string reaches the amplifier through a
 * coil's capacitance and the cable's at the least. Without loss resistors across the inductors it is one fewer. */
enum { CW_CIRCUIT_POLES_MAX = 12, CW_CIRCUIT_ZEROS_MAX = 10 };

/** What drives the network. */
enum cw_drive {
    CW_DRIVE_STRING,   /**< both EMFs as they are: the signal */
    CW_DRIVE_HUM,      /**< the EMF of the coil reduced (else of coil two) reversed: a uniform stray field */
    CW_DRIVE_ONE_COIL, /**< the coil that stays alone, the other out of the loop: what hum is compared with */
    CW_DRIVE_UNSPLIT   /**< the signal with the split off: what the level is compared with */
};

/** Share of a control's track from earth to the wiper at rotation \p x in 0..1, for a share \p half (0..0.5) at
 * half rotation; 0.5 is linear. Tracks that are sold as logarithmic are two straight pieces that meet at half
 * rotation (common practice, no source); exponential is (b^x - 1)/(b - 1), b = (1/half - 1)^2. */
double cw_circuit_track(enum cw_track track, double x, double half);

/** H(s): voltage at the wiper over the EMF of the reference coil.
 * \param setup clean values (see cw_param_clean())
 * \param pickup the coils of that setup, from cw_coil_solve() */
void cw_circuit_transfer(const struct cw_setup *setup, const struct cw_pickup *pickup, enum cw_drive drive,
                         struct cw_transfer *h);

/** Impedance in ohm at the leads of the pickup, split as set, nothing connected. */
void cw_circuit_impedance(const struct cw_setup *setup, const struct cw_pickup *pickup, struct cw_transfer *z);

/** DC resistance in ohm at the leads, split as set. */
double cw_circuit_dc_resistance(const struct cw_setup *setup, const struct cw_pickup *pickup);

/** Inductance in henry at the leads at \p hz, with a tapped split as set; split parts and capacitance
 * are left out. */
double cw_circuit_lead_inductance(const struct cw_setup *setup, const struct cw_pickup *pickup, double hz);

#ifdef __cplusplus
}
#endif
#endif
