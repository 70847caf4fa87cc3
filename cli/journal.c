/* SPDX-License-Identifier: ISC */
/* coilwright journal: show, search and verify the journal of decisions. */
#include "journal.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "arguments.h"
#include "command.h"
#include "journal_entry.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "sha256.h"
#include "show.h"

enum option { OPT_COUNT = 1, OPT_FILE, OPT_HEAD, OPT_USE, OPT_VERIFY };

static const struct cw_option options[] = {
    {OPT_FILE, "journal", 0, "FILE", "The journal; default that of --use."},
    {OPT_VERIFY, "verify", 0, NULL, "Say only whether the chain holds."},
    {OPT_COUNT, "count", 0, "N", "With --head: the number that stands by that head, 1 to 1000000000; needed then."},
    {OPT_HEAD, "head", 0, "DIGITS", "A head that was printed earlier, 16 to 64 digits; default none."},
    {OPT_USE, "use", 0, "FILE", "Keep FILE as the journal from now on, - for none; default as it was."},
};

static const struct cw_usage usage = {
    "journal",
    "[WORD...]",
    "Show the journal of what was compared, asked, found and decided: every entry that holds all WORDs,\n"
    "and whether the chain of its entries holds. It is plain text, one entry a line: grep reads it too.",
    options,
    sizeof options / sizeof options[0],
    "Entries are written by audition, blind, inspect, new, score, seal and split, where they are asked to by "
    "--journal, or "
    "where\n"
    "--use has named a file. Each is chained to the one before by SHA-256: what is changed or taken out shows. A\n"
    "tail that was cut off, or a journal that was made anew as a whole, shows only against an earlier number and\n"
    "head: keep them elsewhere, as on a printed sheet. --use writes to coilwright/journal in XDG_CONFIG_HOME or\n"
    "~/.config. Exit status 1 where the chain, or --head, does not hold.",
};

struct request {
    const char *file, *head, *use;
    long count;
    bool verify;
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_COUNT: return cw_args_count(args, 1, 1000000000, &request->count);
    case OPT_FILE: request->file = args->value; return true;
    case OPT_HEAD: request->head = args->value; return true;
    case OPT_USE: request->use = args->value; return true;
    case OPT_VERIFY: return request->verify = true;
    default: return false;
    }
}

static bool sensible(const struct request *request, size_t words)
{
    size_t digits = request->head ? strlen(request->head) : 0;
    const char *trouble =
        request->use && (words || request->file || request->verify || request->head) ? "--use stands alone"
        : !request->head != !request->count ? "--head and --count belong together"
        : request->head && (digits < 16 || digits > 64 || strspn(request->head, "0123456789abcdef") < digits)
            ? "--head: expected 16 to 64 digits 0 to 9 and a to f"
            : NULL;
    if (trouble) {
        cw_bad_usage(&usage, "%s", trouble);
    }
    return !trouble;
}

static bool has_all(const char *line, char *const *words, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!strstr(line, words[i])) {
            return false;
        }
    }
    return true;
}

/* "12  2026-11-26T02:50:11Z  audition", then a field a line; the chain is for programs. */
static void print_entry(char *line)
{
    char *field = line;
    for (int i = 0; field; i++) {
        char *tab = strchr(field, '\t');
        if (tab) {
            *tab = '\0';
        }
        if (strncmp(field, "chain=", 6) != 0) {
            char *equals = i >= 3 ? strchr(field, '=') : NULL;
            fputs(i == 0 ? "" : i < 3 ? "  " : "\n    ", stdout);
            if (equals) {
                *equals = '\0';
                cw_print_shown(stdout, field);
                fputs(": ", stdout);
                field = equals + 1;
            }
            cw_print_shown(stdout, field);
        }
        field = tab ? tab + 1 : NULL;
    }
    putchar('\n');
}

/* What holds of it and what does not alike: who looks wants to see. */
static void print_entries(char *text, char *const *words, size_t count)
{
    char *line = strchr(text, '\n');
    for (line = line ? line + 1 : NULL; line && *line;) {
        char *lf = strchr(line, '\n');
        if (lf) {
            *lf = '\0';
        }
        if (has_all(line, words, count)) {
            print_entry(line);
        }
        line = lf ? lf + 1 : NULL;
    }
}

static int show(const struct request *request, const char *path, char *text, size_t length, char *const *words,
                size_t count)
{
    struct cw_journal journal;
    bool good = cw_journal_check(text, length, &journal);
    bool had = !request->head || cw_journal_had(text, length, (size_t)request->count, request->head);
    if (!request->verify) {
        print_entries(text, words, count);
    }
    printf("%s%zu entries hold, head %s\n", request->verify ? "" : "\n", journal.count, journal.head);
    if (journal.back > 0) {
        printf("Entry %zu is dated before entry %zu: a clock was wrong, or one of the two was.\n", journal.back,
               journal.back - 1);
    }
    if (request->head) {
        printf("Entry %ld %s the head that was given.\n", request->count, had ? "has" : "does NOT have");
    }
    if (!good) {
        cw_error_at(path, (unsigned)journal.line, "%s", journal.why);
    }
    return cw_stdout_finish() && good && had ? CW_DONE : CW_FAILED;
}

static int read_journal(const struct request *request, char *const *words, size_t count)
{
    size_t length;
    char *path = NULL;
    if (request->file) {
        path = strdup(request->file);
    } else if (!cw_journal_configured(&path)) {
        return CW_FAILED;
    }
    if (!path) {
        return cw_bad_usage(&usage, "expected a journal (--journal FILE, or once --use FILE), found none");
    }
    char *text = cw_journal_text(path, &length);
    int status = CW_FAILED;
    if (text && length == 0) {
        cw_error_at(path, 0, "expected a journal, found %s",
                    access(path, F_OK) == 0 ? "no entry yet" : "nothing of this name yet");
    } else if (text) {
        status = show(request, path, text, length, words, count);
    }
    free(text);
    free(path);
    return status;
}

static int run(void *to, char *const *words, size_t count)
{
    struct request *request = to;
    if (!sensible(request, count)) {
        return CW_BAD_USAGE;
    }
    if (request->use) {
        return cw_journal_configure(request->use) ? CW_DONE : CW_FAILED;
    }
    return read_journal(request, words, count);
}

const struct cw_usage *cw_usage_journal(void) { return &usage; }

int cw_cmd_journal(int argc, char **argv)
{
    struct request request = {0};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
