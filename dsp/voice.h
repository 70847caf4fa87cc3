/** \file voice.h
 * The real-time chain: recorded-through, A and B in; audio out; changes without a click.
 *
 * Threading class: cw_voice_init() instantiation; everything else audio. No allocation, no lock,
 * no I/O, bounded time. One struct is one instance; there are no globals.
 */
#ifndef CW_VOICE_H
#define CW_VOICE_H

#include <stddef.h>

#include "digital.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Output figures of one setup, indexed by enum cw_meter_id, in the table's units. */
struct cw_figures {
    double value[CW_METERS];
};

/** Work out the figures of a setup with clean values. Pure; any thread.
 * \param mains_hz 50 or 60 */
void cw_figures_of(const struct cw_setup *setup, double mains_hz, struct cw_figures *figures);

/** Opaque in use: fields are private to voice.c. */
struct cw_voice;

/** Bytes and alignment that a voice needs; the caller owns the memory. */
size_t cw_voice_size(void);

/** Prepare a voice at \p rate (Hz); rates outside 8000..384000 are clamped for the design. */
void cw_voice_init(struct cw_voice *voice, double rate);

/** Forget all audio, as after a pause. The next run() takes its controls at once, without a fade. */
void cw_voice_reset(struct cw_voice *voice);

/** Take the control values in force from the next sample on; clean values only. Cheap where
 * nothing has changed. */
void cw_voice_set(struct cw_voice *voice, const struct cw_controls *controls);

/** Process \p n samples; \p in and \p out may be the same buffer. NaN and infinity in the input
 * count as silence. Denormal numbers are the caller's: see cw_denormals in plugin/. */
void cw_voice_process(struct cw_voice *voice, const float *in, float *out, size_t n);

/** Figures of the setup, as of the last cw_voice_set(). */
const struct cw_figures *cw_voice_figures(const struct cw_voice *voice, enum cw_which which);

#ifdef __cplusplus
}
#endif
#endif
