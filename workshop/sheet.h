/* SPDX-License-Identifier: ISC */
/** \file sheet.h
 * What a winder far away works from: a sealed design as rows of a sheet, for paper, text and spreadsheet alike.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_SHEET_H
#define CW_SHEET_H

#include <stddef.h>

#include "seal.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Parts of a sheet, in its order. */
enum cw_sheet_section {
    CW_SHEET_TITLE,
    CW_SHEET_WINDING,
    CW_SHEET_PARTS,
    CW_SHEET_SPLIT,
    CW_SHEET_LIMITS,
    CW_SHEET_TEMPERATURE,
    CW_SHEET_CHECKS,
    CW_SHEET_SECTIONS
};

/** Heading of a section and of its two columns of values; "" for a column that is not there. Static. */
struct cw_sheet_heading {
    const char *title, *first, *second;
};
extern const struct cw_sheet_heading cw_sheet_heading[CW_SHEET_SECTIONS];

/** One row. A text without a name goes over the whole width; blanks to be filled in are underlines. */
struct cw_sheet_row {
    enum cw_sheet_section section;
    char name[48], first[200], second[48];
};

enum { CW_SHEET_ROWS = 64 };

struct cw_sheet {
    size_t count;
    struct cw_sheet_row row[CW_SHEET_ROWS];
};

/** Readings are taken with meters that are this good, of 1: our own choice, printed on the sheet. */
#define CW_METER_RESISTANCE 0.005
#define CW_METER_INDUCTANCE 0.01
#define CW_METER_RESONANCE 0.01

/** What is kept beside the design when the sheet is printed: who holds it against the paper later sees whether any of
 * it was changed or cut off. */
struct cw_sheet_kept {
    size_t entries, readings;                 /**< of a journal, and of a database of readings */
    const char *journal_head, *readings_head; /**< their last digests; NULL where there is none */
};

/** Fill a sheet. \param sealed the seal holds; else the sheet says that it does not, large */
void cw_sheet_fill(const struct cw_seal *seal, bool sealed, const struct cw_sheet_kept *kept, struct cw_sheet *sheet);

/** What stands large over the sheet: the status, or that it is not sealed. Static or of the seal. */
const char *cw_sheet_status(const struct cw_seal *seal, bool sealed);

#ifdef __cplusplus
}
#endif
#endif
