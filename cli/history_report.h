/* SPDX-License-Identifier: ISC */
/** \file history_report.h
 * Records of a database as tables and as text.
 */
#ifndef CW_HISTORY_REPORT_H
#define CW_HISTORY_REPORT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "record.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Which records are wanted; NULL for all. */
struct cw_history_filter {
    const char *spec, *spool, *winder, *serial;
};

/** What a line stands for. */
enum cw_history_by {
    CW_HISTORY_BY_SPEC,
    CW_HISTORY_BY_SPOOL,
    CW_HISTORY_BY_WINDER,
    CW_HISTORY_BY_DATE,
    CW_HISTORY_BYS
};
extern const char *const cw_history_by_word[CW_HISTORY_BYS];

/** Records that were picked up, in their order. Zeroed is empty. */
struct cw_history {
    struct cw_numbered_record {
        size_t number;
        struct cw_record record;
    } * item;
    size_t count, room;
};

bool cw_history_fits(const struct cw_history_filter *filter, const struct cw_record *record);

/** Reports and returns false where memory runs out. */
bool cw_history_keep(struct cw_history *history, size_t number, const struct cw_record *record);
void cw_history_free(struct cw_history *history);

/** A line for each design, spool, winder or day, in the order of their first. Reports and returns false where memory
 * runs out, as those below do. */
bool cw_history_print_groups(FILE *stream, const struct cw_history *history, enum cw_history_by by);
bool cw_history_print_coils(FILE *stream, const struct cw_history *history);
bool cw_history_print_csv(FILE *stream, const struct cw_history *history);

/** One record as the line of a journal, before the first of them a journal's first line. */
void cw_history_print_text(FILE *stream, const struct cw_records *records, const struct cw_record *record);

#ifdef __cplusplus
}
#endif
#endif
