/* SPDX-License-Identifier: ISC */
/** \file words.h
 * Figures in the words of the window.
 *
 * Threading class: pure functions, any thread. No allocation.
 */
#ifndef CW_UI_WORDS_H
#define CW_UI_WORDS_H

#include <stddef.h>

#include "figures.h"
#include "layout.h"
#include "model.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

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
void cw_words_cable(const struct cw_model *model, enum cw_which which, enum cw_detail detail, char *text, size_t size);

/** How far B's resonance lies from A's. \return false where one has none */
bool cw_words_resonance_of_b(const struct cw_model *model, char *text, size_t size);

/** Level of B against A at a frequency; a dash where one is silent. */
void cw_words_level_of_b(const struct cw_model *model, double hz, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
