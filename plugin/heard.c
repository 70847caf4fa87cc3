/* SPDX-License-Identifier: ISC */
#include "heard.h"

#include <assert.h>

enum { MASK = CW_HEARD_RING - 1 };

_Static_assert((CW_HEARD_RING & MASK) == 0, "places are counted modulo a power of two");

void cw_heard_listen(struct cw_heard *heard, bool begin) { atomic_fetch_add(&heard->listeners, begin ? 1 : -1); }

void cw_heard_write(struct cw_heard *heard, _Atomic float side[CW_HEARD_RING], const float *x, size_t n)
{
    const unsigned at = atomic_load_explicit(&heard->count, memory_order_relaxed);
    for (size_t i = n > CW_HEARD_RING ? n - CW_HEARD_RING : 0; i < n; i++) {
        /* Release: a reader that sees this sample sees how far the count stood before. */
        atomic_store_explicit(&side[(at + i) & MASK], x[i], memory_order_release);
    }
}

void cw_heard_pass(struct cw_heard *heard, size_t n)
{
    const unsigned count = atomic_load_explicit(&heard->count, memory_order_relaxed) + (unsigned)n;
    /* 0 says that there is nothing yet; a whole turn of the ring keeps the places. */
    atomic_store_explicit(&heard->count, count != 0 || n == 0 ? count : CW_HEARD_RING, memory_order_release);
}

/* A sample may be torn out of its place by a writer that laps the reader: of a picture that is drawn anew at once,
 * no harm. The half of the ring that is never read is what a block may take. */
unsigned cw_heard_read(struct cw_heard *heard, float *in, float *out, size_t count)
{
    assert(count <= CW_HEARD_MOST);
    const unsigned end = atomic_load_explicit(&heard->count, memory_order_acquire), begin = end - (unsigned)count;
    if (end < count) {
        return 0;
    }
    for (unsigned i = 0; i < count; i++) {
        in[i] = atomic_load_explicit(&heard->in[(begin + i) & MASK], memory_order_relaxed);
        out[i] = atomic_load_explicit(&heard->out[(begin + i) & MASK], memory_order_relaxed);
    }
    return end;
}
