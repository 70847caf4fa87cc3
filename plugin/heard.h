/* SPDX-License-Identifier: ISC */
/** \file heard.h
 * The last samples that went in and came out, from the audio thread to whoever looks: one writer that never waits,
 * any number of readers that never keep it waiting.
 *
 * Threading class: cw_heard_write() audio, one thread; the others any thread. No allocation, no lock.
 */
#ifndef CW_HEARD_H
#define CW_HEARD_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

#include "instance.h"

enum { CW_HEARD_RING = 2 * CW_HEARD_MOST };

/** All zero to begin with. */
struct cw_heard {
    _Atomic int listeners;
    _Atomic unsigned count; /**< samples written since anyone listens; wraps, never 0 after the first */
    _Atomic float in[CW_HEARD_RING], out[CW_HEARD_RING];
};

/** A listener more, or one less. */
void cw_heard_listen(struct cw_heard *heard, bool begin);

/** Whether anyone listens: what is to be asked before in[] is overwritten by the output. */
static inline bool cw_heard_wanted(struct cw_heard *heard)
{
    return atomic_load_explicit(&heard->listeners, memory_order_relaxed) > 0;
}

/** Write one side: \p x, \p n samples, at the place that cw_heard_pass() moves on from; what is longer than the ring
 * is cut in front. */
void cw_heard_write(struct cw_heard *heard, _Atomic float side[CW_HEARD_RING], const float *x, size_t n);

/** \p n samples of both sides are written. */
void cw_heard_pass(struct cw_heard *heard, size_t n);

/** The last \p count samples of both sides; see heard() in instance.h. */
unsigned cw_heard_read(struct cw_heard *heard, float *in, float *out, size_t count);

#endif
