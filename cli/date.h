/* SPDX-License-Identifier: ISC */
/** \file date.h
 * The date that goes into files.
 */
#ifndef CW_DATE_H
#define CW_DATE_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_DATE_TEXT = 11, CW_NOW_TEXT = 21 };

/** Today in UTC, "2026-11-26"; or the day of SOURCE_DATE_EPOCH (seconds since 1970), so that a file can be made again
 * to the byte. Reports and returns false where that is set and is no such number. */
bool cw_today(char text[CW_DATE_TEXT]);

/** The same with the time: "2026-11-26T02:50:11Z". */
bool cw_now(char text[CW_NOW_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
