/* SPDX-License-Identifier: ISC */
/** \file words.h
 * What B does against A, in the words of the window.
 *
 * Threading class: pure functions, any thread. No allocation.
 */
#ifndef CW_UI_WORDS_H
#define CW_UI_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "model.h"

#ifdef __cplusplus
extern "C" {
#endif

/** How far B's resonance lies from A's. \return false where one has none */
bool cw_words_resonance_of_b(const struct cw_model *model, char *text, size_t size);

/** Level of B against A at a frequency; a dash where one is silent. */
void cw_words_level_of_b(const struct cw_model *model, double hz, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
