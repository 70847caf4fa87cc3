/* SPDX-License-Identifier: ISC */
#include "learned_bytes.h"

#include <string.h>

_Static_assert(sizeof(float) == 4 && sizeof(double) == 8, "IEEE 754 formats are written as they are");

static const uint8_t MAGIC[4] = {'C', 'W', 'L', '2'};
enum { HEAD = 16 + 16 * CW_LOUDNESS_BANDS };

static uint8_t *put(uint8_t *to, uint64_t bits, int bytes)
{
    for (int i = 0; i < bytes; i++) {
        *to++ = (uint8_t)(bits >> 8 * i);
    }
    return to;
}

static uint64_t get(const uint8_t **from, int bytes)
{
    uint64_t bits = 0;
    for (int i = 0; i < bytes; i++) {
        bits |= (uint64_t) * (*from)++ << 8 * i;
    }
    return bits;
}

static uint8_t *put_double(uint8_t *to, double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    return put(to, bits, 8);
}

static double get_double(const uint8_t **from)
{
    const uint64_t bits = get(from, 8);
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

size_t cw_learned_to_bytes(const struct cw_learned *learned, uint8_t bytes[CW_LEARNED_BYTES])
{
    uint8_t *to = bytes;
    memcpy(to, MAGIC, sizeof MAGIC);
    to = put(to + sizeof MAGIC, CW_LOUDNESS_BANDS, 4);
    to = put(to, (uint64_t)learned->count, 4);
    to = put(to, (uint64_t)learned->at, 4);
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        to = put_double(to, learned->hz[i]);
        to = put_double(to, learned->spread[i]);
    }
    for (int k = 0; k < learned->count; k++) {
        for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
            uint32_t bits;
            memcpy(&bits, &learned->power[i][k], sizeof bits);
            to = put(to, bits, 4);
        }
    }
    return (size_t)(to - bytes);
}

bool cw_learned_of_bytes(const void *bytes, size_t size, struct cw_learned *learned)
{
    const uint8_t *from = bytes;
    memset(learned, 0, sizeof *learned);
    if (size < HEAD || size > CW_LEARNED_BYTES || memcmp(from, MAGIC, sizeof MAGIC) != 0) {
        return false;
    }
    from += sizeof MAGIC;
    const uint64_t bands = get(&from, 4), count = get(&from, 4), at = get(&from, 4);
    if (bands != CW_LOUDNESS_BANDS || count > CW_LEARN_PARTS || at >= CW_LEARN_PARTS ||
        size != HEAD + 4 * CW_LOUDNESS_BANDS * (size_t)count) {
        return false;
    }
    learned->count = (int)count;
    learned->at = (int)at;
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        learned->hz[i] = get_double(&from);
        learned->spread[i] = get_double(&from);
    }
    for (int k = 0; k < learned->count; k++) {
        for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
            const uint32_t bits = (uint32_t)get(&from, 4);
            memcpy(&learned->power[i][k], &bits, sizeof bits);
        }
    }
    return cw_learned_valid(learned);
}
