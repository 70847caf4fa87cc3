/* SPDX-License-Identifier: ISC */
/** \file calibrate.h
 * Bring a setup into line with one coil on the bench.
 *
 * A coil from its winding gets calibration factors, so that a variant of it (another gauge, another
 * magnet) is predicted from the coil that is known; a coil from measured values gets the values
 * themselves. Everything is meant at the leads, with the coils connected as the setup has them and
 * the split off.
 */
#ifndef CW_CALIBRATE_H
#define CW_CALIBRATE_H

#include <stdbool.h>
#include <stddef.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What was measured; NAN stands for "not measured". */
struct cw_measurement {
    double resistance; /**< ohm, DC */
    double celsius;    /**< temperature of the coil then */
    double inductance; /**< henry, as the meter shows it in series mode */
    double meter_hz;   /**< the meter's test frequency */
    double resonance;  /**< hertz: peak of the impedance with nothing connected, of the response with a load */
    double peak;       /**< dB, height of the response's peak over its level at low frequency */
    double load_farad; /**< connected for resonance and peak; 0 for nothing */
    double load_ohm;   /**< connected for resonance and peak; INFINITY for nothing */
};

/** Nothing measured: 20 degrees C, 120 Hz, no load. */
void cw_measurement_init(struct cw_measurement *measurement);

/** Take one QUANTITY=VALUE[@CONDITION]: resistance=4.7k@24 (degrees C), inductance=1.75@1k (Hz),
 * resonance=3.1k@500pF,1M (load), peak=9.
 * \param why on failure: what was expected and found */
bool cw_measurement_add(struct cw_measurement *measurement, const char *text, char *why, size_t why_size);

/** Whether anything was measured. */
bool cw_measurement_any(const struct cw_measurement *measurement);

/** Solve for the values that make the model measure the same:
 * - resistance at 20 degrees C by dsp/wire.h's temperature coefficient;
 * - inductance at 120 Hz: the meter shows L/(1 - (f/f_r)^2) with f_r the unloaded resonance
 *   (textbook parallel resonance), and the core's part falls with frequency by dsp/coil.h;
 * - capacitance so that the resonance stands where it was measured;
 * - loss so that it is as high as measured.
 * What was not measured is left alone.
 * \param why on failure: what would be out of range
 * \return false where no value in range does it; the setup is then unchanged. */
bool cw_calibrate(const struct cw_measurement *measurement, struct cw_setup *setup, char *why, size_t why_size);

#ifdef __cplusplus
}
#endif
#endif
