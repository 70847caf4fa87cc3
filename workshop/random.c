/* SPDX-License-Identifier: ISC */
#include "random.h"

#include <string.h>

void cw_random_start(struct cw_random *random, const unsigned char seed[CW_SEED_BYTES])
{
    memcpy(random->seed, seed, CW_SEED_BYTES);
    random->counter = 0;
    random->used = CW_SHA256_BYTES;
}

static void next_block(struct cw_random *random)
{
    unsigned char count[8];
    struct cw_sha256 sha;
    for (unsigned i = 0; i < sizeof count; i++) {
        count[i] = (unsigned char)(random->counter >> (56 - 8 * i));
    }
    cw_sha256_start(&sha);
    cw_sha256_add(&sha, random->seed, sizeof random->seed);
    cw_sha256_add(&sha, count, sizeof count);
    cw_sha256_finish(&sha, random->block);
    random->counter++;
    random->used = 0;
}

uint32_t cw_random_word(struct cw_random *random)
{
    if (random->used + 4 > CW_SHA256_BYTES) {
        next_block(random);
    }
    const unsigned char *b = random->block + random->used;
    random->used += 4;
    return (uint32_t)b[0] << 24 | (uint32_t)b[1] << 16 | (uint32_t)b[2] << 8 | b[3];
}

uint32_t cw_random_below(struct cw_random *random, uint32_t below)
{
    uint32_t uneven = (uint32_t)-below % below; /* 2^32 modulo below: words under it would favour some */
    uint32_t word;
    do {
        word = cw_random_word(random);
    } while (word < uneven);
    return word % below;
}
