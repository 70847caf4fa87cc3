/* SPDX-License-Identifier: ISC */
/** \file leads.h
 * What a setup's pickup measures at its leads and how sure that is: the values that a winding gives,
 * with their uncertainty, and how they are shown.
 */
#ifndef CW_LEADS_H
#define CW_LEADS_H

#include <stdbool.h>
#include <stdio.h>

#include "candidate.h"
#include "coil.h"
#include "table.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Values at the leads; SI units, EMF and peak in dB. */
enum cw_lead_id {
    CW_LEAD_RESISTANCE,  /**< ohm, DC at 20 degrees C, split as set */
    CW_LEAD_INDUCTANCE,  /**< henry at 120 Hz, split as set */
    CW_LEAD_CAPACITANCE, /**< farad, unsplit */
    CW_LEAD_LOSS,        /**< ohm, unsplit */
    CW_LEAD_EMF,         /**< dB against the reference coil, unsplit */
    CW_LEAD_UNLOADED,    /**< hertz, resonance with nothing connected, split as set; 0 for none */
    CW_LEAD_RESONANCE,   /**< hertz, loaded as set; 0 for none */
    CW_LEAD_PEAK,        /**< dB over the level at low frequency, loaded as set */
    CW_LEADS
};

/** Values with their uncertainty in the same unit, about two standard deviations; 0 where the coil's
 * values are measured ones. */
struct cw_lead_values {
    double value[CW_LEADS], spread[CW_LEADS];
};

/** Work them out for a clean setup. */
void cw_lead_values_of(const struct cw_setup *setup, struct cw_lead_values *values);

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
 * for each value and the lines are left out. Reports and returns false where memory runs out. */
bool cw_lead_values_print(const struct cw_candidates *candidates, FILE *stream, bool csv);

/** Say which coil's turns do not fit, and how many are taken; nothing where all fit. */
void cw_turns_note_print(const char *label, const struct cw_setup *setup, FILE *stream);

/** Whether the turns of every coil fit; reports one line with the number that would fit if not.
 * True for measured values. */
bool cw_turns_fit(const char *name, const struct cw_setup *setup);

#ifdef __cplusplus
}
#endif
#endif
