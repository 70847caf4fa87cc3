/* SPDX-License-Identifier: ISC */
/** \file spread_report.h
 * What a spread says: tables for people, CSV for programs, a plot.
 */
#ifndef CW_SPREAD_REPORT_H
#define CW_SPREAD_REPORT_H

#include <stdbool.h>
#include <stdio.h>

#include "spread_run.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Print for people. \param label of each design \return false where memory ran out, after a message */
bool cw_spread_print(FILE *stream, const struct cw_spread_run *run, const char *const label[2]);

/** Print as CSV: a row for each figure of each design and of their difference. \return as above */
bool cw_spread_print_csv(FILE *stream, const struct cw_spread_run *run, const char *const label[2]);

/** Draw the responses between which 95 % lie. Reports and returns false on failure. */
bool cw_spread_plot(struct cw_spread_run *run, const char *const label[2], const char *path, bool force);

#ifdef __cplusplus
}
#endif
#endif
