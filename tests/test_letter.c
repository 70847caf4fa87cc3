/* SPDX-License-Identifier: ISC */
/* Letters without names: what is drawn is fair, and what answers prove is told at its rate. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "answer_code.h"
#include "chance.h"
#include "letter.h"
#include "random.h"
#include "sha256.h"

static void seed_with(struct cw_random *random, unsigned number)
{
    unsigned char seed[CW_SEED_BYTES] = {0};
    seed[0] = (unsigned char)number;
    seed[1] = (unsigned char)(number >> 8);
    cw_random_start(random, seed);
}

/* The first words are those of SHA-256 over 32 zeros and the counter, by sha256sum. */
static void the_generator_is_sha256(void **state)
{
    (void)state;
    struct cw_random random;
    unsigned char input[CW_SEED_BYTES + 8] = {0}, digest[CW_SHA256_BYTES];
    seed_with(&random, 0);
    for (unsigned block = 0; block < 3; block++) {
        input[sizeof input - 1] = (unsigned char)block;
        cw_sha256(input, sizeof input, digest);
        for (unsigned i = 0; i < 8; i++) {
            uint32_t word = cw_random_word(&random);
            assert_int_equal(word >> 24, digest[4 * i]);
            assert_int_equal(word & 255, digest[4 * i + 3]);
        }
    }
    unsigned count[7] = {0};
    for (int i = 0; i < 70000; i++) {
        count[cw_random_below(&random, 7)]++;
    }
    for (int i = 0; i < 7; i++) {
        assert_true(count[i] > 9600 && count[i] < 10400); /* 4.3 standard deviations */
    }
}

static void each_pair_in_both_orders(void **state)
{
    (void)state;
    for (int candidates = 2; candidates <= CW_LETTER_CANDIDATES; candidates++) {
        struct cw_random random;
        struct cw_letter letter;
        int seen[CW_LETTER_CANDIDATES][CW_LETTER_CANDIDATES] = {{0}}, equals = 0;
        seed_with(&random, (unsigned)candidates);
        assert_true(cw_letter_plan(&letter, CW_ASK_PREFER, candidates, 16, 0.05, &random));
        for (int i = 0; i < letter.count; i++) {
            seen[letter.trial[i].first][letter.trial[i].second]++;
            equals += letter.trial[i].first == letter.trial[i].second;
        }
        assert_int_equal(equals, 1);
        for (int i = 0; i < candidates; i++) {
            for (int j = 0; j < candidates; j++) {
                assert_true(i == j || seen[i][j] == seen[0][1]);
            }
        }
        assert_true(letter.count - 1 >= 16 && letter.id < 1u << 26);
    }
}

static void what_does_not_fit_is_refused(void **state)
{
    (void)state;
    struct cw_random random;
    struct cw_letter letter;
    seed_with(&random, 1);
    assert_false(cw_letter_plan(&letter, CW_ASK_PREFER, 1, 16, 0.05, &random));
    assert_false(cw_letter_plan(&letter, CW_ASK_PREFER, 9, 16, 0.05, &random));
    assert_false(cw_letter_plan(&letter, CW_ASK_DIFFER, 3, 16, 0.05, &random));
    assert_false(cw_letter_plan(&letter, CW_ASK_PREFER, 8, 57, 0.05, &random));
    assert_false(cw_letter_plan(&letter, CW_ASK_PREFER, 2, 63, 0.05, &random));
    assert_false(cw_letter_plan(&letter, CW_ASK_PREFER, 2, 0, 0.05, &random));
}

static struct cw_answers answers_of(const struct cw_letter *letter, int (*answer)(const struct cw_trial *, void *),
                                    void *data)
{
    struct cw_answers answers = {letter->id, letter->count, 0};
    for (int i = 0; i < letter->count; i++) {
        answers.bits = answers.bits << 1 | (uint64_t)answer(&letter->trial[i], data);
    }
    return answers;
}

static int prefers_the_lower(const struct cw_trial *trial, void *data)
{
    (void)data;
    return trial->second < trial->first;
}

static int hears_x(const struct cw_trial *trial, void *data)
{
    (void)data;
    return trial->first;
}

static int guesses(const struct cw_trial *trial, void *data)
{
    (void)trial;
    return (int)cw_random_below(data, 2);
}

static void a_sure_listener(void **state)
{
    (void)state;
    struct cw_random random;
    struct cw_letter letter;
    struct cw_letter_score score;
    seed_with(&random, 7);
    assert_true(cw_letter_plan(&letter, CW_ASK_BRIGHTER, 2, 16, 0.05, &random));
    struct cw_answers answers = answers_of(&letter, prefers_the_lower, NULL);
    assert_true(cw_letter_judge(&letter, &answers, &score));
    assert_int_equal(score.trials, 16);
    assert_int_equal(score.chosen, 16);
    assert_int_equal(score.firsts, 8);
    assert_int_equal(score.equals, 1);
    assert_true(fabs(score.probability - 2.0 / 65536.0) < 1e-15);
    answers.letter ^= 1;
    assert_false(cw_letter_judge(&letter, &answers, &score));

    assert_true(cw_letter_plan(&letter, CW_ASK_DIFFER, 2, 16, 0.05, &random));
    answers = answers_of(&letter, hears_x, NULL);
    assert_true(cw_letter_judge(&letter, &answers, &score));
    assert_int_equal(score.chosen, 16);
    assert_true(fabs(score.probability - 1.0 / 65536.0) < 1e-15);

    assert_true(cw_letter_plan(&letter, CW_ASK_PREFER, 4, 12, 0.05, &random));
    answers = answers_of(&letter, prefers_the_lower, NULL);
    assert_true(cw_letter_judge(&letter, &answers, &score));
    assert_true(score.is_ranked && score.ranking.is_helped);
    assert_int_equal(score.wins[0], 6);
    assert_int_equal(score.wins[3], 0);
    assert_true(score.triads == 0.0 && score.most_triads == 2.0);
    for (int i = 1; i < 4; i++) {
        assert_true(score.ranking.strength[i] < score.ranking.strength[i - 1]);
    }
}

/* 10,000 listeners who answer at random: as many are believed as the tails of the test say, within 0.5 %; of
 * three rounds in one by evidence at most 5 %. */
static void guessing_listeners(void **state)
{
    (void)state;
    enum { RUNS = 10000 };
    struct cw_random random;
    int chosen = 0, named = 0, evident = 0;
    seed_with(&random, 42);
    for (int run = 0; run < RUNS; run++) {
        struct cw_letter letter;
        struct cw_letter_score score;
        double evidence = 1.0;
        bool believed = false;
        for (int round = 0; round < 3; round++) {
            assert_true(cw_letter_plan(&letter, CW_ASK_PREFER, 2, 16, 0.05, &random));
            struct cw_answers answers = answers_of(&letter, guesses, &random);
            assert_true(cw_letter_judge(&letter, &answers, &score));
            chosen += round == 0 && score.probability <= 0.05;
            evidence *= score.evidence;
            believed = believed || evidence >= 20.0;
        }
        evident += believed;
        assert_true(cw_letter_plan(&letter, CW_ASK_DIFFER, 2, 16, 0.05, &random));
        struct cw_answers answers = answers_of(&letter, guesses, &random);
        assert_true(cw_letter_judge(&letter, &answers, &score));
        named += score.probability <= 0.05;
    }
    double either_way = 2.0 * cw_binomial_tail(16, 13, 0.5), one_way = cw_binomial_tail(16, 12, 0.5);
    print_message("guessing is believed: choice %.2f %% (nominal %.2f), ABX %.2f %% (nominal %.2f), three rounds by "
                  "evidence %.2f %%\n",
                  100.0 * chosen / RUNS, 100.0 * either_way, 100.0 * named / RUNS, 100.0 * one_way,
                  100.0 * evident / RUNS);
    assert_true(fabs((double)chosen / RUNS - either_way) <= 0.005);
    assert_true(fabs((double)named / RUNS - one_way) <= 0.005);
    assert_true((double)evident / RUNS <= 0.05);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_generator_is_sha256),      cmocka_unit_test(each_pair_in_both_orders),
        cmocka_unit_test(what_does_not_fit_is_refused), cmocka_unit_test(a_sure_listener),
        cmocka_unit_test(guessing_listeners),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
