/* SPDX-License-Identifier: ISC */
/** \file figure_words.h
 * The figures of a setup as people read them: the rows of the table in the window and on the page, and what a
 * cable does.
 *
 * Threading class: pure functions, any thread. No allocation.
 */
#ifndef CW_FIGURE_WORDS_H
#define CW_FIGURE_WORDS_H

#include <stddef.h>

#include "figures.h"
#include "no_cable.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Rows of the table of figures. */
enum cw_figure_row {
    CW_ROW_DC_RESISTANCE,
    CW_ROW_INDUCTANCE,
    CW_ROW_RESONANCE,
    CW_ROW_PEAK_HZ,
    CW_ROW_PEAK,
    CW_ROW_SHARE, /**< level of the split, % */
    CW_ROW_LEVEL, /**< the same, dB */
    CW_ROW_HUM,
    CW_ROW_BUZZ,
    CW_ROW_FILL, /**< shown where a coil is worked out from its winding */
    CW_FIGURE_ROWS
};

/** "DC resistance", "Inductance" ... */
extern const char *const cw_figure_row_name[CW_FIGURE_ROWS];

/** A level with its sign, dB. */
void cw_words_db(double db, char *text, size_t size);

/** A share, %. */
void cw_words_share(double of_100, char *text, size_t size);

/** What stands in a row of the table of figures; a dash where the row says nothing of the setup: level of a split,
 * hum and buzz against one coil, where there is one coil. */
void cw_words_figure(const struct cw_setup *setup, const struct cw_figures *figures, enum cw_figure_row row, char *text,
                     size_t size);

/** How much is told. */
enum cw_detail {
    CW_BRIEF, /**< numbers */
    CW_PLAIN, /**< with their names */
    CW_FULL   /**< and the peak beside the resonance */
};

/** A cable: length, capacitance, what it does to the resonance and the peak. */
void cw_words_cable(const struct cw_setup *setup, const struct cw_figures *figures, const struct cw_no_cable *bare,
                    enum cw_detail detail, char *text, size_t size);

/** What a cable does, for someone who asks what it does: one or two sentences. */
void cw_words_cable_plainly(const struct cw_figures *figures, const struct cw_no_cable *bare, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
