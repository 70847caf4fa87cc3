/* SPDX-License-Identifier: ISC */
/** \file fit_told.h
 * What a fit tells of a closed instrument, in words and as a table; its residuals as a picture.
 */
#ifndef CW_FIT_TOLD_H
#define CW_FIT_TOLD_H

#include <stdbool.h>
#include <stdio.h>

#include "fit_request.h"
#include "fit_take.h"
#include "instrument.h"
#include "instrument_preset.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Everything that was asked, and the answer. */
struct cw_fitting {
    struct cw_fit_take take[CW_FIT_TAKES];
    struct cw_instrument_take asked[CW_FIT_TAKES];
    struct cw_instrument_request request;
    struct cw_instrument_fit fit;
    struct cw_reduced reduced;
    struct cw_jack_load load; /**< behind which responses are told */
    double celsius;           /**< of the takes */
};

void cw_fit_told_print(const struct cw_fitting *fitting, FILE *stream);

/** figure,value,low,high,by its mark only,by form only; SI units, dB. */
void cw_fit_told_csv(const struct cw_fitting *fitting, FILE *stream);

/** Measured over fitted magnitude of every take, dB. Reports and returns false on failure. */
bool cw_fit_told_plot(const struct cw_fitting *fitting, const char *path, bool force);

#ifdef __cplusplus
}
#endif
#endif
