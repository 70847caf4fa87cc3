/* SPDX-License-Identifier: ISC */
/** \file seal.h
 * A design as it was released: one exact text under a numbered schema, whose SHA-256 is its fingerprint.
 *
 * The text is lines of UTF-8 that end in LF, in this order: `coilwright seal 1`; `parameter SYMBOL VALUE UNIT`, every
 * one of the schema, defaults too, as a host stores it; `limit`s of the bench readings; `figure`s as text; program,
 * title, revision, status, date, reason; the SHA-256 of what decided it and the fingerprint of the revision before, or
 * `-`; and `fingerprint`, of all lines before. Each text has a word in it, the date is a day of the calendar. The
 * fingerprint beside the text proves nothing against one who edits both: it is to be held against paper or a signature.
 * Where it was noted in a journal, `journal COUNT HEAD` follows: the number and chain of its own entry. That line
 * stands beside the seal, and the fingerprint says nothing of it.
 *
 * Threading class: pure functions, any thread; no allocation. Expects the C locale's decimal point.
 */
#ifndef CW_SEAL_H
#define CW_SEAL_H

#include <stdbool.h>
#include <stddef.h>

#include "acceptance.h"
#include "coil_limits.h"
#include "fingerprint.h"
#include "revision.h"
#include "seal_schema.h"
#include "setup.h"
#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Figures that a seal holds. */
enum cw_seal_figure {
    CW_SEAL_RESISTANCE,
    CW_SEAL_INDUCTANCE,
    CW_SEAL_CAPACITANCE,
    CW_SEAL_UNLOADED,
    CW_SEAL_BENCH, /**< resonance in the bench's load */
    CW_SEAL_RESONANCE,
    CW_SEAL_PEAK_HZ,
    CW_SEAL_PEAK,
    CW_SEAL_EMF,
    CW_SEAL_FIGURES
};

/** What is printed of each: five digits, dB to three decimals. Strings are static. */
struct cw_seal_figure_info {
    const char *name, *unit, *words;
};
extern const struct cw_seal_figure_info cw_seal_figure_info[CW_SEAL_FIGURES];

/** The limits that it holds, by reading. Strings are static. */
extern const struct cw_seal_figure_info cw_seal_limit_info[CW_BENCH_READINGS];

/** How far a figure that is worked out anew may be off one that is sealed: libraries differ in last digits, no more.
 * Of 1, and in dB. */
#define CW_SEAL_TOLERANCE 2e-4
#define CW_SEAL_TOLERANCE_DB 2e-3
/** The same of a limit, which is printed to four digits. */
#define CW_SEAL_TOLERANCE_LIMIT 1e-3

enum { CW_SEAL_LINE = 512, CW_SEAL_TEXT = CW_SCHEMA_TEXT + 8 * CW_SEAL_LINE, CW_SEAL_DATE = 11 };

/** A seal. Texts are in one line. */
struct cw_seal {
    struct cw_setup setup;
    struct cw_limits limit[CW_BENCH_READINGS];
    double figure[CW_SEAL_FIGURES];
    char program[24], title[256], revision[CW_REVISION_TEXT], status[12], date[CW_SEAL_DATE], because[400];
    char decided[CW_SHA256_TEXT], before[CW_SHA256_TEXT]; /**< "-" for nothing */
    char fingerprint[CW_SHA256_TEXT];
    size_t journal_count; /**< entries of the journal with its own; 0: it was noted in none */
    char journal_head[CW_SHA256_TEXT];
    bool holds; /**< of one that was read: the fingerprint is that of the text */
};

/** Why a text is no seal. */
struct cw_seal_fault {
    unsigned line;
    char why[CW_SEAL_LINE];
};

/** Work the figures of a setup out. */
void cw_seal_figures(const struct cw_setup *setup, double figure[CW_SEAL_FIGURES]);

/** Where the limits are from, in words: computed until a coil of the design was measured. Never NULL. */
const char *cw_seal_limits_words(const struct cw_seal *seal);

/** The text of a seal, whose fingerprint is set; with the line of its journal, where it has one. \return its length */
size_t cw_seal_print(struct cw_seal *seal, char text[CW_SEAL_TEXT]);

/** The line that says where it was noted, to follow the text. \return text */
const char *cw_seal_journal_line(const struct cw_seal *seal, char text[CW_SEAL_LINE]);

/** Read one; what the schema does not know stands at its default. \return false where it is none */
bool cw_seal_read(const char *text, size_t length, struct cw_seal *seal, struct cw_seal_fault *fault);

/** Whether a figure is the one that was sealed, within what libraries may differ by. */
bool cw_seal_same(enum cw_seal_figure figure, double now, double sealed);

/** Work the limits of a setup out, as they are sealed: by the usual scatter of coils. */
void cw_seal_limits(const struct cw_setup *setup, struct cw_limits limit[CW_BENCH_READINGS]);

/** Whether limits are those that were sealed, within what their digits hold. */
bool cw_seal_same_limits(const struct cw_limits *now, const struct cw_limits *sealed);

/** A figure as it is printed. \return text */
const char *cw_seal_figure_print(enum cw_seal_figure figure, double value, char text[CW_VALUE_TEXT]);

/** Whether a fingerprint begins with what stands on paper: 16 or more of its digits, in any case, with blanks, colons
 * or hyphens between. \param is_one false where the text is none at all */
bool cw_seal_matches(const char *fingerprint, const char *paper, bool *is_one);

#ifdef __cplusplus
}
#endif
#endif
