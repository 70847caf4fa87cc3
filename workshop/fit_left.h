/* SPDX-License-Identifier: ISC */
/** \file fit_left.h
 * What a fitted circuit leaves of the curves: the noise that it shows, and whether noise is all that it is. Only the
 * fit's own files use it.
 *
 * Threading class: allocates; not the audio thread.
 */
#ifndef CW_FIT_LEFT_H
#define CW_FIT_LEFT_H

#include <stdbool.h>

#include "fit_problem.h"
#include "fit_request.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What the scatter of what is left shows of the curves' errors. \return false where memory ran out */
bool cw_fit_learn_noise(const struct cw_fit_problem *problem, const double *p, double noise[][CW_FIT_POINTS]);

/** Fill in chi-squared, noise and what goes one way. \return false where memory ran out */
bool cw_fit_judge(const struct cw_fit_problem *problem, const double *p, struct cw_instrument_fit *fit);

#ifdef __cplusplus
}
#endif
#endif
