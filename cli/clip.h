/* SPDX-License-Identifier: ISC */
/** \file clip.h
 * Sound for a page: lossless FLAC of 16 or 24 bits, in memory.
 *
 * Rounding to 16 bits is dithered (triangular, two steps wide: S. P. Lipshitz, R. A. Wannamaker and
 * J. Vanderkooy, "Quantization and Dither: A Theoretical Survey", J. Audio Eng. Soc. 40(5), 1992), from the
 * same seed for every clip: the same sound makes the same bytes. Samples of 0 stay 0, so that silence does. 24 bits are
 * rounded without.
 *
 * Threading class: each clip on one thread at a time.
 */
#ifndef CW_CLIP_H
#define CW_CLIP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "bytes.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A clip under way. Zeroed is none. */
struct cw_clip {
    void *handle; /**< of libsndfile */
    struct cw_bytes *bytes;
    size_t at; /**< where libsndfile reads and writes */
    uint32_t random;
    long long left; /**< samples still to come */
    bool fine;      /**< 24 bits, not 16 */
};

/** Begin. \param bytes empty; filled, and to be freed by the caller \param fine 24 bits, not 16
 * \param rate Hz \param frames how many are kept; what comes beyond is left out.
 * Reports and returns false on failure. */
bool cw_clip_start(struct cw_clip *clip, struct cw_bytes *bytes, bool fine, int rate, long long frames);

/** Add samples, -1 to 1; what is beyond is cut off. Reports and returns false on failure. */
bool cw_clip_add(struct cw_clip *clip, const float *samples, size_t n);

/** Complete it. Reports and returns false on failure; harmless on a zeroed clip. */
bool cw_clip_finish(struct cw_clip *clip);

/** Bytes of a complete clip's audio, without what stands before it. */
size_t cw_clip_audio_bytes(const struct cw_bytes *bytes);

/** Take out of a complete clip what tells of its sound without its being heard (digest, sizes of frames, tags), and
 * pad it, so that clips of one length and rate are alike but for the audio (FLAC, RFC 9639, section 8).
 * \param audio the largest cw_clip_audio_bytes() of those that are to be alike
 * Reports and returns false when out of memory. */
bool cw_clip_make_alike(struct cw_bytes *bytes, size_t audio);

/** Close without a word; harmless when closed. */
void cw_clip_drop(struct cw_clip *clip);

#ifdef __cplusplus
}
#endif
#endif
