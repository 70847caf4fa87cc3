/* SPDX-License-Identifier: ISC */
/** \file measure_exciter.h
 * The response from an exciter coil to the jack at two loads, and its picture.
 */
#ifndef CW_MEASURE_EXCITER_H
#define CW_MEASURE_EXCITER_H

#include <stdbool.h>

#include "measure.h"
#include "measure_request.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Judge the takes by one another, write the result, and the picture where one is asked for.
 * \param ratio of each take that the request has
 * Reports and returns false where a take is not what it should be, or nothing can be written. */
bool cw_measure_exciter(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES]);

#ifdef __cplusplus
}
#endif
#endif
