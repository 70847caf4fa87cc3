/* SPDX-License-Identifier: ISC */
/** \file fit_search.h
 * Where the search for an instrument's circuit begins, and the search. Only the fit's own files use it.
 *
 * Threading class: allocates; not the audio thread.
 */
#ifndef CW_FIT_SEARCH_H
#define CW_FIT_SEARCH_H

#include <stdbool.h>

#include "fit_problem.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The values that meet a problem best.
 * \param from begin at these values but for \p other, which that form has not; NULL: at what the curves show
 * \param sum of squares there
 * \return false where memory ran out or nothing finite was found */
bool cw_fit_search(const struct cw_fit_problem *problem, const double *from, enum cw_fit_value other, double *p,
                   double *sum);

#ifdef __cplusplus
}
#endif
#endif
