/* SPDX-License-Identifier: ISC */
/** \file measure_jig.h
 * The impedance at the jack from the takes of the jig: what they say of one another, the curve and its picture.
 */
#ifndef CW_MEASURE_JIG_H
#define CW_MEASURE_JIG_H

#include <stdbool.h>

#include "measure.h"
#include "measure_request.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Judge the takes by one another, write the result, and the picture where one is asked for.
 * \param ratio of each take that the request has
 * Reports and returns false where a take is not what it should be, or nothing can be written. */
bool cw_measure_jig(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES]);

#ifdef __cplusplus
}
#endif
#endif
