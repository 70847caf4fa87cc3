/* SPDX-License-Identifier: ISC */
/** \file split_words.h
 * Splits in words.
 *
 * Threading class: pure functions, any thread.
 */
#ifndef CW_SPLIT_WORDS_H
#define CW_SPLIT_WORDS_H

#include <stddef.h>

#include "audible.h"
#include "setup.h"
#include "split_measure.h"
#include "split_solve.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Where whoever is about to wire a split is pointed to. */
#define CW_CAUTIONS_LINE                                                                                               \
    "Before solder, wax, magnets or strings under tension: read docs/cautions.md. Local codes come first."

/** Room for a sentence. */
enum { CW_SPLIT_TEXT = 720 };

/** "coil one", "coil two". */
const char *cw_split_coil_name(enum cw_split_coil coil);

/** The parts of a split setup: "10 kΩ + 22 nF", "50 % of the turns".
 * \param turns of the reduced coil, or 0 where they are not known. \return text */
const char *cw_split_parts(const struct cw_setup *setup, double turns_kept, double turns, char *text, size_t size);

/** What a solution is like, as one sentence in plain words. \return text */
const char *cw_split_words(const struct cw_split_answer *answer, const struct cw_split_solution *solution,
                           char text[CW_SPLIT_TEXT]);

/** Which coil to keep with the first solution, and why. \return text */
const char *cw_split_keep_words(const struct cw_split_wish *wish, const struct cw_split_answer *answer,
                                char text[CW_SPLIT_TEXT]);

/** Times just noticeable: "2.7 times", "far" where one of them is silent. \return text */
const char *cw_split_print_ear(const struct cw_audible *ear, char *text, size_t size);

/** What a solution leaves to be desired, and what the rounding does; "" where there is nothing to
 * say. \return text */
const char *cw_split_remark(const struct cw_split_wish *wish, const struct cw_split_solution *solution,
                            char text[CW_SPLIT_TEXT]);

/** How the level is told: "weighted loudness", "at 1.00 kHz" ... \return text */
const char *cw_measure_name(const struct cw_measure *measure, char *text, size_t size);

/** Name of the files of solution \p index, without suffix: "02-resistor". \return text */
const char *cw_split_file_name(const struct cw_split_answer *answer, int index, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
