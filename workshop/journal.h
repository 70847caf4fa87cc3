/* SPDX-License-Identifier: ISC */
/** \file journal.h
 * A journal of decisions: plain text, an entry a line, each chained to the one before by its digest.
 *
 * The first line is `coilwright journal 1`. An entry is fields with tabs between: its number, the time (ISO 8601, UTC),
 * the command, `key=value` ..., and last `chain=` with SHA-256 of the chain before (64 zeros at first), LF, and the
 * line so far. What is changed, taken out or put in breaks the chain from there on; a tail that is cut off, or a chain
 * that is made anew, shows only against a count and head that stand elsewhere: print them.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_JOURNAL_H
#define CW_JOURNAL_H

#include <stdbool.h>
#include <stddef.h>

#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

#define CW_JOURNAL_FIRST "coilwright journal 1\n"

enum { CW_JOURNAL_WHY = 96 };

/** What a journal comes to. */
struct cw_journal {
    size_t count;              /**< entries that hold, from the first on */
    char head[CW_SHA256_TEXT]; /**< chain of the last of these */
    size_t line;               /**< of the first that does not hold; 0 where all do */
    size_t back;               /**< the first entry that is dated before the one before it; 0 for none */
    char time[21];             /**< of the last that holds, as it is written */
    char why[CW_JOURNAL_WHY];  /**< what is wrong with it */
};

/** Follow the chain. \param text of the whole file; an empty one is a journal without entries
 * \return whether all of it holds */
bool cw_journal_check(const char *text, size_t length, struct cw_journal *journal);

/** Bytes at the end of a journal that are no whole line, as a program leaves them that dies while it writes; 0 for none
 * and in a text that is no journal. */
size_t cw_journal_torn(const char *text, size_t length);

/** Whether entry \p number had the chain \p head: what an earlier print says.
 * \param head 16 or more of its digits */
bool cw_journal_had(const char *text, size_t length, size_t number, const char *head);

/** The chain of an entry. \param body the line up to its last tab, without it */
void cw_journal_chain(const char *head, const char *body, size_t length, char chain[CW_SHA256_TEXT]);

/** A value in one field: backslash, tab and line breaks are escaped as in C, what has no shape as escape.h has it.
 * What does not fit is cut. \return to */
const char *cw_journal_field(const char *value, char *to, size_t size);

#ifdef __cplusplus
}
#endif
#endif
