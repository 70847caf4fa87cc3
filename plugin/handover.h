/* SPDX-License-Identifier: ISC */
/** \file handover.h
 * What was learned, from one thread to another: the newest always, neither waits for the other. Three places: one is
 * the writer's, one the reader's, and the third changes hands.
 *
 * Threading class: one writer, one reader, any threads. No allocation, no lock, bounded time.
 */
#ifndef CW_HANDOVER_H
#define CW_HANDOVER_H

#include <stdatomic.h>
#include <stdbool.h>

#include "learn.h"

enum { CW_HANDOVER_FRESH = 4 };

struct cw_handed {
    unsigned after; /**< how many had been handed over the other way when this was written */
    struct cw_learned learned;
};

struct cw_handover {
    _Atomic unsigned middle; /**< index of the place between the two, and CW_HANDOVER_FRESH */
    unsigned back, front;    /**< the writer's place, and the reader's */
    struct cw_handed place[3];
};

/** Nothing handed over. Before either thread uses it. */
void cw_handover_init(struct cw_handover *handover);

/** Hand over a copy. The writer's. */
void cw_handover_give(struct cw_handover *handover, const struct cw_learned *learned, unsigned after);

/** Whether anything was handed over since the last cw_handover_take(): one look. The reader's. */
static inline bool cw_handover_any(struct cw_handover *handover)
{
    return (atomic_load_explicit(&handover->middle, memory_order_relaxed) & CW_HANDOVER_FRESH) != 0;
}

/** What was handed over since the last call; NULL for nothing. The reader's until the next call. */
const struct cw_handed *cw_handover_take(struct cw_handover *handover);

#endif
