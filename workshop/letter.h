/* SPDX-License-Identifier: ISC */
/** \file letter.h
 * A letter without names: which candidates are put beside one another, in which order, and what the answers
 * prove.
 *
 * Every question but the last asks to choose between two that have no names, so that nothing in the letter
 * says what is right. "Is there a difference" (ABX) names two and asks which of them a third one is: the weakest
 * test of all, and whoever compares samples can find the answer.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_LETTER_H
#define CW_LETTER_H

#include <stdbool.h>
#include <stdint.h>

#include "answer_code.h"
#include "random.h"
#include "ranking.h"

#ifdef __cplusplus
extern "C" {
#endif

enum cw_question { CW_ASK_PREFER, CW_ASK_BRIGHTER, CW_ASK_NEARER, CW_ASK_DIFFER, CW_QUESTIONS };

/** The word of a question for commands and keys ("prefer"), and the question. */
extern const char *const cw_question_word[CW_QUESTIONS];
extern const char *const cw_question_text[CW_QUESTIONS];

enum { CW_LETTER_CANDIDATES = 8, CW_TRIALS_LEAST = 4, CW_TRIALS_MOST = CW_ANSWERS_MAX - 1 };

/** One choice. Of ABX: first is what X is, 0 or 1, and second the other. */
struct cw_trial {
    int first, second; /**< candidates, from 0; the same: the hidden pair of equals */
};

/** What is fixed before the letter is sent. */
struct cw_letter {
    uint32_t id; /**< 26 bits */
    enum cw_question question;
    int candidates;
    int count; /**< trials, the hidden pair with them */
    struct cw_trial trial[CW_ANSWERS_MAX];
    double level; /**< of proof: the probability of passing by guessing, 0.05 */
};

/** Draw the plan of a letter: id, order, pairs. Each pair is asked in both orders as often, and one hidden pair
 * of equals is among them; of ABX each X is drawn by itself, and there is none.
 * \param trials asked for, without the hidden pair; rounded up to what holds each pair in both orders
 * \return false where that is more than CW_TRIALS_MOST, or the question does not fit the number of candidates */
bool cw_letter_plan(struct cw_letter *letter, enum cw_question question, int candidates, int trials, double level,
                    struct cw_random *random);

/** What answers prove. An answer of 0 chose the first (ABX: X is the first named). */
struct cw_letter_score {
    int trials;               /**< without the hidden pair */
    int chosen;               /**< two candidates: how often the first of the key was chosen; ABX: how often right */
    double probability;       /**< of as much or more by guessing; of two candidates either way */
    double low, high;         /**< interval of 95 % for the share of chosen */
    double evidence;          /**< may be multiplied over rounds */
    int firsts;               /**< how often what was heard first was chosen; of ABX 0 */
    int equals, equal_firsts; /**< hidden pairs, and how often their first was chosen */
    bool is_ranked;           /**< three and more: the two below */
    struct cw_ranking ranking;
    double triads, most_triads;     /**< circular, of the majority in each pair */
    int wins[CW_LETTER_CANDIDATES]; /**< choices of each */
};

/** \return false where the answers are none, more than the trials, or not to this letter; fewer are judged as
 * far as they go, which is not what was planned: say so */
bool cw_letter_judge(const struct cw_letter *letter, const struct cw_answers *answers, struct cw_letter_score *score);

/** Evidence of two rounds or more of choices between two, either way: the mean of both directions of each round.
 * \param chosen of \p trials */
double cw_letter_evidence(int trials, int chosen);

#ifdef __cplusplus
}
#endif
#endif
