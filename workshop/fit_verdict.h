/* SPDX-License-Identifier: ISC */
/** \file fit_verdict.h
 * Whether the circuit that was fitted to curves of an instrument is to be believed.
 *
 * A fit always ends somewhere. Where a curve states its errors, chi-squared judges; where it does not, the noise is
 * estimated from the curve itself, and nonsense that scatters would be explained by its own scatter: hence a ceiling
 * on the noise that is believed, a look at whether what is left goes one way over stretches of the curve, and whether
 * the parts that come out are those of a pickup at all.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_FIT_VERDICT_H
#define CW_FIT_VERDICT_H

#include "fit_figures.h"
#include "fit_request.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What is said of a fit, from the worst. All but the last two are doubts. */
enum cw_fit_verdict {
    CW_FIT_NOISY,    /**< a take has more noise than any usable one: nothing is told */
    CW_FIT_WRONG,    /**< another circuit */
    CW_FIT_STRANGE,  /**< it fits, with a part that no pickup has or far from its mark */
    CW_FIT_ONE_SIDE, /**< what is left of the curves goes one way over stretches of them: it is no noise */
    CW_FIT_LOOSE,    /**< less well than the noise lets expect */
    CW_FIT_EXPLAINED
};

/** Chi-squared over degrees of freedom from which a circuit is another one. */
#define CW_FIT_DOUBTED 3.0

/** The most noise that is believed, a share of the voltage behind 100 kohm: 34 dB under it. A take of 40 dB is a bad
 * one (our own choice). */
#define CW_FIT_NOISE_MOST 0.02

enum cw_fit_verdict cw_fit_verdict_of(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit);

/** Is a figure outside of what a preset can hold of a pickup? \return -1 below, 1 above, 0 within or not asked */
int cw_fit_strange(const struct cw_instrument_fit *fit, enum cw_told_id id);

/** How far a pot or the tone capacitor is from its mark, in tolerances; 0 where there is none.
 * \param id CW_TOLD_VOLUME_POT, CW_TOLD_TONE_POT or CW_TOLD_TONE_CAP */
double cw_fit_off_mark(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                       enum cw_told_id id);

#ifdef __cplusplus
}
#endif
#endif
