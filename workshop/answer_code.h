/* SPDX-License-Identifier: ISC */
/** \file answer_code.h
 * Answers as a short code that can be read out over the telephone.
 *
 * Bits, the most significant first: version 4, letter 26, number of answers 6, the answers, zeros that fill the
 * last sign, CRC-15. The CRC (polynomial 0x4599, as in CAN, ISO 11898; from 0, not reflected) covers all before
 * it. Signs of five bits by D. Crockford's base 32: 0 to 9 and letters without I, L, O and U; read without
 * regard to case, spaces and dashes, O as 0, I and L as 1.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_ANSWER_CODE_H
#define CW_ANSWER_CODE_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_ANSWERS_MAX = 63,
    CW_ANSWERS_VERSION = 1,
    CW_ANSWER_CODE_TEXT = 32 /**< bytes of a code with its dashes, and a zero */
};

/** What a letter brought back. */
struct cw_answers {
    uint32_t letter; /**< 26 bits */
    int count;       /**< 0 to CW_ANSWERS_MAX */
    uint64_t bits;   /**< the first answer is bit count - 1, the last bit 0 */
};

/** What is wrong with a code. */
enum cw_answer_error {
    CW_ANSWER_GOOD,
    CW_ANSWER_SIGN,   /**< a sign that no code has */
    CW_ANSWER_LENGTH, /**< not as long as its number of answers asks for */
    CW_ANSWER_CRC,    /**< misread or mistyped */
    CW_ANSWER_VERSION /**< of a version that is not known */
};

/** Write a code, signs in groups of four. \return text */
const char *cw_answer_code_print(const struct cw_answers *answers, char text[CW_ANSWER_CODE_TEXT]);

/** Read a code. \p answers are set only where it is good. */
enum cw_answer_error cw_answer_code_read(const char *text, struct cw_answers *answers);

/** CRC-15 of \p count bits, each a byte of 0 or 1. */
unsigned cw_crc15(const unsigned char *bits, size_t count);

#ifdef __cplusplus
}
#endif
#endif
