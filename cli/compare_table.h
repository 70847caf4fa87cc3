/* SPDX-License-Identifier: ISC */
/** \file compare_table.h
 * Candidates against one of them: what each would measure, by how much it differs, whether it is heard.
 */
#ifndef CW_COMPARE_TABLE_H
#define CW_COMPARE_TABLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "candidate.h"

#ifdef __cplusplus
extern "C" {
#endif

/** How the table is written. */
enum cw_compare_form {
    CW_COMPARE_NARROW, /**< what is heard, in up to 100 columns; what does not fit stands in lines below */
    CW_COMPARE_WIDE,   /**< every value, aligned */
    CW_COMPARE_MARKDOWN,
    CW_COMPARE_CSV
};

/** Print the table. A candidate whose turns do not fit its former is a row that says so.
 * \param against index of the candidate that the others are held against; its turns fit
 * \param ranked  that one first, then the others by how far they are from it by ear (audible.h), the nearest first;
 *                else as they stand in the list
 * Reports and returns false where memory runs out. */
bool cw_compare_print(FILE *stream, const struct cw_candidates *candidates, size_t against, enum cw_compare_form form,
                      bool ranked);

#ifdef __cplusplus
}
#endif
#endif
