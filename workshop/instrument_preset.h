/* SPDX-License-Identifier: ISC */
/** \file instrument_preset.h
 * From a fitted instrument to a setup of the core: its pickup by values at the leads, its controls.
 *
 * The core holds an inductor as two branches, a fit as La, Le, K and R; the setup's values are those that come
 * nearest, and by how much they miss is told.
 *
 * Threading class: pure functions that allocate; not the audio thread; some milliseconds.
 */
#ifndef CW_INSTRUMENT_PRESET_H
#define CW_INSTRUMENT_PRESET_H

#include "instrument.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What the reduction costs: the greatest errors, dB. */
struct cw_reduced {
    double impedance; /**< at the leads, 100 Hz to 20 kHz */
    double response;  /**< behind the instrument's controls at 10 and the setup's own cable, 50 Hz to 10 kHz */
};

/** Put the instrument into a clean setup: coil from measured values, one coil (the values are those at the leads,
 * however many there are), controls at 10; cable, input and what belongs to the string stay as they are in
 * \p setup. What a parameter cannot hold goes to the end of its range. */
struct cw_reduced cw_instrument_preset(const struct cw_instrument *instrument, struct cw_setup *setup);

#ifdef __cplusplus
}
#endif
#endif
