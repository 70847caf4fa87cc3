/* SPDX-License-Identifier: ISC */
/** \file near.h
 * The word that was probably meant.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_NEAR_H
#define CW_NEAR_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Number of letters to put in, leave out, change or swap with the next one to make b of a: the
 * restricted edit distance (Damerau, Communications of the ACM 7(3), 1964; from memory). Capitals are
 * small letters, '_' and ' ' are '-'. Only the first 63 bytes of each count. */
size_t cw_edit_distance(const char *a, const char *b);

/** Whether a is so near to b that a slip of the fingers explains it: one change in up to five letters,
 * else two, and more than half of it right; or a whole part of b between its dashes. */
bool cw_is_near(const char *a, const char *b);

/** A search for the nearest of many words. Zeroed is empty. */
struct cw_nearest {
    const char *word; /**< NULL where none was near */
    size_t distance;
};

/** Take one more word into the search for what \p typed means. \param word is kept, not copied */
void cw_nearest_try(struct cw_nearest *nearest, const char *typed, const char *word);

#ifdef __cplusplus
}
#endif
#endif
