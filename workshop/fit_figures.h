/* SPDX-License-Identifier: ISC */
/** \file fit_figures.h
 * What a fit tells of an instrument: figures with their intervals, and which take would tell more.
 *
 * Threading class: pure functions, of which the last allocates; not the audio thread.
 */
#ifndef CW_FIT_FIGURES_H
#define CW_FIT_FIGURES_H

#include <stdbool.h>

#include "fit_request.h"
#include "instrument.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What is told of the instrument. */
enum cw_told_id {
    CW_TOLD_RESISTANCE, /**< ohm */
    CW_TOLD_L_120,      /**< henry at 120 Hz */
    CW_TOLD_L_3K,       /**< henry at 3 kHz */
    CW_TOLD_LOSS,       /**< ohm across the inductance at 3 kHz */
    CW_TOLD_CAPACITANCE,
    CW_TOLD_VOLUME_POT,
    CW_TOLD_TONE_POT,
    CW_TOLD_TONE_CAP,
    CW_TOLD
};

/** A figure with its 95 % interval, the model's own misfit in it. */
struct cw_told {
    double value, low, high; /**< high is INFINITY where there is no upper end; value too, of a loss that is none */
    bool marked_only;        /**< the interval is that of the mark or wider than it is of use: the takes do not tell */
    bool by_form;            /**< a bolder model would quote half the interval or less, by its form alone */
};

/** One of the figures. \return false where the instrument has no such part */
bool cw_instrument_told(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                        enum cw_told_id id, struct cw_told *told);

/** Response in dB at a frequency with volume and tone at 10, or of the pickup without controls. */
struct cw_told cw_instrument_told_response(const struct cw_instrument_request *request,
                                           const struct cw_instrument_fit *fit, bool leads, struct cw_jack_load load,
                                           double hz);

/** The width, two standard deviations relative to the value (of the loss to its conductance), that a figure would
 * have after one more take as good as the first one. */
double cw_instrument_after(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                           const struct cw_instrument_take *more, enum cw_told_id id);

#ifdef __cplusplus
}
#endif
#endif
