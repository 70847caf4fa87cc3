/* SPDX-License-Identifier: ISC */
/* Answers as a code. Values: the check value of CRC-15/CAN ("123456789": 0x59E), the code of one letter worked
 * out by hand, and the sealed key of a letter by sha256sum. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "answer_code.h"
#include "sha256.h"

static const struct cw_answers sixteen = {0x2A5C3F1, 16, 0x69CB}; /* 0110100111001011 */
static const char code[] = "3ABG-ZH86-KJR5-9K";

static void crc_of_the_nine_digits(void **state)
{
    (void)state;
    unsigned char bits[72];
    for (size_t i = 0; i < sizeof bits; i++) {
        bits[i] = (unsigned char)("123456789"[i / 8] >> (7 - i % 8) & 1);
    }
    assert_int_equal(cw_crc15(bits, sizeof bits), 0x59E);
}

static void one_code_to_the_sign(void **state)
{
    (void)state;
    char text[CW_ANSWER_CODE_TEXT];
    struct cw_answers read;
    assert_string_equal(cw_answer_code_print(&sixteen, text), code);
    assert_int_equal(cw_answer_code_read("3abg zh86 kjr5 9k", &read), CW_ANSWER_GOOD);
    assert_true(read.letter == sixteen.letter && read.count == 16 && read.bits == sixteen.bits);
}

static void every_number_of_answers_comes_back(void **state)
{
    (void)state;
    uint64_t random = 88172645463325252u;
    for (int count = 0; count <= CW_ANSWERS_MAX; count++) {
        for (int i = 0; i < 200; i++) {
            char text[CW_ANSWER_CODE_TEXT];
            struct cw_answers read;
            random ^= random << 13;
            random ^= random >> 7;
            random ^= random << 17;
            struct cw_answers sent = {(uint32_t)(random >> 38), count, random & ((UINT64_C(1) << count) - 1)};
            cw_answer_code_print(&sent, text);
            assert_int_equal(cw_answer_code_read(text, &read), CW_ANSWER_GOOD);
            assert_true(read.letter == sent.letter && read.count == sent.count && read.bits == sent.bits);
        }
    }
}

/* Every single wrong sign and every swap of neighbours: 14 x 31 and 13, less swaps of equal signs. */
static void mistakes_are_caught(void **state)
{
    (void)state;
    const char *signs = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
    char plain[] = "3ABGZH86KJR59K", wrong[16];
    struct cw_answers read;
    int tried = 0;
    for (size_t i = 0; i < 14; i++) {
        for (size_t k = 0; k < 32; k++) {
            memcpy(wrong, plain, sizeof plain);
            wrong[i] = signs[k];
            if (wrong[i] != plain[i]) {
                assert_int_not_equal(cw_answer_code_read(wrong, &read), CW_ANSWER_GOOD);
                tried++;
            }
        }
        memcpy(wrong, plain, sizeof plain);
        if (i < 13 && wrong[i] != wrong[i + 1]) {
            wrong[i] = plain[i + 1];
            wrong[i + 1] = plain[i];
            assert_int_not_equal(cw_answer_code_read(wrong, &read), CW_ANSWER_GOOD);
            tried++;
        }
    }
    assert_int_equal(tried, 447);
    assert_int_not_equal(cw_answer_code_read("03ABG-ZH86-KJR5-9K", &read), CW_ANSWER_GOOD);
    assert_int_not_equal(cw_answer_code_read("3ABG-ZH86-KJR5-9K0", &read), CW_ANSWER_GOOD);
    assert_int_equal(cw_answer_code_read("3ABG-ZH86-KJR5-9U", &read), CW_ANSWER_SIGN);
    assert_int_equal(cw_answer_code_read("", &read), CW_ANSWER_LENGTH);
    assert_int_equal(cw_answer_code_read("3ABG-ZH86-KJR5-9K-3ABG-ZH86-KJR5-9K", &read), CW_ANSWER_LENGTH);
}

static void look_alikes_are_read(void **state)
{
    (void)state;
    char text[CW_ANSWER_CODE_TEXT];
    struct cw_answers sent = {0, 5, 0}, read;
    cw_answer_code_print(&sent, text);
    for (char *c = text; *c; c++) {
        *c = *c == '0' ? 'o' : *c == '1' ? 'l' : *c;
    }
    assert_non_null(strchr(text, 'o'));
    assert_int_equal(cw_answer_code_read(text, &read), CW_ANSWER_GOOD);
    assert_true(read.letter == 0 && read.count == 5 && read.bits == 0);
}

/* A letter shows SHA-256(salt, key); the key is revealed when the answers are in. */
static void a_sealed_key(void **state)
{
    (void)state;
    const char *key = "CW-KEY 1\ntest K7Q2M\nabx ABBABAABBBABAABA\n";
    unsigned char salt[16], digest[CW_SHA256_BYTES];
    char text[CW_SHA256_TEXT];
    struct cw_sha256 sha;
    for (size_t i = 0; i < sizeof salt; i++) {
        salt[i] = (unsigned char)i;
    }
    cw_sha256_start(&sha);
    cw_sha256_add(&sha, salt, sizeof salt);
    cw_sha256_add(&sha, key, strlen(key));
    cw_sha256_finish(&sha, digest);
    assert_string_equal(cw_sha256_print(digest, text),
                        "2a38cf821013475f9443f61d3886e9f685fe54f7b6d6d87143cacd0969220abc");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(crc_of_the_nine_digits),
        cmocka_unit_test(one_code_to_the_sign),
        cmocka_unit_test(every_number_of_answers_comes_back),
        cmocka_unit_test(mistakes_are_caught),
        cmocka_unit_test(look_alikes_are_read),
        cmocka_unit_test(a_sealed_key),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
