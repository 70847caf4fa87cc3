/* SPDX-License-Identifier: ISC */
/** \file calibrate.h
 * Bring a setup into line with one coil on the bench.
 *
 * A coil from its winding gets calibration factors, so that a variant of it (another gauge, another
 * magnet) is predicted from the coil that is known; a coil from measured values gets the values
 * themselves. Everything is meant at the leads, with the coils connected as the setup has them and
 * the split off.
 *
 * Threading class: pure functions, any thread but the audio thread; some milliseconds.
 */
#ifndef CW_CALIBRATE_H
#define CW_CALIBRATE_H

#include "known.h"
#include "measurement.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A reading against the model that was fitted to it; in the reading's own unit. */
struct cw_reading {
    bool given;
    double asked, met; /**< NAN where not given */
    bool reached;      /**< met within a quarter of the reading's error */
};

/** What a fit says against the model. */
enum cw_doubt {
    CW_DOUBT_NONE,
    CW_DOUBT_TWO_COILS, /**< resistance and inductance of one coil fit two of it: one too many was measured */
    CW_DOUBT_ONE_COIL,  /**< those of two coils fit one of them */
    CW_DOUBT_OUTSIDE,   /**< a factor lies more than twice as far out as the model is uncertain */
    CW_DOUBTS
};

/** What became of the readings. */
struct cw_fit {
    struct cw_reading reading[CW_READINGS];
    enum cw_doubt doubt;         /**< CW_DOUBT_NONE for measured values */
    enum cw_reading_id furthest; /**< the reading whose factor lies furthest out; meaningful where there is a doubt */
    double factor;               /**< that factor, 1 for the model as it is */
};

/** Solve for the values that make the model measure the same:
 * - resistance at 20 degrees C by dsp/wire.h's temperature coefficient;
 * - inductance so that a meter in series mode shows the reading at its frequency: the imaginary part of the
 *   impedance over omega, in which the core's fall and the coil's capacitance have their part;
 * - capacitance so that the resonance stands where it was measured;
 * - loss so that it is as high as measured.
 * What was not measured is left alone; what no value in range meets is met as nearly as possible. */
void cw_calibrate(const struct cw_measurement *measurement, struct cw_setup *setup, struct cw_fit *fit);

/** Whether every reading that was given is met. */
bool cw_fit_reached(const struct cw_fit *fit);

/** What the readings leave open of the values of the fitted setup: each reading is moved by its error and by what the
 * model itself may be out there, either way, and fitted anew; what was not measured of a winding is moved by the
 * model's uncertainty. Of two ways that the model meets the larger counts. \param start the setup before the fit
 * \return false where a reading that is out so far is met neither way, or leaves more open than CW_KNOWN_SHIFT_MAX:
 *         then nothing is known */
bool cw_calibrate_known(const struct cw_measurement *measurement, const struct cw_setup *start, struct cw_known *known);

#ifdef __cplusplus
}
#endif
#endif
