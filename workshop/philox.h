/* SPDX-License-Identifier: ISC */
/** \file philox.h
 * Random numbers by counter: the numbers of a draw follow from the seed and the draw's number alone, so that draws
 * may be made in any order, on any number of threads, or one again by itself. Not for secrets: see random.h.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_PHILOX_H
#define CW_PHILOX_H

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Philox4x32-10: 128 bits for a counter and a key (J. K. Salmon, M. A. Moraes, R. O. Dror and D. E. Shaw, "Parallel
 * random numbers: as easy as 1, 2, 3", SC11, 2011). */
void cw_philox(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4]);

/** The numbers of one draw, one after another. */
struct cw_draw {
    uint32_t key[2], counter[4], word[4];
    unsigned used; /**< words of \c word */
    double spare;  /**< a normal number that waits */
    int has_spare;
};

/** Begin draw \p number of a seed. */
void cw_draw_start(struct cw_draw *draw, uint64_t seed, uint64_t number);

/** The next number, evenly spread over -1 to 1, neither included. */
double cw_draw_even(struct cw_draw *draw);

/** The next number of a normal distribution with mean 0 and standard deviation 1 (G. E. P. Box and M. E. Muller, Ann.
 * Math. Stat. 29, 1958). */
double cw_draw_normal(struct cw_draw *draw);

#ifdef __cplusplus
}
#endif
#endif
