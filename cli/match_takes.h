/* SPDX-License-Identifier: ISC */
/** \file match_takes.h
 * A target from two recordings of one phrase, where nothing can be connected.
 */
#ifndef CW_MATCH_TAKES_H
#define CW_MATCH_TAKES_H

#include <stdbool.h>
#include <stdio.h>

#include "setup.h"
#include "take_tone.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Read both recordings and fit. Reports and returns false on failure, among it recordings that share too little.
 * \param setup of the pickup, guitar and cable that the first was made with */
bool cw_match_takes(const char *mine, const char *theirs, int channel, const struct cw_setup *setup,
                    struct cw_tone *tone);

/** Print what they say, and how little that proves. */
void cw_match_takes_print(FILE *stream, const struct cw_tone *tone);

#ifdef __cplusplus
}
#endif
#endif
