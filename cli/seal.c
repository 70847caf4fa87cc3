/* SPDX-License-Identifier: ISC */
/* coilwright seal: release a design as one exact text with a fingerprint. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "arguments.h"
#include "candidate.h"
#include "command.h"
#include "date.h"
#include "digest_file.h"
#include "escape.h"
#include "journal.h"
#include "journal_entry.h"
#include "known.h"
#include "leads_table.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "preset_save.h"
#include "preset_text.h"
#include "revision.h"
#include "seal.h"
#include "seal_file.h"
#include "seal_mark.h"
#include "seal_schema.h"
#include "session_text.h"
#include "show.h"
#include "utf8.h"

enum option {
    OPT_BECAUSE = 1,
    OPT_BEFORE,
    OPT_DECIDED,
    OPT_FORCE,
    OPT_OUTPUT,
    OPT_PRESET,
    OPT_REVISION,
    OPT_STATUS,
    OPT_TITLE
};

static const struct cw_option options[] = {
    CW_HEADING("What is sealed"),
    {OPT_TITLE, "title", 0, "TEXT", "Its title; default the candidate's name."},
    {OPT_REVISION, "revision", 0, "LETTERS",
     "1 or 2 letters of A to Y but I, O, Q, S and X; default A, or what follows that of --before."},
    {OPT_STATUS, "status", 0, "draft|released|withdrawn", "How far it is; default released."},
    {OPT_BECAUSE, "because", 0, "TEXT", "Why, in a sentence; default nothing."},
    {OPT_DECIDED, "decided", 0, "FILE", "What decided it, such as the key of a letter: its SHA-256; default nothing."},
    {OPT_BEFORE, "before", 0, "FILE", "The seal of the revision before; default none."},
    CW_HEADING("What is written"),
    {OPT_OUTPUT, "output", 'o', "FILE", "The seal, a text file; needed."},
    {OPT_PRESET, "preset", 0, "FILE",
     "The design as a preset too, or a bundle where FILE ends in .lv2: hosts load it as A, the plugin's window tells "
     "whether it is still as sealed; default none."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
    CW_JOURNAL_OPTION,
};

static const struct cw_usage usage = {
    "seal",
    "CANDIDATE",
    "Release a candidate: every control, limits for the bench, figures, why and what decided it, as one\n"
    "exact text with a fingerprint, its SHA-256. Write the fingerprint on paper: years later coilwright\n"
    "verify says whether anything was changed.",
    options,
    sizeof options / sizeof options[0],
    "Limits hold 99 % of coils as designed, by the scatter of coilwright spread; they are computed until a first coil\n"
    "was measured. A fingerprint that stands beside the text proves nothing against one who edits both: keep it on\n"
    "paper, or sign the file (minisign -S). The date is today's, in UTC, or that of SOURCE_DATE_EPOCH.",
};

struct request {
    const char *title, *revision, *status, *because, *decided, *before, *output, *preset;
    bool force;
    struct cw_journal_request journal;
};

static bool take_status(struct cw_args *args, struct request *request)
{
    static const char *const words[][2] = {{"draft", "DRAFT"}, {"released", "RELEASED"}, {"withdrawn", "WITHDRAWN"}};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strcmp(args->value, words[i][0]) == 0) {
            request->status = words[i][1];
            return true;
        }
    }
    cw_bad_usage(&usage, "--status: expected draft, released or withdrawn, found '%s'", args->value);
    return false;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_BECAUSE: request->because = args->value; return true;
    case OPT_BEFORE: request->before = args->value; return true;
    case OPT_DECIDED: request->decided = args->value; return true;
    case OPT_FORCE: return request->force = true;
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_PRESET: request->preset = args->value; return true;
    case OPT_REVISION: request->revision = args->value; return true;
    case OPT_STATUS: return take_status(args, request);
    case OPT_TITLE: request->title = args->value; return true;
    default: return cw_journal_take(args, id, &request->journal);
    }
}

/* Whether a text fits its line as it is shown. */
static bool fits(const char *option, const char *text, size_t size)
{
    char shown[4 * CW_SEAL_LINE];
    if (!text || strlen(cw_show(text, shown, sizeof shown)) < size) {
        return true;
    }
    cw_bad_usage(&usage, "%s: expected at most %zu bytes, found %zu", option, size - 1, strlen(text));
    return false;
}

static bool sensible(const struct request *request, size_t operands)
{
    static const struct cw_seal room;
    const char *trouble = operands != 1      ? "expected one CANDIDATE"
                          : !request->output ? "expected a seal to write (-o FILE), found none"
                                             : NULL;
    if (trouble) {
        cw_bad_usage(&usage, "%s", trouble);
    } else if (request->revision && !cw_revision_is(request->revision)) {
        cw_bad_usage(&usage, "--revision: expected one or two letters of A to Y but I, O, Q, S and X, found '%s'",
                     request->revision);
        return false;
    }
    return !trouble && fits("--title", request->title, sizeof room.title) &&
           fits("--because", request->because, sizeof room.because);
}

/* The revision before, whose seal is to hold. */
static bool follow(const struct request *request, struct cw_seal *seal)
{
    struct cw_seal *before = malloc(sizeof *before);
    if (!before) {
        cw_error_memory();
        return false;
    }
    bool good = cw_seal_load(request->before, before);
    if (good && !before->holds) {
        cw_error_at(request->before, 0, "expected a seal that holds, found one that was edited");
        good = false;
    }
    if (good && !request->revision && !cw_revision_next(before->revision, seal->revision)) {
        cw_error_at(request->before, 0, "no revision follows %s: name one with --revision", before->revision);
        good = false;
    }
    if (good) {
        memcpy(seal->before, before->fingerprint, sizeof seal->before);
    }
    free(before);
    return good;
}

/* A text, or another where there is no word in it: no seal is read without its words. */
static const char *words_or(const char *text, const char *otherwise)
{
    return text && text[strspn(text, " ")] ? text : otherwise;
}

static bool fill(const struct request *request, const struct cw_candidate *candidate, struct cw_seal *seal)
{
    const char *symbol;
    *seal = (struct cw_seal){.setup = candidate->setup, .decided = "-", .before = "-"};
    if (!cw_turns_fit(candidate->source, &candidate->setup)) {
        return false;
    }
    if (!cw_seal_fits(&candidate->setup, &symbol)) {
        cw_error_at(candidate->source, 0, "cannot be sealed: schema %d of seals and this program do not agree on %s",
                    CW_SEAL_SCHEMA, symbol);
        return false;
    }
    cw_seal_limits(&candidate->setup, seal->limit);
    cw_seal_figures(&candidate->setup, seal->figure);
    snprintf(seal->program, sizeof seal->program, "%s", CW_VERSION);
    snprintf(seal->revision, sizeof seal->revision, "%s", request->revision ? request->revision : "A");
    snprintf(seal->status, sizeof seal->status, "%s", request->status);
    cw_show(words_or(request->title, words_or(candidate->label, "-")), seal->title, sizeof seal->title);
    cw_show(words_or(request->because, "-"), seal->because, sizeof seal->because);
    return cw_today(seal->date) && (!request->decided || cw_digest_file(request->decided, seal->decided)) &&
           (!request->before || follow(request, seal));
}

static void report(const struct request *request, const struct cw_seal *seal)
{
    cw_print_shown(stdout, seal->title);
    printf(", revision %s, %s, %s, sealed in ", seal->revision, seal->status, seal->date);
    cw_print_shown(stdout, request->output);
    fputs(".\nFingerprint, to be kept on paper:\n ", stdout);
    for (int i = 0; i < CW_SHA256_TEXT - 1; i += 8) {
        printf(" %.8s", seal->fingerprint + i);
    }
    if (request->preset) {
        fputs("\nAs a preset in ", stdout);
        cw_print_shown(stdout, request->preset);
        putchar('.');
    }
    printf("\nIts limits: %s.\n", cw_seal_limits_words(seal));
}

/* The entry of the journal. */
struct noted {
    struct cw_entry entry;
    struct cw_journal journal;
    bool good; /* it is there, or there is no journal */
};

/* It is sealed all the same where that fails, after a message. */
static bool note(const struct request *request, struct cw_seal *seal, struct noted *noted)
{
    struct cw_entry *entry = &noted->entry;
    struct cw_journal_request wanted = request->journal;
    wanted.because = *request->because ? request->because : NULL;
    if (!cw_entry_begin(entry, &wanted, "seal")) {
        return false;
    }
    cw_entry_add_setup(entry, "candidate", seal->title, &seal->setup);
    cw_entry_add(entry, "revision", "%s %s", seal->revision, seal->status);
    cw_entry_add(entry, "fingerprint", "%s", seal->fingerprint);
    cw_entry_add(entry, "decided", "%s", seal->decided);
    cw_entry_add(entry, "before", "%s", seal->before);
    bool good = cw_entry_append(entry, &noted->journal);
    seal->journal_count = noted->journal.count;
    memcpy(seal->journal_head, noted->journal.head, sizeof seal->journal_head);
    return good;
}

/* The seal is all but written when it is noted, so that it can tell its entry. */
static bool write_seal(const struct request *request, struct cw_seal *seal, struct noted *noted)
{
    struct cw_output output;
    char *text = malloc(CW_SEAL_TEXT), line[CW_SEAL_LINE];
    if (!text) {
        cw_error_memory();
        return false;
    }
    size_t length = cw_seal_print(seal, text);
    bool good = cw_output_open(&output, request->output, request->force);
    if (good) {
        cw_output_write(&output, text, length);
        noted->good = fflush(output.stream) == 0 && note(request, seal, noted);
        fputs(seal->journal_count > 0 ? cw_seal_journal_line(seal, line) : "", output.stream);
        good = cw_output_commit(&output);
    }
    free(text);
    return good;
}

/* A name that the session keeps: as much of the title as fits. */
static void name_of(const char *title, char *name, size_t size)
{
    size_t used = 0, length;
    while ((length = title[used] ? cw_utf8_length(title + used) : 0) > 0 && used + length < size) {
        used += length;
    }
    snprintf(name, size, "%.*s", (int)used, title);
}

static bool is_ready(const struct request *request)
{
    return cw_outputs_ready(&request->output, 1, request->force) && cw_preset_ready(request->preset, request->force);
}

/* The design as A, with its name and the mark of its seal. */
static bool write_preset(const struct request *request, const struct cw_seal *seal, const struct cw_known *known)
{
    char name[CW_TEXT_SIZE], label[CW_TEXT_SIZE + 24], mark[CW_SEAL_MARK_TEXT];
    const struct cw_setup *setups[CW_SETUPS] = {[CW_A] = &seal->setup};
    const struct cw_preset_words words = {
        .known = {[CW_A] = known},
        .name = {[CW_A] = name},
        .seal = {[CW_A] = cw_seal_mark_print(&seal->setup, seal->fingerprint, seal->revision, mark)}};
    if (!request->preset) {
        return true;
    }
    name_of(seal->title, name, cw_session_text_size(CW_TEXT_A));
    snprintf(label, sizeof label, "%s, revision %s", name, seal->revision);
    return cw_worded_save(request->preset, label, NULL, setups, &words, request->force);
}

/* Seal and preset of one run, whoever else writes them at the same time. */
static bool write_both(const struct request *request, const struct cw_candidate *candidate, struct cw_seal *seal,
                       struct noted *noted)
{
    int turn = cw_output_turn(request->output);
    bool good = is_ready(request) && write_seal(request, seal, noted) && write_preset(request, seal, &candidate->known);
    if (turn >= 0) {
        close(turn);
    }
    return good;
}

static int seal_candidate(const struct request *request, const char *name)
{
    struct cw_candidates list = {0};
    struct noted noted = {.good = false};
    struct cw_seal *seal = malloc(sizeof *seal);
    int status = CW_FAILED;
    if (!seal) {
        cw_error_memory();
    } else if (cw_journal_ready(&request->journal) && cw_candidates_add(&list, name, NULL)) {
        if (list.count != 1) {
            status = cw_bad_usage(&usage, "expected one candidate, found a comparison: name a side, as in FILE#a");
        } else if (fill(request, &list.item[0], seal) && write_both(request, &list.item[0], seal, &noted)) {
            report(request, seal);
            cw_entry_say(&noted.entry, &noted.journal, stdout);
            status = cw_stdout_finish() && noted.good ? CW_DONE : CW_FAILED;
        }
    }
    cw_entry_drop(&noted.entry);
    free(seal);
    cw_candidates_free(&list);
    return status;
}

static int run(void *request, char *const *names, size_t count)
{
    return sensible(request, count) ? seal_candidate(request, names[0]) : CW_BAD_USAGE;
}

const struct cw_usage *cw_usage_seal(void) { return &usage; }

int cw_cmd_seal(int argc, char **argv)
{
    struct request request = {.status = "RELEASED", .because = ""};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
