/* SPDX-License-Identifier: ISC */
/** \file results.h
 * The table of an audition.
 */
#ifndef CW_RESULTS_H
#define CW_RESULTS_H

#include <stdio.h>

#include "sounds.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The table of figures as CSV: one row for each sound. */
void cw_results_write(FILE *stream, const struct cw_audition *audition);

#ifdef __cplusplus
}
#endif
#endif
