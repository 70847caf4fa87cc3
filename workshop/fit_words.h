/* SPDX-License-Identifier: ISC */
/** \file fit_words.h
 * What a fit to a measured coil (see calibrate.h) comes to, in words: what was asked and what is met, how
 * sure the readings make it, and whether it is to be believed.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_FIT_WORDS_H
#define CW_FIT_WORDS_H

#include <stddef.h>

#include "calibrate.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_FIT_LINES = 8, CW_FIT_TEXT = 200 };

/** A line for each quantity that was measured: "resistance: read 3.92 kΩ at 24 °C; the fit reads 3.92 kΩ".
 * \return number of lines */
size_t cw_fit_met(const struct cw_measurement *measured, const struct cw_setup *fitted,
                  char line[CW_FIT_LINES][CW_FIT_TEXT]);

/** A line for each value that was fitted, with what the readings' own errors do to it (two standard
 * deviations): "winding capacitance 92 pF ±29 %". Errors of common instruments (resistance 0.5 %,
 * inductance 1 %, frequency 1 %, height 0.3 dB; common practice, no source), each moved alone and added as
 * squares. \param before the setup that was fitted \return number of lines */
size_t cw_fit_sure(const struct cw_measurement *measured, const struct cw_setup *before, const struct cw_setup *fitted,
                   char line[CW_FIT_LINES][CW_FIT_TEXT]);

/** A line for each factor of calibration that lies outside what the model is good for (one and a half times
 * cw_coil_uncertainty(), three standard deviations), and one that asks "two coils?" where another number or
 * connection of coils would read as measured. \return number of lines; 0 where there is nothing to doubt */
size_t cw_fit_doubts(const struct cw_measurement *measured, const struct cw_setup *fitted,
                     char line[CW_FIT_LINES][CW_FIT_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
