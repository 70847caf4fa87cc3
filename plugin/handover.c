/* SPDX-License-Identifier: ISC */
#include "handover.h"

#include <stddef.h>

enum { INDEX = 3 };

void cw_handover_init(struct cw_handover *handover)
{
    handover->back = 0;
    atomic_init(&handover->middle, 1);
    handover->front = 2;
}

void cw_handover_give(struct cw_handover *handover, const struct cw_learned *learned, unsigned after)
{
    struct cw_handed *handed = &handover->place[handover->back];
    handed->after = after;
    handed->learned = *learned;
    handover->back =
        atomic_exchange_explicit(&handover->middle, handover->back | CW_HANDOVER_FRESH, memory_order_acq_rel) & INDEX;
}

const struct cw_handed *cw_handover_take(struct cw_handover *handover)
{
    if (!cw_handover_any(handover)) {
        return NULL;
    }
    handover->front = atomic_exchange_explicit(&handover->middle, handover->front, memory_order_acq_rel) & INDEX;
    return &handover->place[handover->front];
}
