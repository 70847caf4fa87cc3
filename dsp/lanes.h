/* SPDX-License-Identifier: ISC */
/** \file lanes.h
 * What the loops over vectors (the .inc files) have in common. Vectors of two doubles are quick
 * nearly everywhere, those of four where the processor has them, which is asked when it runs.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included.
 */
#ifndef CW_LANES_H
#define CW_LANES_H

#include <stdbool.h>
#include <stdint.h>

#define INLINE static inline __attribute__((always_inline))

/** CW_FOUR_LANES stands before a function that is called only where cw_has_four_lanes(). Such a function calls
 * nothing that is not inlined: gcc leaves the upper halves of the vectors in use over a call of a function in the
 * same file that it knows not to touch them, and where that one is compiled for vectors of two, each of its
 * instructions is dear on the processors of one maker (several times the time of a whole redesign was seen).
 * tests/test_lanes.sh reads the machine code. */
#if defined(__x86_64__)
#define CW_FOUR_LANES __attribute__((target("avx2,fma")))
static inline bool cw_has_four_lanes(void) { return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma"); }
#else
#define CW_FOUR_LANES
static inline bool cw_has_four_lanes(void) { return false; }
#endif

/** Four doubles side by side, whatever the processor's own vectors are, for a loop that is compiled twice, once as
 * CW_FOUR_LANES; what a comparison of two gives; and four as they lie among doubles. To be handed on by pointers:
 * how they are passed hangs on the vectors that a function is compiled for. */
typedef double cw_four __attribute__((vector_size(32)));
typedef int64_t cw_four_masks __attribute__((vector_size(32)));
typedef double cw_four_stored __attribute__((vector_size(32), aligned(8), may_alias));

#define CW_CHOOSE_FOUR(mask, yes, no) ((cw_four)(((cw_four_masks)(yes) & (mask)) | ((cw_four_masks)(no) & ~(mask))))

#endif
