/* SPDX-License-Identifier: ISC */
/** \file split_report.h
 * The answer of the split solver as the program prints it.
 */
#ifndef CW_SPLIT_REPORT_H
#define CW_SPLIT_REPORT_H

#include <stdbool.h>
#include <stdio.h>

#include "split_solve.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The whole answer for people. Reports and returns false on failure. */
bool cw_split_print(FILE *stream, const char *label, const struct cw_split_wish *wish,
                    const struct cw_split_answer *answer, bool wide);

/** The same as CSV: one row each for unsplit, one coil alone and every solution. */
bool cw_split_print_csv(FILE *stream, const struct cw_split_answer *answer);

#ifdef __cplusplus
}
#endif
#endif
