/* SPDX-License-Identifier: ISC */
/** \file random.h
 * Random numbers from a seed that nobody can work back to: SHA-256 of the seed and a counter. Whoever knows the
 * seed gets the same numbers again.
 *
 * Threading class: each generator on one thread at a time; no allocation.
 */
#ifndef CW_RANDOM_H
#define CW_RANDOM_H

#include <stdint.h>

#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_SEED_BYTES = 32 };

struct cw_random {
    unsigned char seed[CW_SEED_BYTES], block[CW_SHA256_BYTES];
    uint64_t counter;
    unsigned used; /**< bytes of the block */
};

void cw_random_start(struct cw_random *random, const unsigned char seed[CW_SEED_BYTES]);

/** 32 random bits. */
uint32_t cw_random_word(struct cw_random *random);

/** 0 to \p below - 1, each as likely; \p below is 1 or more. */
uint32_t cw_random_below(struct cw_random *random, uint32_t below);

#ifdef __cplusplus
}
#endif
#endif
