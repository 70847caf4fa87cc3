/* SPDX-License-Identifier: ISC */
/** \file leads_table.h
 * How the values at the leads are shown by the program: tables, and lines on windings.
 */
#ifndef CW_LEADS_TABLE_H
#define CW_LEADS_TABLE_H

#include <stdbool.h>
#include <stdio.h>

#include "candidate.h"
#include "leads.h"
#include "setup.h"
#include "table.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Heading of a value's column, with its unit in CSV. */
const char *cw_lead_heading(enum cw_lead_id id, bool csv);

/** Add one value to a table: "4.69 kΩ ±9 %"; in CSV the bare number in ohm, henry, farad, hertz, dB. */
void cw_lead_add(struct cw_table *table, enum cw_lead_id id, const struct cw_lead_values *values, bool csv);

/** Whether any of the candidates takes its values from the winding. */
bool cw_any_wound(const struct cw_candidates *candidates);

/** Say that the levels of windings and of measured values are on scales of their own, where the
 * candidates have both. */
void cw_level_note_print(const struct cw_candidates *candidates, FILE *stream);

/** Print the values at the leads of all candidates, then a line for each winding: turns, wire,
 * fill, and a warning where the turns do not fit; and the note on levels. In CSV the table has a column of uncertainty
 * for each value and the lines are left out.
 * \param wide one table, however wide; else one that folds. Reports and returns false where memory runs out. */
bool cw_lead_values_print(const struct cw_candidates *candidates, FILE *stream, bool csv, bool wide);

/** Say which coil's turns do not fit, and how many are taken; nothing where all fit. */
void cw_turns_note_print(const char *label, const struct cw_setup *setup, FILE *stream);

/** Which coil's turns do not fit, and how many would: "9000 turns of AWG 42: 5266 would fit".
 * \return false where all fit */
bool cw_turns_missing(const struct cw_setup *setup, char *text, size_t size);

/** Whether the turns of every coil fit; reports one line with the number that would fit if not.
 * True for measured values. */
bool cw_turns_fit(const char *name, const struct cw_setup *setup);

#ifdef __cplusplus
}
#endif
#endif
