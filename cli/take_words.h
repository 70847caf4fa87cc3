/* SPDX-License-Identifier: ISC */
/** \file take_words.h
 * Prints what was found of a recording.
 */
#ifndef CW_TAKE_WORDS_H
#define CW_TAKE_WORDS_H

#include <stdbool.h>
#include <stdio.h>

#include "take_check.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Figures in a line, then what is to be said, a line each. \return whether it should be made anew */
bool cw_take_words_print(FILE *stream, const char *name, const struct cw_take_figures *figures, int bits);

#ifdef __cplusplus
}
#endif
#endif
