/* SPDX-License-Identifier: ISC */
/** \file day.h
 * Days as they are written down.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_DAY_H
#define CW_DAY_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Whether a text is a day of the calendar as ISO 8601 writes it, "2026-11-26". */
bool cw_date_is(const char *text);

#ifdef __cplusplus
}
#endif
#endif
