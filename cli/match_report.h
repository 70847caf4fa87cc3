/* SPDX-License-Identifier: ISC */
/** \file match_report.h
 * What a search for windable specs found, as tables.
 */
#ifndef CW_MATCH_REPORT_H
#define CW_MATCH_REPORT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "match_run.h"
#include "wind_rank.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Name of a spec in few words: "4213 turns of AWG 43, dual-coil bobbin, steel slugs". \return text */
const char *cw_match_label(const struct cw_wind_candidate *row, char *text, size_t size);

/** Print list and notes, or the list as CSV. Reports and returns false where memory runs out.
 * \param target its name, NULL where there are only wishes */
bool cw_match_print(FILE *stream, const struct cw_match *match, const char *target, bool csv);

#ifdef __cplusplus
}
#endif
#endif
