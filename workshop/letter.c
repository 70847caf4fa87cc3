/* SPDX-License-Identifier: ISC */
#include "letter.h"

#include <math.h>
#include <string.h>

#include "chance.h"

const char *const cw_question_word[CW_QUESTIONS] = {"prefer", "brighter", "nearer", "differ"};
const char *const cw_question_text[CW_QUESTIONS] = {
    "Which do you prefer?",
    "Which is brighter?",
    "Which is nearer to the reference?",
    "Which of the two is X?",
};

enum { ID_BITS = 26 };

static void swap(struct cw_trial *a, struct cw_trial *b)
{
    struct cw_trial kept = *a;
    *a = *b;
    *b = kept;
}

/* Every order as likely (R. Durstenfeld, Comm. ACM 7, 1964). */
static void shuffle(struct cw_letter *letter, struct cw_random *random)
{
    for (int i = letter->count - 1; i > 0; i--) {
        swap(&letter->trial[i], &letter->trial[cw_random_below(random, (uint32_t)i + 1)]);
    }
}

static void plan_named(struct cw_letter *letter, int trials, struct cw_random *random)
{
    for (int i = 0; i < trials; i++) {
        int x = (int)cw_random_below(random, 2);
        letter->trial[letter->count++] = (struct cw_trial){x, 1 - x};
    }
}

static void plan_pairs(struct cw_letter *letter, int rounds, struct cw_random *random)
{
    for (int round = 0; round < rounds; round++) {
        for (int i = 0; i < letter->candidates; i++) {
            for (int j = 0; j < letter->candidates; j++) {
                if (i != j) {
                    letter->trial[letter->count++] = (struct cw_trial){i, j};
                }
            }
        }
    }
    int equal = (int)cw_random_below(random, (uint32_t)letter->candidates);
    letter->trial[letter->count++] = (struct cw_trial){equal, equal};
    shuffle(letter, random);
}

bool cw_letter_plan(struct cw_letter *letter, enum cw_question question, int candidates, int trials, double level,
                    struct cw_random *random)
{
    int pairs = candidates * (candidates - 1), rounds = pairs > 0 ? (trials + pairs - 1) / pairs : 0;
    bool named = question == CW_ASK_DIFFER;
    memset(letter, 0, sizeof *letter);
    if (candidates < 2 || candidates > CW_LETTER_CANDIDATES || (named && candidates != 2) || trials < 1 ||
        (named ? trials : rounds * pairs) > CW_TRIALS_MOST) {
        return false;
    }
    letter->question = question;
    letter->candidates = candidates;
    letter->level = level;
    letter->id = cw_random_word(random) >> (32 - ID_BITS);
    if (named) {
        plan_named(letter, trials, random);
    } else {
        plan_pairs(letter, rounds, random);
    }
    return true;
}

static int answer_of(const struct cw_answers *answers, int trial)
{
    return (int)(answers->bits >> (answers->count - 1 - trial) & 1u);
}

static void count_answer(const struct cw_letter *letter, const struct cw_trial *trial, int answer,
                         struct cw_letter_score *score, struct cw_preferences *preferences)
{
    if (letter->question == CW_ASK_DIFFER) {
        score->trials++;
        score->chosen += answer == trial->first;
    } else if (trial->first == trial->second) {
        score->equals++;
        score->equal_firsts += answer == 0;
    } else {
        int winner = answer == 0 ? trial->first : trial->second;
        score->trials++;
        score->firsts += answer == 0;
        score->chosen += winner == 0;
        score->wins[winner]++;
        preferences->trials[trial->first][trial->second] += 1.0;
        preferences->firsts[trial->first][trial->second] += answer == 0;
    }
}

/* Circular triads of the majority in each pair; a draw goes to the one that stands first in the key. */
static void count_triads(const struct cw_preferences *p, struct cw_letter_score *score)
{
    int wins[CW_LETTER_CANDIDATES] = {0};
    for (int i = 0; i < p->count; i++) {
        for (int j = i + 1; j < p->count; j++) {
            double of_i = p->firsts[i][j] + p->trials[j][i] - p->firsts[j][i];
            double of_j = p->firsts[j][i] + p->trials[i][j] - p->firsts[i][j];
            wins[of_i >= of_j ? i : j]++;
        }
    }
    score->triads = cw_circular_triads(p->count, wins, &score->most_triads);
}

double cw_letter_evidence(int trials, int chosen)
{
    return 0.5 * (cw_evidence(trials, chosen) + cw_evidence(trials, trials - chosen));
}

static void judge_two(bool named, struct cw_letter_score *score)
{
    int n = score->trials, k = score->chosen, more = k > n - k ? k : n - k;
    score->probability = named ? cw_binomial_tail(n, k, 0.5) : fmin(1.0, 2.0 * cw_binomial_tail(n, more, 0.5));
    score->evidence = named ? cw_evidence(n, k) : cw_letter_evidence(n, k);
    cw_clopper_pearson(n, k, 0.95, &score->low, &score->high);
}

bool cw_letter_judge(const struct cw_letter *letter, const struct cw_answers *answers, struct cw_letter_score *score)
{
    struct cw_preferences preferences = {.count = letter->candidates};
    memset(score, 0, sizeof *score);
    if (answers->letter != letter->id || answers->count > letter->count || answers->count < 1) {
        return false;
    }
    for (int i = 0; i < answers->count; i++) {
        count_answer(letter, &letter->trial[i], answer_of(answers, i), score, &preferences);
    }
    if (letter->candidates == 2) {
        judge_two(letter->question == CW_ASK_DIFFER, score);
    } else {
        score->is_ranked = cw_rank(&preferences, false, &score->ranking);
        count_triads(&preferences, score);
    }
    return true;
}
