/* SPDX-License-Identifier: ISC */
/** \file choice.h
 * Entries of a list as people write them: by words, in any order and with or without dashes
 * ("alnico5", "two-in-series", "43 AWG"), or by so much of them as leaves one ("series"). A bare number
 * is taken only where it is the thing's own name, as of a gauge.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_CHOICE_H
#define CW_CHOICE_H

#include <stdbool.h>
#include <stddef.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Read an entry of a parameter's list. \param value left alone on failure */
bool cw_choice_read(const struct cw_param_info *info, const char *text, double *value);

/** What may have been meant, as a question: "series or parallel?" for "2" of coils, "Alnico 5?" for "5"
 * of a magnet; "" where nothing comes near. \return text */
const char *cw_choice_ask(const struct cw_param_info *info, const char *text, char *ask, size_t size);

/** All entries in words: "One, Two in series or Two in parallel"; long lists by their ends. \return text */
const char *cw_choice_list(const struct cw_param_info *info, char *text, size_t size);

/** An entry as one word that the shell leaves alone and cw_choice_read() takes: "two-in-series". \return text */
const char *cw_choice_word(const struct cw_point *point, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
