/* SPDX-License-Identifier: ISC */
/** \file record.h
 * A coil's readings as they are kept for years: one exact line, chained to the record before by its digest.
 *
 * The line is an entry of a journal (journal.h): number, time, `reading`, then every field in its order, empty where
 * nothing was read; the chain is that of a journal. A database that keeps records and a journal that was written out
 * of it therefore have one head.
 *
 * Threading class: pure functions, any thread; no allocation. Expects the C locale's decimal point.
 */
#ifndef CW_RECORD_H
#define CW_RECORD_H

#include <stdbool.h>
#include <stddef.h>

#include "acceptance.h"
#include "coil_limits.h"
#include "inspection.h"
#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_RECORD_WORD = 64, CW_RECORD_TITLE = 256, CW_RECORD_LINE = 8192 };

/** One coil, once. Texts are in one line of UTF-8; "" for what is not known. */
struct cw_record {
    char recorded[21]; /**< when it came into the database, ISO 8601, UTC */
    char date[11];     /**< when it was read */
    char title[CW_RECORD_TITLE], revision[4], fingerprint[CW_SHA256_TEXT]; /**< of the design's seal */
    char spool[CW_RECORD_WORD], winder[CW_RECORD_WORD], serial[CW_RECORD_WORD];
    struct cw_coil_reading reading;
    double load_farad, load_ohm;         /**< in which the resonance was read */
    double corrected[CW_BENCH_READINGS]; /**< to 20 degrees C, 120 Hz, series mode; NAN where not read */
    double predicted[CW_BENCH_READINGS]; /**< what the design said before; both as cw_record_figures() has them */
    enum cw_verdict verdict;
};

/** How a verdict is written down. Static. */
extern const char *const cw_verdict_word[3];

/** Number and chain of the last of some records. Begin with cw_records_none(). */
struct cw_records {
    size_t count;
    char head[CW_SHA256_TEXT];
};

/** Nothing yet: 0, and 64 zeros. */
struct cw_records cw_records_none(void);

/** Computed figures as a record keeps them: seven digits, so that the last bits of a machine's mathematical functions
 * do not give the same readings another chain there. NAN stays. */
void cw_record_figures(const double computed[CW_BENCH_READINGS], double kept[CW_BENCH_READINGS]);

/** The line of record \p number, without its chain. \return its length; 0 where it does not fit */
size_t cw_record_print(const struct cw_record *record, size_t number, char line[CW_RECORD_LINE]);

/** Go on by one record: its chain becomes the head. \return false where its line does not fit; nothing is changed */
bool cw_records_follow(struct cw_records *records, const struct cw_record *record);

/** Whether a head begins with what an earlier print says: 16 or more of its digits. */
bool cw_head_matches(const char *head, const char *digits);

#ifdef __cplusplus
}
#endif
#endif
