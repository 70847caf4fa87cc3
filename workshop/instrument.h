/* SPDX-License-Identifier: ISC */
/** \file instrument.h
 * The circuit of a closed instrument as a fit knows it: one pickup, its volume and tone control; the impedance at
 * its jack, the response behind it.
 *
 * The pickup is R + s L(s), a leak across the inductor, a capacitance across the whole;
 * L(s) = La + Le/(1 + sqrt(s) Le/K + y/(1 + y/2/(1 + y/4))) + metal, y = s Le/R. Le beside K sqrt(s) is how a
 * conducting core acts where the skin effect rules (the semi-inductor of K. Thorborg and A. D. Unruh, JAES 56(9),
 * 2008, in another field). Below the skin effect a round rod loses less: where its time T is given, sqrt(s) Le/K is
 * 2 Le/(K sqrt(T)) (F(sT) - 1), F(x) = z J0(z)/(2 J1(z)), z^2 = -x, which tends to the same for large sT. R is what a
 * core with little of it costs: the continued fraction of a round rod's field (Abramowitz and Stegun 9.1.73) in three
 * terms, for the demagnetisation that alnico rods have. Metal is a closed turn that couples: an inductance with a
 * resistance across it.
 *
 * SI units. Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_INSTRUMENT_H
#define CW_INSTRUMENT_H

#include <stdbool.h>

#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A pickup and the parts around it. */
struct cw_instrument {
    double resistance;   /**< ohm, DC */
    double la, le;       /**< henry */
    double per_k, per_r; /**< 1/K, 1/R; 0 where there is none; a fit may put them slightly below */
    double skin_time;    /**< T, seconds: radius squared times permeability times conductivity; 0: sqrt(s) everywhere */
    double metal;        /**< henry */
    double metal_corner; /**< hertz */
    double leak;         /**< siemens across the inductor */
    double capacitance;  /**< farad */
    double loss_angle;   /**< tangent, of the capacitance's dielectric */
    double volume_pot, tone_pot; /**< ohm */
    double tone_cap;             /**< farad */
    double bleed_cap;            /**< farad, hot to wiper; 0: there is none */
    double bleed_resistor;       /**< ohm, in series with it */
    bool tone_after_volume;      /**< tone control at the wiper, not at the pickup */
};

/** Where the controls stand. */
struct cw_standing {
    bool leads;    /**< nothing but the pickup's own leads */
    double volume; /**< share of the volume track from earth to the wiper, 0..1 */
    double tone;   /**< share of the tone track that is in circuit, 0..1 */
};

/** Inductance with its loss as a negative imaginary part, henry; without the leak. */
struct cw_complex cw_instrument_inductance(const struct cw_instrument *instrument, double hz);

/** Conductance across the inductor that costs as much at \p hz as core, metal, leak and dielectric together,
 * siemens: no impedance tells them apart. */
double cw_instrument_loss(const struct cw_instrument *instrument, double hz);

/** What stands at the jack: cable, and the input behind it. */
struct cw_jack_load {
    double farad, ohm;
};

/** Impedance at the jack, or at the leads. */
struct cw_complex cw_instrument_impedance(const struct cw_instrument *instrument, struct cw_standing standing,
                                          double hz);

/** Impedance at the jack with what stands there in parallel. \param load of zero ohm: nothing */
struct cw_complex cw_instrument_loaded(const struct cw_instrument *instrument, struct cw_standing standing,
                                       struct cw_jack_load load, double hz);

/** Voltage at the jack over the pickup's EMF. The fall of the EMF itself through the core is no matter of the network
 * and is left out. \param standing with \c leads set the pickup without controls */
struct cw_complex cw_instrument_response(const struct cw_instrument *instrument, struct cw_standing standing,
                                         struct cw_jack_load load, double hz);

#ifdef __cplusplus
}
#endif
#endif
