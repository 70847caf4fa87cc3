/* SPDX-License-Identifier: ISC */
/** \file phrase.h
 * A DI recording of our own for the demonstration: a short guitar phrase and a test tone.
 */
#ifndef CW_PHRASE_H
#define CW_PHRASE_H

#include <stddef.h>

#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_PHRASE_RATE = 48000, CW_PHRASE_FRAMES = 23 * CW_PHRASE_RATE / 2, CW_TONE_FRAMES = 4 * CW_PHRASE_RATE };

/** Peak of the phrase, dBFS. */
#define CW_PHRASE_PEAK_DB (-9.0)
/** The test tone: a sine of 997 Hz (prime against every usual rate) at -18 dBFS, where 0 dBFS is
 * a sine that reaches full scale (AES17). */
#define CW_TONE_HZ 997.0
#define CW_TONE_DB (-18.0)

/** The strings alone, as a pickup senses them: 11.5 s at 48 kHz, peak 1.
 * \param out CW_PHRASE_FRAMES samples */
void cw_phrase_strings(float *out);

/** The phrase as recorded through a setup, peak at CW_PHRASE_PEAK_DB.
 * \param recorded response of the recorded-through setup
 * \param out      CW_PHRASE_FRAMES samples */
void cw_phrase_render(const struct cw_transfer *recorded, float *out);

/** The test tone. \param out CW_TONE_FRAMES samples */
void cw_tone_render(float *out);

#ifdef __cplusplus
}
#endif
#endif
