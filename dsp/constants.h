/* SPDX-License-Identifier: ISC */
/** \file constants.h
 * Numbers of mathematics and nature that more than one file needs.
 */
#ifndef CW_CONSTANTS_H
#define CW_CONSTANTS_H

#include "exact.h"

#define CW_PI 3.14159265358979323846
#define CW_TAU (2.0 * CW_PI)

/** Magnetic constant, H/m: the rounded value of before 2019, from which today's differs by 1e-9. */
#define CW_MU0 (4e-7 * CW_PI)

/** Sample rates that the filter is made for, Hz. */
enum { CW_RATE_MIN = 8000, CW_RATE_MAX = 384000 };

#endif
