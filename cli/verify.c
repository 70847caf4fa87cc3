/* SPDX-License-Identifier: ISC */
/* coilwright verify: whether a sealed design is what it was. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "acceptance.h"
#include "arguments.h"
#include "candidate.h"
#include "coil_limits.h"
#include "command.h"
#include "difference.h"
#include "fingerprint.h"
#include "journal.h"
#include "journal_entry.h"
#include "message.h"
#include "minisign.h"
#include "options.h"
#include "output.h"
#include "seal.h"
#include "seal_file.h"
#include "show.h"

enum option { OPT_BEFORE = 1, OPT_FINGERPRINT, OPT_JOURNAL, OPT_KEY, OPT_SIGNATURE };

static const struct cw_option options[] = {
    CW_HEADING("What it is held against"),
    {OPT_FINGERPRINT, "fingerprint", 0, "DIGITS",
     "The fingerprint on paper, its first 16 to 64 digits, blanks allowed; default none."},
    {OPT_KEY, "key", 0, "FILE", "A public key of minisign, or the key itself: the signature is checked; default none."},
    {OPT_SIGNATURE, "signature", 0, "FILE", "The signature; default the seal's name and .minisig."},
    {OPT_BEFORE, "before", 0, "FILE", "The seal that is said to be of the revision before; default none."},
    {OPT_JOURNAL, "journal", 0, "FILE",
     "The journal that it was noted in, - for none; default that of coilwright journal --use."},
};

static const struct cw_usage usage = {
    "verify",
    "SEAL [CANDIDATE]",
    "Whether a sealed design is what it was: whether the seal holds, and is the one on paper or signed;\n"
    "whether this program computes the same figures and limits; whether it is released; and with CANDIDATE, whether "
    "that preset is the design, or\n"
    "what was changed in it, in words and figures, and whether it is heard.",
    options,
    sizeof options / sizeof options[0],
    "A preset that a host only saved again is still the design. Without --fingerprint or --key the seal can be held\n"
    "against itself only: who edits text and fingerprint both is not found out. A seal that was noted in a journal\n"
    "tells the entry, by which a journal that was changed or cut since is found out. Exit status 1 where anything\n"
    "that was asked does not hold.",
};

struct request {
    const char *fingerprint, *key, *signature, *before, *journal;
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_BEFORE: request->before = args->value; return true;
    case OPT_FINGERPRINT: request->fingerprint = args->value; return true;
    case OPT_JOURNAL: request->journal = args->value; return true;
    case OPT_KEY: request->key = args->value; return true;
    case OPT_SIGNATURE: request->signature = args->value; return true;
    default: return false;
    }
}

static void print_head(const struct cw_seal *seal)
{
    cw_print_quoting(stdout, "Seal: %s, revision %s, %s, %s, sealed by coilwright %s", seal->title, seal->revision,
                     seal->status, seal->date, seal->program);
    putchar('\n');
}

/* One line of the answer. \return good */
static bool say(bool good, const char *what, const char *words)
{
    printf("%-4s %s: %s.\n", good ? "ok" : "NO", what, words);
    return good;
}

static bool check_own(const struct cw_seal *seal)
{
    return say(seal->holds, "own fingerprint",
               seal->holds ? "holds; that alone proves no more than that nobody edited the text alone"
                           : "does not hold: the seal was edited");
}

static bool check_paper(const struct cw_seal *seal, const char *paper)
{
    bool is_one, same = cw_seal_matches(seal->fingerprint, paper, &is_one);
    return say(same && seal->holds, "paper",
               !same          ? "another fingerprint: this is not the seal that was printed"
               : !seal->holds ? "the fingerprint is the one on paper, but not that of this text: the seal was edited"
                              : "the fingerprint is the one on paper");
}

static bool check_signature(const char *path, const char *text, size_t text_length, const struct request *request)
{
    char comment[CW_COMMENT_TEXT];
    size_t size = strlen(path) + sizeof ".minisig";
    char *beside = malloc(size);
    if (!beside) {
        cw_error_memory();
        return false;
    }
    snprintf(beside, size, "%s.minisig", path);
    bool good = cw_minisign_verify(request->key, path, text, text_length,
                                   request->signature ? request->signature : beside, comment);
    say(good, "signature", good ? "of this file and this key" : "not of this file and this key");
    if (good) {
        printf("%*ssigned with the comment: ", CW_INDENT, "");
        cw_print_folded(stdout, comment, CW_INDENT + strlen("signed with the comment: "), CW_INDENT);
    }
    free(beside);
    return good;
}

/* \return false where it cannot be read too, after a message */
static bool check_before(const struct cw_seal *seal, const char *path)
{
    struct cw_seal *before = malloc(sizeof *before);
    bool good = before && cw_seal_load(path, before);
    if (good) {
        good = before->holds && strcmp(before->fingerprint, seal->before) == 0;
        say(good, "revision before", good ? "is the one that this seal names" : "is not the one that this seal names");
    } else if (!before) {
        cw_error_memory();
    }
    free(before);
    return good;
}

/* Whether a journal still has the entry that a seal tells, as it was then. */
static bool check_entry(const struct cw_seal *seal, const char *path)
{
    struct cw_journal journal;
    size_t length;
    char *text = cw_journal_text(path, &length);
    if (!text) {
        return false;
    }
    const bool had = cw_journal_had(text, length, seal->journal_count, seal->journal_head);
    const bool whole = cw_journal_check(text, length - cw_journal_torn(text, length), &journal);
    say(had && whole, "journal",
        !had     ? "does NOT have the entry that the seal tells: it was changed or cut since, or is another journal"
        : !whole ? "has the entry that the seal tells, but was changed further on"
                 : "has the entry that the seal tells, and all before it as they were then");
    free(text);
    return had && whole;
}

/* Without a journal at hand it is only said where the seal was noted. \return false where that cannot be told too */
static bool check_journal(const struct cw_seal *seal, const char *file)
{
    char *path;
    bool good = cw_journal_chosen(file, &path);
    if (good && path && seal->journal_count > 0) {
        good = check_entry(seal, path);
    } else if (good && path && file) {
        good = say(false, "journal", "the seal tells no entry of one");
    }
    if (seal->journal_count > 0) {
        printf("     noted as entry %zu of a journal, head %.16s%s\n", seal->journal_count, seal->journal_head,
               path ? "" : ": name it with --journal");
    }
    free(path);
    return good;
}

static bool check_figures(const struct cw_seal *seal)
{
    double now[CW_SEAL_FIGURES];
    int off = 0;
    cw_seal_figures(&seal->setup, now);
    for (int i = 0; i < CW_SEAL_FIGURES; i++) {
        off += !cw_seal_same((enum cw_seal_figure)i, now[i], seal->figure[i]);
    }
    say(off == 0, "figures",
        off == 0 ? "this program computes the same, within 0.02 % and 0.002 dB" : "this program computes others");
    for (int i = 0; i < CW_SEAL_FIGURES && off > 0; i++) {
        if (!cw_seal_same((enum cw_seal_figure)i, now[i], seal->figure[i])) {
            char sealed[CW_VALUE_TEXT], computed[CW_VALUE_TEXT];
            printf("     %s: sealed %s %s, now %s\n", cw_seal_figure_info[i].words,
                   cw_seal_figure_print((enum cw_seal_figure)i, seal->figure[i], sealed), cw_seal_figure_info[i].unit,
                   cw_seal_figure_print((enum cw_seal_figure)i, now[i], computed));
        }
    }
    return off == 0;
}

/* What a batch is accepted by: a seal with limits of its own making accepts anything. */
static bool check_limits(const struct cw_seal *seal)
{
    struct cw_limits now[CW_BENCH_READINGS];
    int off = 0;
    cw_seal_limits(&seal->setup, now);
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        off += !cw_seal_same_limits(&now[i], &seal->limit[i]);
    }
    say(off == 0, "limits",
        off == 0 ? "this program computes the same for the bench, within 0.1 %"
                 : "this program computes others: no batch is to be accepted by these");
    for (int i = 0; i < CW_BENCH_READINGS && off > 0; i++) {
        if (!cw_seal_same_limits(&now[i], &seal->limit[i])) {
            printf("     %s: sealed %.4g to %.4g %s, now %.4g to %.4g\n", cw_seal_limit_info[i].words,
                   seal->limit[i].low, seal->limit[i].high, cw_seal_limit_info[i].unit, now[i].low, now[i].high);
        }
    }
    return off == 0;
}

/* Whether it is to be built from: whoever withdrew it, or has not released it, said no. */
static bool check_status(const struct cw_seal *seal)
{
    bool released = strcmp(seal->status, "RELEASED") == 0, draft = strcmp(seal->status, "DRAFT") == 0;
    return say(released || draft, "status",
               released                                 ? "released"
               : draft                                  ? "a draft: not released to be wound"
               : strcmp(seal->status, "WITHDRAWN") == 0 ? "WITHDRAWN: not to be wound"
                                                        : "none that this program knows");
}

static bool check_candidate(const struct cw_seal *seal, const char *name)
{
    struct cw_candidates list = {0};
    bool good = cw_candidates_add(&list, name, NULL);
    if (good && list.count != 1) {
        cw_error_at(name, 0, "expected one candidate, found a comparison: name a side, as in FILE#a");
        good = false;
    } else if (good) {
        int count = cw_differences(&seal->setup, &list.item[0].setup);
        say(count == 0, "candidate", count == 0 ? "every control is as sealed" : "it was changed");
        good = count == 0;
        if (count > 0) {
            putchar('\n');
            cw_difference_print(stdout, &seal->setup, &list.item[0].setup);
        }
    }
    cw_candidates_free(&list);
    return good;
}

static int verify(const struct request *request, char *const *names, size_t count)
{
    size_t length;
    struct cw_seal *seal = malloc(sizeof *seal);
    char *text = seal ? cw_seal_load_text(names[0], seal, &length) : NULL;
    if (!text) {
        if (!seal) {
            cw_error_memory();
        }
        free(seal);
        return CW_FAILED;
    }
    print_head(seal);
    bool good = check_own(seal);
    good = (!request->fingerprint || check_paper(seal, request->fingerprint)) && good;
    good = (!request->key || check_signature(names[0], text, length, request)) && good;
    good = (!request->before || check_before(seal, request->before)) && good;
    good = check_journal(seal, request->journal) && good;
    good = check_figures(seal) && good;
    good = check_limits(seal) && good;
    good = check_status(seal) && good;
    good = (count < 2 || check_candidate(seal, names[1])) && good;
    if (!request->fingerprint && !request->key) {
        puts("\nHeld against itself only: name the fingerprint on paper (--fingerprint) or a key (--key).");
    }
    free(text);
    free(seal);
    return cw_stdout_finish() && good ? CW_DONE : CW_FAILED;
}

static bool sensible(const struct request *request, size_t operands)
{
    bool is_one = true;
    if (request->fingerprint) {
        cw_seal_matches("", request->fingerprint, &is_one);
    }
    const char *trouble = operands < 1 || operands > 2 ? "expected SEAL and at most one CANDIDATE"
                          : !is_one                    ? "--fingerprint: expected 16 to 64 digits 0 to 9 and a to f"
                          : request->signature && !request->key ? "--signature belongs to --key"
                                                                : NULL;
    if (trouble) {
        cw_bad_usage(&usage, "%s", trouble);
    }
    return !trouble;
}

static int run(void *request, char *const *names, size_t count)
{
    return sensible(request, count) ? verify(request, names, count) : CW_BAD_USAGE;
}

const struct cw_usage *cw_usage_verify(void) { return &usage; }

int cw_cmd_verify(int argc, char **argv)
{
    struct request request = {0};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
