/* SPDX-License-Identifier: ISC */
/** \file fit_report.h
 * What is said of a fit to readings from a bench.
 */
#ifndef CW_FIT_REPORT_H
#define CW_FIT_REPORT_H

#include <stdio.h>

#include "calibrate.h"
#include "known.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Print what was asked for and not met, a doubt of the model, and how far the fitted values may be out.
 * \param known what the readings leave open of the fitted setup */
void cw_fit_print(const struct cw_setup *fitted, const struct cw_known *known, const struct cw_fit *fit, FILE *stream);

#ifdef __cplusplus
}
#endif
#endif
