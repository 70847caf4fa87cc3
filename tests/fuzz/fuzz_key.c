/* SPDX-License-Identifier: ISC */
/* A letter's key, then answers to it. The key that is read is printed and read again as the same, and
 * whatever was answered is judged within what a probability can be. The first byte tells how many answers. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "answer_code.h"
#include "blind_key.h"
#include "fuzz.h"
#include "letter.h"

static char *text_of(const struct cw_key *key, size_t *size)
{
    char *text = NULL;
    FILE *stream = open_memstream(&text, size);
    FUZZ_REQUIRE(stream);
    cw_key_print(stream, key);
    FUZZ_REQUIRE(fclose(stream) == 0);
    return text;
}

static void reads_back(const struct cw_key *key)
{
    size_t size, again_size;
    struct cw_key again;
    char *text = text_of(key, &size);
    FUZZ_REQUIRE(cw_key_read(fuzz_file((const uint8_t *)text, size), &again, NULL));
    char *text_again = text_of(&again, &again_size);
    FUZZ_REQUIRE(size == again_size && memcmp(text, text_again, size) == 0);
    free(text);
    free(text_again);
}

static int is_probability(double p) { return p >= 0.0 && p <= 1.0; }

static void is_judged(const struct cw_letter *letter, int count, uint64_t bits)
{
    struct cw_answers answers = {.letter = letter->id, .count = count, .bits = bits};
    struct cw_letter_score score;
    if (!cw_letter_judge(letter, &answers, &score)) {
        return;
    }
    FUZZ_REQUIRE(count >= 1 && count <= letter->count);
    FUZZ_REQUIRE(is_probability(score.probability));
    FUZZ_REQUIRE(is_probability(score.low) && is_probability(score.high) && score.low <= score.high);
    FUZZ_REQUIRE(score.evidence >= 0.0 && isfinite(score.evidence));
    FUZZ_REQUIRE(score.chosen >= 0 && score.chosen <= score.trials && score.trials <= count);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct cw_key key;
    if (size < 9 || !cw_key_read(fuzz_file(data + 9, size - 9), &key, NULL)) {
        return 0;
    }
    uint64_t bits;
    memcpy(&bits, data + 1, sizeof bits);
    int count = data[0] % (CW_ANSWERS_MAX + 1);
    reads_back(&key);
    is_judged(&key.letter, count, bits & ((1ull << count) - 1));
    return 0;
}
