/* SPDX-License-Identifier: ISC */
/** \file spread_pair.h
 * Whether the difference of two designs stands out of what scatter does to each of them, and is heard: pairs of
 * pickups drawn as made, in one guitar, against pairs of one and the same design.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_SPREAD_PAIR_H
#define CW_SPREAD_PAIR_H

#include <stddef.h>
#include <stdint.h>

#include "spread.h"

#ifdef __cplusplus
extern "C" {
#endif

/** How far pickups are apart, in times of what is just noticeable (audible.h). */
struct cw_pair {
    double apart;      /**< one of each design */
    double same_apart; /**< two of one design, whichever has them further apart */
};

/** Draw pair \p number; some milliseconds. */
void cw_pair_draw(const struct cw_spread *one, const struct cw_spread *two, uint64_t seed, uint64_t number,
                  struct cw_pair *pair);

/** What pairs say together, shares of 1. */
struct cw_pairs_found {
    double heard;      /**< pairs of the two designs that differ by what is noticed or more */
    double same_heard; /**< the same of pairs of one design */
    double beyond;     /**< pairs of the two designs further apart than 95 % of those of one */
    double middle;     /**< median of \c apart */
};

/** \param count 1 or more \param work room for count numbers */
struct cw_pairs_found cw_pairs_found_of(const struct cw_pair *pair, size_t count, double *work);

/** A verdict in a sentence. Static. */
const char *cw_pairs_words(const struct cw_pairs_found *found);

#ifdef __cplusplus
}
#endif
#endif
