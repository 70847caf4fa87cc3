/* SPDX-License-Identifier: ISC */
/** \file plot_curve.h
 * Puts the response of a candidate into a plot.
 */
#ifndef CW_PLOT_CURVE_H
#define CW_PLOT_CURVE_H

#include "curve.h"
#include "plot_model.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Add the level of \p curve, without a mark at its peak.
 * \return what was added; NULL where the plot is full. */
struct cw_plot_curve *cw_plot_curve_add(struct cw_plot *plot, const char *label, const struct cw_curve *curve,
                                        bool faint);

#ifdef __cplusplus
}
#endif
#endif
