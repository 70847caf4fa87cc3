/* SPDX-License-Identifier: ISC */
#include "answer_code.h"

#include <string.h>

static const char SIGNS[] = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";

enum { VERSION_BITS = 4, LETTER_BITS = 26, COUNT_BITS = 6, HEAD_BITS = 36, CRC_BITS = 15, SIGN_BITS = 5 };
enum {
    SIGNS_MAX = (HEAD_BITS + CW_ANSWERS_MAX + CRC_BITS + SIGN_BITS - 1) / SIGN_BITS,
    BITS_MAX = SIGNS_MAX * SIGN_BITS
};

unsigned cw_crc15(const unsigned char *bits, size_t count)
{
    unsigned crc = 0;
    for (size_t i = 0; i < count; i++) {
        unsigned top = (crc >> (CRC_BITS - 1) & 1u) ^ bits[i];
        crc = (crc << 1 & 0x7fffu) ^ (top ? 0x4599u : 0u);
    }
    return crc;
}

static int signs_for(int answers) { return (HEAD_BITS + answers + CRC_BITS + SIGN_BITS - 1) / SIGN_BITS; }

static size_t put(unsigned char *bits, size_t at, uint64_t value, int count)
{
    for (int i = count - 1; i >= 0; i--) {
        bits[at++] = (unsigned char)(value >> i & 1u);
    }
    return at;
}

static uint64_t take(const unsigned char *bits, size_t *at, int count)
{
    uint64_t value = 0;
    for (int i = 0; i < count; i++) {
        value = value << 1 | bits[(*at)++];
    }
    return value;
}

const char *cw_answer_code_print(const struct cw_answers *answers, char text[CW_ANSWER_CODE_TEXT])
{
    unsigned char bits[BITS_MAX] = {0};
    int signs = signs_for(answers->count);
    size_t before_crc = (size_t)(signs * SIGN_BITS - CRC_BITS), at = 0;
    at = put(bits, at, CW_ANSWERS_VERSION, VERSION_BITS);
    at = put(bits, at, answers->letter, LETTER_BITS);
    at = put(bits, at, (uint64_t)answers->count, COUNT_BITS);
    put(bits, at, answers->bits, answers->count);
    put(bits, before_crc, cw_crc15(bits, before_crc), CRC_BITS);
    char *to = text;
    at = 0;
    for (int i = 0; i < signs; i++) {
        if (i > 0 && i % 4 == 0) {
            *to++ = '-';
        }
        *to++ = SIGNS[take(bits, &at, SIGN_BITS)];
    }
    *to = '\0';
    return text;
}

/* The value of a sign, however it was written down; -1 where there is none. */
static int value_of(char sign)
{
    char upper = sign >= 'a' && sign <= 'z' ? (char)(sign - 'a' + 'A') : sign;
    upper = upper == 'O' ? '0' : upper == 'I' || upper == 'L' ? '1' : upper;
    const char *found = upper ? strchr(SIGNS, upper) : NULL;
    return found ? (int)(found - SIGNS) : -1;
}

/* \return bits, -1 for a sign that is none, BITS_MAX + 1 for too many */
static int read_bits(const char *text, unsigned char bits[BITS_MAX])
{
    int count = 0;
    for (; *text; text++) {
        if (*text == '-' || *text == ' ' || *text == '\t' || *text == '\n' || *text == '\r') {
            continue;
        }
        int value = value_of(*text);
        if (value < 0) {
            return -1;
        }
        if (count == BITS_MAX) {
            return BITS_MAX + 1;
        }
        put(bits, (size_t)count, (uint64_t)value, SIGN_BITS);
        count += SIGN_BITS;
    }
    return count;
}

enum cw_answer_error cw_answer_code_read(const char *text, struct cw_answers *answers)
{
    unsigned char bits[BITS_MAX] = {0};
    int count = read_bits(text, bits);
    if (count < 0) {
        return CW_ANSWER_SIGN;
    }
    if (count > BITS_MAX || count < signs_for(0) * SIGN_BITS) {
        return CW_ANSWER_LENGTH;
    }
    size_t at = 0, crc_at = (size_t)(count - CRC_BITS);
    unsigned version = (unsigned)take(bits, &at, VERSION_BITS);
    struct cw_answers found = {.letter = (uint32_t)take(bits, &at, LETTER_BITS)};
    found.count = (int)take(bits, &at, COUNT_BITS);
    size_t answers_at = at;
    at = crc_at;
    if (cw_crc15(bits, crc_at) != take(bits, &at, CRC_BITS)) {
        return CW_ANSWER_CRC;
    }
    if (version != CW_ANSWERS_VERSION) {
        return CW_ANSWER_VERSION;
    }
    if (count != signs_for(found.count) * SIGN_BITS) {
        return CW_ANSWER_LENGTH;
    }
    found.bits = take(bits, &answers_at, found.count);
    *answers = found;
    return CW_ANSWER_GOOD;
}
