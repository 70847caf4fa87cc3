/* SPDX-License-Identifier: ISC */
/* coilwright score: what the answers to a letter prove. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "answer_code.h"
#include "arguments.h"
#include "blind_key.h"
#include "chance.h"
#include "command.h"
#include "escape.h"
#include "journal_entry.h"
#include "letter.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "ranking.h"
#include "sha256.h"
#include "show.h"

static const struct cw_option options[] = {
    CW_JOURNAL_OPTION,
    CW_BECAUSE_OPTION,
};

static const struct cw_usage usage = {
    "score",
    "KEY CODE...",
    "Read the answers to a letter by its key, and say what they prove. CODE is what the letter showed, or the\n"
    "plain figures 1 and 2 of all its trials; several codes are rounds of the same letter.",
    options,
    sizeof options / sizeof options[0],
    "Between two candidates: the exact binomial test, either way (ABX: of right answers), with the interval of\n"
    "Clopper and Pearson and what could have been detected. A round that was looked at before the next one began is\n"
    "not judged by the same test again: over rounds the evidence is multiplied, and 20 is proof at 5 %.\n"
    "Between three and more: strengths by Bradley and Terry with standard errors, and circular triads.\n"
    "The key is to be revealed with the answers: its SHA-256 stands in the letter.",
};

enum { ROUNDS_MAX = 64 };
static const double PROOF = 20.0; /* evidence: 1 / 0.05 */

/* Answers written as figures, one for each trial. */
static bool read_figures(const char *text, const struct cw_letter *letter, struct cw_answers *answers)
{
    *answers = (struct cw_answers){.letter = letter->id};
    for (; *text; text++) {
        if (*text == '1' || *text == '2') {
            answers->bits = answers->bits << 1 | (*text == '2');
            answers->count++;
        } else if (*text != ' ' && *text != '-') {
            return false;
        }
        if (answers->count > letter->count) {
            return false;
        }
    }
    return answers->count == letter->count;
}

static bool read_code(const char *text, const struct cw_letter *letter, struct cw_answers *answers)
{
    static const char *const why[] = {
        [CW_ANSWER_GOOD] = "the code of another letter",
        [CW_ANSWER_SIGN] = "a sign that no code has",
        [CW_ANSWER_LENGTH] = "too few signs, or too many",
        [CW_ANSWER_CRC] = "a code that was misread or mistyped",
        [CW_ANSWER_VERSION] = "a code of another version of the program",
    };
    if (read_figures(text, letter, answers)) {
        return true;
    }
    enum cw_answer_error error = cw_answer_code_read(text, answers);
    if (error == CW_ANSWER_GOOD && answers->letter == letter->id && answers->count >= 1 &&
        answers->count <= letter->count) {
        return true;
    }
    cw_error("'%s': expected a code of letter %07x, found %s", text, (unsigned)letter->id, why[error]);
    return false;
}

static void print_detectable(const struct cw_letter *letter, int trials)
{
    double level = letter->question == CW_ASK_DIFFER ? letter->level : letter->level / 2.0;
    if (cw_fewest_right(trials, 0.5, level) > trials) {
        printf("%d trials can prove nothing at %g %%, whatever the answers.\n", trials, 100.0 * letter->level);
        return;
    }
    printf(
        "That does not prove that there is none: who hears it in 60 %% of trials would have been found with a chance "
        "of %.0f %%,\nin 75 %% with %.0f %%, in 90 %% with %.0f %%.\n",
        100.0 * cw_power(trials, 0.6, 0.5, level), 100.0 * cw_power(trials, 0.75, 0.5, level),
        100.0 * cw_power(trials, 0.9, 0.5, level));
    int more = cw_trials_for_power(0.75, 0.5, level, 0.9);
    if (more > trials) {
        printf("From %d trials on, who hears it in 75 %% is found with a chance of 90 %% or more.\n", more);
    }
}

static void print_verdict_of_two(const struct cw_key *key, const struct cw_letter_score *score)
{
    static const char *const verb[] = {"is preferred", "is brighter", "is nearer to the reference"};
    bool named = key->letter.question == CW_ASK_DIFFER, proved = score->probability <= key->letter.level;
    int winner = score->chosen * 2 >= score->trials ? 0 : 1;
    if (named && proved) {
        puts("Proved: the two can be told apart.");
    } else if (proved) {
        cw_print_quoting(stdout, "Proved: %s %s.", key->candidate[winner].label, verb[key->letter.question]);
    } else {
        puts("Not proved: the answers may be guesses.");
        print_detectable(&key->letter, score->trials);
    }
}

static void print_two(const struct cw_key *key, const struct cw_letter_score *score)
{
    bool named = key->letter.question == CW_ASK_DIFFER;
    if (named) {
        printf("Right in %d of %d; by guessing that or more comes with a probability of %.3g.\n", score->chosen,
               score->trials, score->probability);
    } else {
        cw_print_quoting(stdout, "Counted: %s: chosen in %d of %d; %s: in %d.", key->candidate[0].label, score->chosen,
                         score->trials, key->candidate[1].label, score->trials - score->chosen);
        printf("By guessing this or more, either way: %.3g.\n", score->probability);
    }
    printf("Share, 95 %% interval: %.0f to %.0f %%. Evidence against guessing: %.3g.\n", 100.0 * score->low,
           100.0 * score->high, score->evidence);
    print_verdict_of_two(key, score);
}

static void print_ranking(const struct cw_key *key, const struct cw_letter_score *score)
{
    const struct cw_ranking *ranking = &score->ranking;
    if (!score->is_ranked) {
        puts("Too few answers to rank the candidates.");
        return;
    }
    printf("%-43s %8s %9s %8s\n", "", "chosen", "strength", "+-");
    for (int i = 0; i < key->letter.candidates; i++) {
        char name[41];
        printf("%d  %-40s %8d %9.2f %8.2f\n", i + 1, cw_text_fit(key->candidate[i].label, name, sizeof name),
               score->wins[i], ranking->strength[i], ranking->error[i]);
    }
    cw_print_quoting(stdout,
                     "Strength: logit of being chosen over %s; +- one standard error. A difference of two such errors "
                     "counts.",
                     key->candidate[0].label);
    if (ranking->is_helped) {
        puts("One never won or never lost: half a choice was added each way to every pair.");
    }
    printf("Circular triads: %.0f of at most %.0f (a listener who knows has none).\n", score->triads,
           score->most_triads);
}

static void print_listener(const struct cw_key *key, const struct cw_letter_score *score)
{
    if (key->letter.question == CW_ASK_DIFFER) {
        return;
    }
    printf("What was heard first was chosen in %d of %d.", score->firsts, score->trials);
    if (score->equals > 0) {
        printf(" Of the hidden pair of equals: the %s.", score->equal_firsts ? "first" : "second");
    }
    putchar('\n');
}

/* Whether the one's answers begin as all of the other's do: a code that was sent before the end, and one after it. */
static bool same_beginning(const struct cw_answers *a, const struct cw_answers *b)
{
    int both = a->count < b->count ? a->count : b->count;
    return a->bits >> (a->count - both) == b->bits >> (b->count - both);
}

/* The first round whose answers come again, from 1; 0 where all differ. */
static int repeated(const struct cw_answers *answers, int rounds)
{
    for (int i = 1; i < rounds; i++) {
        for (int k = 0; k < i; k++) {
            if (same_beginning(&answers[i], &answers[k])) {
                return k + 1;
            }
        }
    }
    return 0;
}

/* Over rounds that were looked at one by one. */
static void print_rounds(const struct cw_answers *answers, int rounds, double evidence)
{
    if (repeated(answers, rounds)) {
        printf("\nThe answers of round %d come again. Unless the letter was answered again from the start, and all "
               "alike, it\n"
               "is one round: what is said of all rounds together does not hold then.\n",
               repeated(answers, rounds));
    }
    if (rounds > 1) {
        printf("\nAll %d rounds together: evidence %.3g against guessing; %s\n", rounds, evidence,
               evidence >= PROOF ? "20 is passed: proved, however often it was looked at."
                                 : "20 would be proof. Further rounds may be added.");
    }
}

static void print_round(const struct cw_key *key, const struct cw_answers *answers, int round, int rounds,
                        const struct cw_letter_score *score)
{
    if (rounds > 1) {
        printf("\nRound %d\n", round);
    }
    if (answers->count < key->letter.count) {
        printf("Only %d of %d planned answers: what was planned is not what is judged.\n", answers->count,
               key->letter.count);
    }
    char code[CW_ANSWER_CODE_TEXT];
    printf("The answers as a code, for the record: %s\n", cw_answer_code_print(answers, code));
    if (key->letter.candidates == 2) {
        print_two(key, score);
    } else {
        print_ranking(key, score);
    }
    print_listener(key, score);
}

/* ---- the journal ---- */

static void note_two(struct cw_entry *entry, const struct cw_key *key, const struct cw_letter_score *score)
{
    bool named = key->letter.question == CW_ASK_DIFFER, proved = score->probability <= key->letter.level;
    const char *winner = key->candidate[score->chosen * 2 >= score->trials ? 0 : 1].label;
    cw_entry_add(entry, "figures", "%s %d of %d, probability %.3g, evidence %.3g",
                 named ? "right" : key->candidate[0].label, score->chosen, score->trials, score->probability,
                 score->evidence);
    cw_entry_add(entry, "verdict", "%s%s", proved ? "proved: " : "not proved",
                 !proved ? ""
                 : named ? "told apart"
                         : winner);
}

static void note_round(struct cw_entry *entry, const struct cw_key *key, const char *code,
                       const struct cw_letter_score *score)
{
    cw_entry_add(entry, "code", "%s", code);
    if (key->letter.candidates == 2) {
        note_two(entry, key, score);
        return;
    }
    for (int i = 0; i < key->letter.candidates && score->is_ranked; i++) {
        cw_entry_add(entry, "figures", "%s: strength %.2f +- %.2f", key->candidate[i].label, score->ranking.strength[i],
                     score->ranking.error[i]);
    }
}

static bool begin_note(struct cw_entry *entry, const struct cw_journal_request *journal, const struct cw_key *key,
                       const char *path)
{
    if (!cw_journal_ready(journal) || !cw_entry_begin(entry, journal, "score")) {
        return false;
    }
    cw_entry_add(entry, "letter", "%07x", (unsigned)key->letter.id);
    cw_entry_add(entry, "question", "%s", cw_question_text[key->letter.question]);
    cw_entry_add_file(entry, "key", path);
    return true;
}

/* ---- the command ---- */

static int score_codes(const struct cw_journal_request *journal, const char *path, char *const *codes, int rounds)
{
    struct cw_key key;
    struct cw_answers answers[ROUNDS_MAX];
    struct cw_entry entry;
    char digest[CW_SHA256_TEXT];
    double evidence = 1.0;
    if (!cw_key_read(path, &key, digest)) {
        return CW_FAILED;
    }
    for (int i = 0; i < rounds; i++) {
        if (!read_code(codes[i], &key.letter, &answers[i])) {
            return CW_FAILED;
        }
    }
    if (!begin_note(&entry, journal, &key, path)) {
        return CW_FAILED;
    }
    printf("%s Letter %07x, %d trials, level of proof %g %%.\n", cw_question_text[key.letter.question],
           (unsigned)key.letter.id, key.letter.count, 100.0 * key.letter.level);
    for (int i = 0; i < rounds; i++) {
        struct cw_letter_score score;
        if (cw_letter_judge(&key.letter, &answers[i], &score)) {
            print_round(&key, &answers[i], i + 1, rounds, &score);
            note_round(&entry, &key, codes[i], &score);
            evidence *= key.letter.candidates == 2 ? score.evidence : 1.0;
        }
    }
    if (key.letter.candidates == 2) {
        print_rounds(answers, rounds, evidence);
    }
    printf("\nWho listens with an editor can sort clips by their sound%s: this counts on a listener who did not.\n",
           key.letter.question == CW_ASK_DIFFER ? " and solve ABX outright" : " and find the hidden pair");
    fputs("To be revealed: ", stdout);
    cw_print_shown(stdout, path);
    printf(", whose SHA-256 the letter shows:\n%s\n", digest);
    return cw_entry_finish(&entry, stdout) && cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

static bool take_option(struct cw_args *args, int id, void *to) { return cw_journal_take(args, id, to); }

static int run(void *request, char *const *operands, size_t count)
{
    return count < 2 || count > ROUNDS_MAX + 1
               ? cw_bad_usage(&usage, "expected a key and 1 to %d codes, found %zu operands", ROUNDS_MAX, count)
               : score_codes(request, operands[0], operands + 1, (int)count - 1);
}

const struct cw_usage *cw_usage_score(void) { return &usage; }

int cw_cmd_score(int argc, char **argv)
{
    struct cw_journal_request journal = {0};
    return cw_args_run(&usage, argc, argv, take_option, run, &journal);
}
