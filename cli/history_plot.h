/* SPDX-License-Identifier: ISC */
/** \file history_plot.h
 * Records of a database as charts.
 */
#ifndef CW_HISTORY_PLOT_H
#define CW_HISTORY_PLOT_H

#include <stdbool.h>

#include "history_report.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Individuals and moving ranges of how far each reading is off its design, so that small orders of different designs
 * share a chart. Reports and returns false on failure, also where there are fewer than two readings of every kind. */
bool cw_history_plot(const struct cw_history *history, const char *path, bool force);

#ifdef __cplusplus
}
#endif
#endif
