/* SPDX-License-Identifier: ISC */
/** \file fit_exciter.h
 * The response from an exciter coil, as coilwright measure --exciter writes it, in a fit: its two loads are one more
 * take of the impedance, and what the circuit leaves of it is how the EMF falls through core and cover.
 */
#ifndef CW_FIT_EXCITER_H
#define CW_FIT_EXCITER_H

#include <stdbool.h>
#include <stdio.h>

#include "exciter.h"
#include "fit_take.h"
#include "instrument.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Read FILE, or FILE@CONTROLS as cw_fit_take_read() does; \p take gets the impedance of instrument and load together.
 * Reports and returns false on failure. */
bool cw_fit_exciter_read(const char *name, struct cw_exciter *exciter, struct cw_fit_take *take);

/** The fall of the EMF over frequency, with the error of the takes. */
void cw_fit_exciter_print(const struct cw_exciter *exciter, const struct cw_instrument *instrument,
                          struct cw_standing standing, FILE *stream);

#ifdef __cplusplus
}
#endif
#endif
