/* SPDX-License-Identifier: ISC */
/** \file series.h
 * Preferred values of resistors and capacitors: E12, E24 and E96 of IEC 60063.
 *
 * Pure functions.
 */
#ifndef CW_SERIES_H
#define CW_SERIES_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** The series. */
enum cw_series { CW_SERIES_E12, CW_SERIES_E24, CW_SERIES_E96, CW_SERIES_COUNT };

/** "E12" ... */
const char *cw_series_name(enum cw_series series);

/** Read a name, in either case. \return false where it is none; \p series is left alone */
bool cw_series_parse(const char *text, enum cw_series *series);

/** The largest preferred value that is not above \p value, and the smallest not below it.
 * \param value above 0 and finite, in any unit */
double cw_series_below(enum cw_series series, double value);
double cw_series_above(enum cw_series series, double value);

#ifdef __cplusplus
}
#endif
#endif
