/* SPDX-License-Identifier: ISC */
/* Codes of answers as somebody reads them out: what is read is in range and is printed as a code that reads
 * the same; and any answers at all survive being printed and read. */
#include <stdlib.h>
#include <string.h>

#include "answer_code.h"
#include "fuzz.h"

static void survives(const struct cw_answers *answers)
{
    char text[CW_ANSWER_CODE_TEXT];
    struct cw_answers again;
    FUZZ_REQUIRE(cw_answer_code_read(cw_answer_code_print(answers, text), &again) == CW_ANSWER_GOOD);
    FUZZ_REQUIRE(again.letter == answers->letter && again.count == answers->count && again.bits == answers->bits);
}

static void any_answers(const uint8_t *data, size_t size)
{
    struct fuzz_bytes bytes = {data, size};
    struct cw_answers answers = {.count = fuzz_byte(&bytes) % (CW_ANSWERS_MAX + 1)};
    answers.letter = (fuzz_word(&bytes) | (uint32_t)fuzz_word(&bytes) << 16) & ((1u << 26) - 1);
    for (int i = 0; i < 4; i++) {
        answers.bits = answers.bits << 16 | fuzz_word(&bytes);
    }
    answers.bits &= (1ull << answers.count) - 1;
    survives(&answers);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct cw_answers answers;
    char *text = malloc(size + 1);
    FUZZ_REQUIRE(text);
    memcpy(text, data, size);
    text[size] = '\0';
    if (cw_answer_code_read(text, &answers) == CW_ANSWER_GOOD) {
        FUZZ_REQUIRE(answers.count >= 0 && answers.count <= CW_ANSWERS_MAX && answers.letter < 1u << 26);
        FUZZ_REQUIRE(answers.bits >> answers.count == 0);
        survives(&answers);
    }
    free(text);
    any_answers(data, size);
    return 0;
}
