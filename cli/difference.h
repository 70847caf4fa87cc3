/* SPDX-License-Identifier: ISC */
/** \file difference.h
 * What one design changes against another: in words, in figures, and to the ear.
 */
#ifndef CW_DIFFERENCE_H
#define CW_DIFFERENCE_H

#include <stdbool.h>
#include <stdio.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Controls that differ by what a host would store. */
int cw_differences(const struct cw_setup *from, const struct cw_setup *to);

/** Print them, the figures that follow and whether it is heard. Reports and returns false where memory runs out. */
bool cw_difference_print(FILE *stream, const struct cw_setup *from, const struct cw_setup *to);

#ifdef __cplusplus
}
#endif
#endif
