/* SPDX-License-Identifier: ISC */
/** \file inspect_next.h
 * What the design said before, what the bench says of the coils as wound, and the design calibrated by them.
 */
#ifndef CW_INSPECT_NEXT_H
#define CW_INSPECT_NEXT_H

#include <stdbool.h>
#include <stdio.h>

#include "inspected.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Print prediction, bench and calibration. Reports and returns false where memory runs out. */
bool cw_next_print(FILE *stream, const struct cw_inspected *batch);

/** Write the calibrated design as a candidate. Reports and returns false on failure. */
bool cw_next_save(const struct cw_inspected *batch, const char *path, bool force);

#ifdef __cplusplus
}
#endif
#endif
