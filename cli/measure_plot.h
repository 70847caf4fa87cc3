/* SPDX-License-Identifier: ISC */
/** \file measure_plot.h
 * Pictures of what was measured, from the points of a take's ratio.
 */
#ifndef CW_MEASURE_PLOT_H
#define CW_MEASURE_PLOT_H

#include <stdbool.h>
#include <stddef.h>

#include "measure.h"
#include "measure_request.h"
#include "plot_model.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Fill a curve, straight between the ratio's points on logarithmic axes.
 * \param log_value natural logarithms at the ratio's frequencies
 * \param count     2 or more of them
 * \param decibels  the curve is in dB, else in the values themselves */
void cw_measure_plot_fill(struct cw_plot_curve *curve, const double log_value[CW_RATIO_POINTS], size_t count,
                          bool decibels);

/** Write the plot where the request says, and free it. Reports and returns false on failure. */
bool cw_measure_plot_save(const struct cw_measure_request *request, struct cw_plot *plot);

#ifdef __cplusplus
}
#endif
#endif
