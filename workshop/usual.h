/* SPDX-License-Identifier: ISC */
/** \file usual.h
 * Values that parts are sold in and that people say: whole metres of cable, the usual pots,
 * capacitors of a series. A control that is dragged near one catches it.
 *
 * Threading class: pure functions, any thread.
 */
#ifndef CW_USUAL_H
#define CW_USUAL_H

#include <stdbool.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The usual value nearest to a place on a control's slider (control.h).
 * Cable in whole metres; volume and tone in whole numbers; pots of 250k, 300k, 500k and 1M (common practice, no
 * source); capacitors and resistors of the series E12 (IEC 60063); shares and percentages in fives.
 * \param share place, 0 to 1
 * \param reach how far from it, in the same measure
 * \param value the usual value; left alone where there is none in reach
 * \return whether there is one in reach. */
bool cw_usual_near(const struct cw_param_info *info, double share, double reach, double *value);

#ifdef __cplusplus
}
#endif
#endif
