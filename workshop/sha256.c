/* SPDX-License-Identifier: ISC */
/* Names after FIPS 180-4, section 6.2. */
#include "sha256.h"

#include <string.h>

/* The first 32 bits of the fractions of the square roots of the first 8 primes (5.3.3), and of the cube
 * roots of the first 64 (4.2.2). */
static const uint32_t START[8] = {0x6a09e667u, 0xbb67ae85u, 0x3c6ef372u, 0xa54ff53au,
                                  0x510e527fu, 0x9b05688cu, 0x1f83d9abu, 0x5be0cd19u};
static const uint32_t K[64] = {
    0x428a2f98u, 0x71374491u, 0xb5c0fbcfu, 0xe9b5dba5u, 0x3956c25bu, 0x59f111f1u, 0x923f82a4u, 0xab1c5ed5u,
    0xd807aa98u, 0x12835b01u, 0x243185beu, 0x550c7dc3u, 0x72be5d74u, 0x80deb1feu, 0x9bdc06a7u, 0xc19bf174u,
    0xe49b69c1u, 0xefbe4786u, 0x0fc19dc6u, 0x240ca1ccu, 0x2de92c6fu, 0x4a7484aau, 0x5cb0a9dcu, 0x76f988dau,
    0x983e5152u, 0xa831c66du, 0xb00327c8u, 0xbf597fc7u, 0xc6e00bf3u, 0xd5a79147u, 0x06ca6351u, 0x14292967u,
    0x27b70a85u, 0x2e1b2138u, 0x4d2c6dfcu, 0x53380d13u, 0x650a7354u, 0x766a0abbu, 0x81c2c92eu, 0x92722c85u,
    0xa2bfe8a1u, 0xa81a664bu, 0xc24b8b70u, 0xc76c51a3u, 0xd192e819u, 0xd6990624u, 0xf40e3585u, 0x106aa070u,
    0x19a4c116u, 0x1e376c08u, 0x2748774cu, 0x34b0bcb5u, 0x391c0cb3u, 0x4ed8aa4au, 0x5b9cca4fu, 0x682e6ff3u,
    0x748f82eeu, 0x78a5636fu, 0x84c87814u, 0x8cc70208u, 0x90befffau, 0xa4506cebu, 0xbef9a3f7u, 0xc67178f2u};

static uint32_t rotate(uint32_t x, unsigned n) { return x >> n | x << (32 - n); }

static void schedule(const unsigned char *block, uint32_t w[64])
{
    for (unsigned t = 0; t < 16; t++) {
        const unsigned char *b = block + 4 * t;
        w[t] = (uint32_t)b[0] << 24 | (uint32_t)b[1] << 16 | (uint32_t)b[2] << 8 | b[3];
    }
    for (unsigned t = 16; t < 64; t++) {
        uint32_t s0 = rotate(w[t - 15], 7) ^ rotate(w[t - 15], 18) ^ w[t - 15] >> 3;
        uint32_t s1 = rotate(w[t - 2], 17) ^ rotate(w[t - 2], 19) ^ w[t - 2] >> 10;
        w[t] = s1 + w[t - 7] + s0 + w[t - 16];
    }
}

static void take_block(uint32_t h[8], const unsigned char *block)
{
    uint32_t w[64], v[8]; /* v: a to h */
    schedule(block, w);
    memcpy(v, h, sizeof v);
    for (unsigned t = 0; t < 64; t++) {
        uint32_t sum1 = rotate(v[4], 6) ^ rotate(v[4], 11) ^ rotate(v[4], 25);
        uint32_t choose = (v[4] & v[5]) ^ (~v[4] & v[6]);
        uint32_t t1 = v[7] + sum1 + choose + K[t] + w[t];
        uint32_t sum0 = rotate(v[0], 2) ^ rotate(v[0], 13) ^ rotate(v[0], 22);
        uint32_t majority = (v[0] & v[1]) ^ (v[0] & v[2]) ^ (v[1] & v[2]);
        for (unsigned i = 7; i > 0; i--) {
            v[i] = v[i - 1];
        }
        v[4] += t1;
        v[0] = t1 + sum0 + majority;
    }
    for (unsigned i = 0; i < 8; i++) {
        h[i] += v[i];
    }
}

void cw_sha256_start(struct cw_sha256 *sha)
{
    memset(sha, 0, sizeof *sha);
    memcpy(sha->h, START, sizeof START);
}

void cw_sha256_add(struct cw_sha256 *sha, const void *bytes, size_t count)
{
    const unsigned char *from = bytes;
    size_t waiting = (size_t)(sha->bytes % sizeof sha->block);
    sha->bytes += count;
    while (count > 0) {
        size_t room = sizeof sha->block - waiting, n = count < room ? count : room;
        memcpy(sha->block + waiting, from, n);
        from += n;
        count -= n;
        waiting += n;
        if (waiting == sizeof sha->block) {
            take_block(sha->h, sha->block);
            waiting = 0;
        }
    }
}

void cw_sha256_finish(struct cw_sha256 *sha, unsigned char digest[CW_SHA256_BYTES])
{
    static const unsigned char padding[64] = {0x80};
    unsigned char length[8];
    uint64_t bits = 8 * sha->bytes;
    for (unsigned i = 0; i < 8; i++) {
        length[i] = (unsigned char)(bits >> (56 - 8 * i));
    }
    size_t waiting = (size_t)(sha->bytes % sizeof sha->block);
    cw_sha256_add(sha, padding, waiting < 56 ? 56 - waiting : 120 - waiting);
    cw_sha256_add(sha, length, sizeof length);
    for (unsigned i = 0; i < CW_SHA256_BYTES; i++) {
        digest[i] = (unsigned char)(sha->h[i / 4] >> (24 - 8 * (i % 4)));
    }
}

void cw_sha256(const void *bytes, size_t count, unsigned char digest[CW_SHA256_BYTES])
{
    struct cw_sha256 sha;
    cw_sha256_start(&sha);
    cw_sha256_add(&sha, bytes, count);
    cw_sha256_finish(&sha, digest);
}

const char *cw_sha256_print(const unsigned char digest[CW_SHA256_BYTES], char text[CW_SHA256_TEXT])
{
    static const char digits[] = "0123456789abcdef";
    for (unsigned i = 0; i < CW_SHA256_BYTES; i++) {
        text[2 * i] = digits[digest[i] >> 4];
        text[2 * i + 1] = digits[digest[i] & 15];
    }
    text[CW_SHA256_TEXT - 1] = '\0';
    return text;
}
