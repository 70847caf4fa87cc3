/* SPDX-License-Identifier: ISC */
/** \file instrument_fit.h
 * From impedance curves of one instrument, with its controls in several places, to its circuit: all curves together,
 * by least squares, with what is known beforehand of the parts.
 *
 * A curve counts by G = (Z - Z0)/(Z + Z0), Z0 the jig's series resistor: there the noise of a take is the same at
 * every impedance, and a fit is not drawn aside where it is large. What is known of a part is a reading of it.
 * Values that no take tells, and forms that real pickups take within the model's misfit, are left free and held by
 * wide expectations, so that what is told does not rest on the model's form.
 *
 * Threading class: pure functions that allocate; not the audio thread; some tenths of a second.
 */
#ifndef CW_INSTRUMENT_FIT_H
#define CW_INSTRUMENT_FIT_H

#include <stdbool.h>

#include "fit_request.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Fit. \return false where memory ran out, or no circuit of this kind comes anywhere near */
bool cw_instrument_fit_of(const struct cw_instrument_request *request, struct cw_instrument_fit *fit);

#ifdef __cplusplus
}
#endif
#endif
