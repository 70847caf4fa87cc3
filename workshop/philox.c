/* SPDX-License-Identifier: ISC */
#include "philox.h"

#include <math.h>
#include <string.h>

#include "constants.h"

enum { ROUNDS = 10 };

/* A product of two words, high and low. */
static void multiply(uint32_t a, uint32_t b, uint32_t *high, uint32_t *low)
{
    uint64_t product = (uint64_t)a * b;
    *high = (uint32_t)(product >> 32);
    *low = (uint32_t)product;
}

void cw_philox(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4])
{
    uint32_t k0 = key[0], k1 = key[1], high0, low0, high1, low1;
    memcpy(out, counter, 4 * sizeof *out);
    for (int i = 0; i < ROUNDS; i++) {
        multiply(0xD2511F53u, out[0], &high0, &low0);
        multiply(0xCD9E8D57u, out[2], &high1, &low1);
        out[0] = high1 ^ out[1] ^ k0;
        out[1] = low1;
        out[2] = high0 ^ out[3] ^ k1;
        out[3] = low0;
        k0 += 0x9E3779B9u;
        k1 += 0xBB67AE85u;
    }
}

void cw_draw_start(struct cw_draw *draw, uint64_t seed, uint64_t number)
{
    *draw = (struct cw_draw){
        .key = {(uint32_t)seed, (uint32_t)(seed >> 32)},
        .counter = {0, 0, (uint32_t)number, (uint32_t)(number >> 32)},
        .used = 4,
    };
}

/* Above 0 and below 1: the middles of 2^32 parts. */
static double share(struct cw_draw *draw)
{
    if (draw->used == 4) {
        cw_philox(draw->counter, draw->key, draw->word);
        draw->counter[0]++;
        draw->used = 0;
    }
    return ((double)draw->word[draw->used++] + 0.5) * 0x1p-32;
}

double cw_draw_even(struct cw_draw *draw) { return 2.0 * share(draw) - 1.0; }

double cw_draw_normal(struct cw_draw *draw)
{
    if (draw->has_spare) {
        draw->has_spare = 0;
        return draw->spare;
    }
    double radius = sqrt(-2.0 * log(share(draw))), angle = CW_TAU * share(draw);
    draw->spare = radius * sin(angle);
    draw->has_spare = 1;
    return radius * cos(angle);
}
