/* SPDX-License-Identifier: ISC */
/** \file voice.h
 * The real-time chain: recorded-through, A and B in; audio out; changes without a click.
 *
 * Threading class: cw_voice_init() instantiation; everything else audio. No allocation, no lock,
 * no I/O, bounded time. One struct is one instance; there are no globals.
 */
#ifndef CW_VOICE_H
#define CW_VOICE_H

#include <stdbool.h>
#include <stddef.h>

#include "figures.h"
#include "learn.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One instance; its fields are private to voice.c. */
struct cw_voice;

/** What the memory of a voice must be aligned to, in bytes. */
enum { CW_VOICE_ALIGNMENT = 64 };

/** Bytes that a voice needs, a multiple of the alignment; the caller owns the memory. */
size_t cw_voice_size(void);

/** Prepare a voice at \p rate (Hz); rates outside 8000..384000 are clamped for the design. */
void cw_voice_init(struct cw_voice *voice, double rate);

/** Forget all audio, as after a pause. The next run() takes its controls at once, without a fade. */
void cw_voice_reset(struct cw_voice *voice);

/** Take the control values in force from the next sample on; clean values only. Cheap where
 * nothing has changed. */
void cw_voice_set(struct cw_voice *voice, const struct cw_controls *controls);

/** Process \p n samples; \p in and \p out may be the same buffer. NaN, infinity and numbers
 * beyond 1e30 in the input count as silence; the output is finite. Where the input is near silence denormal numbers
 * are made zero, and the processor's mode is put back. A change of controls is worked on in steps of bounded length
 * while the samples go by, is heard from 3 to 9 ms later on, and is done 10 ms after that; by samples, so that the
 * output is the same to the bit however they are cut into calls. With \p n 0 nothing but the figures is worked on, and
 * the buffers may be NULL. \return whether a figure was worked out anew, or levels are matched by something learned
 * anew */
bool cw_voice_process(struct cw_voice *voice, const float *in, float *out, size_t n);

/** Figures of a setup. They follow cw_voice_set() within 30 ms of audio (at the latest with the end of the fade
 * that is under way and 15 ms more), or three calls of cw_voice_process() without samples. */
const struct cw_figures *cw_voice_figures(const struct cw_voice *voice, enum cw_which which);

/** What levels are matched by: learned at some time, or nothing yet; the gain heard may still drift towards it. */
const struct cw_learned *cw_voice_learned(const struct cw_voice *voice);

/** How often that has changed since cw_voice_init(); wraps. */
unsigned cw_voice_learnings(const struct cw_voice *voice);

/** Match levels by what was learned at another time, and learn on from there. The gain follows at once, as at a
 * change of the controls. \param learned cw_learned_valid() of it is true */
void cw_voice_learn(struct cw_voice *voice, const struct cw_learned *learned);

#ifdef __cplusplus
}
#endif
#endif
