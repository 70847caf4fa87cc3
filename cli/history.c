/* SPDX-License-Identifier: ISC */
/* coilwright history: what a database of readings holds, by design, spool and winder, and whether it was changed. */
#include <stdio.h>
#include <string.h>

#include "arguments.h"
#include "command.h"
#include "database.h"
#include "history_plot.h"
#include "history_report.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "plot_file.h"
#include "record.h"

enum option {
    OPT_BY = 1,
    OPT_COILS,
    OPT_COUNT,
    OPT_CSV,
    OPT_FORCE,
    OPT_HEAD,
    OPT_PLOT,
    OPT_SERIAL,
    OPT_SPEC,
    OPT_SPOOL,
    OPT_TEXT,
    OPT_VERIFY,
    OPT_WINDER,
};

static const struct cw_option options[] = {
    CW_HEADING("Which readings"),
    {OPT_SPEC, "spec", 0, "TEXT", "Those of the design of this title, or fingerprint (8 digits or more); default all."},
    {OPT_SPOOL, "spool", 0, "TEXT", "Those of this spool; default all."},
    {OPT_WINDER, "winder", 0, "TEXT", "Those of this winder; default all."},
    {OPT_SERIAL, "serial", 0, "TEXT", "Those of this coil; default all."},
    CW_HEADING("What is printed"),
    {OPT_BY, "by", 0, "spec|spool|winder|date", "A line for each of these; default spec."},
    {OPT_COILS, "coils", 0, NULL, "A line for each reading."},
    {OPT_CSV, "csv", 0, NULL, "Every column of each reading, as CSV."},
    {OPT_PLOT, "plot", 0, "FILE",
     "Charts of how far each reading is off its design, in order: .svg, .png or .pdf; default none."},
    {OPT_FORCE, "force", 'f', NULL, "Replace a picture that is there already."},
    {OPT_TEXT, "text", 0, NULL, "The whole database as plain text, which coilwright journal reads and verifies."},
    CW_HEADING("Whether it was changed"),
    {OPT_VERIFY, "verify", 0, NULL, "Say only whether the chain holds."},
    {OPT_COUNT, "count", 0, "N", "With --head: the number that stands by that head, 1 to 1000000000; needed then."},
    {OPT_HEAD, "head", 0, "DIGITS", "A head that was printed earlier, 16 to 64 digits; default none."},
};

static const struct cw_usage usage = {
    "history",
    "DATABASE",
    "What a database of readings (coilwright inspect --database) holds, by design, spool, winder or day: how many\n"
    "coils passed, and how far they are from their design; and whether any of it was changed.",
    options,
    sizeof options / sizeof options[0],
    "Each reading is chained to the one before by SHA-256, over every column: what is changed, taken out or put in "
    "shows, whatever tool did it. A tail that was cut off, or a database that was made anew as a whole, shows only\n"
    "against an earlier number and head, as inspect prints them: keep them on paper. Off the design is the mean of "
    "the\n"
    "corrected readings against what the design said. Exit status 1 where the chain, or --head, does not hold.",
};

struct request {
    struct cw_history_filter filter;
    enum cw_history_by by;
    const char *head, *plot;
    long count;
    bool coils, csv, text, verify, force;
};

static bool take_by(struct cw_args *args, struct request *request)
{
    for (int i = 0; i < CW_HISTORY_BYS; i++) {
        if (strcmp(args->value, cw_history_by_word[i]) == 0) {
            request->by = (enum cw_history_by)i;
            return true;
        }
    }
    cw_bad_word(args, "spec, spool, winder or date", NULL);
    return false;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_BY: return take_by(args, request);
    case OPT_COILS: return request->coils = true;
    case OPT_COUNT: return cw_args_count(args, 1, 1000000000, &request->count);
    case OPT_CSV: return request->csv = true;
    case OPT_FORCE: return request->force = true;
    case OPT_HEAD: request->head = args->value; return true;
    case OPT_PLOT: request->plot = args->value; return true;
    case OPT_SERIAL: request->filter.serial = args->value; return true;
    case OPT_SPEC: request->filter.spec = args->value; return true;
    case OPT_SPOOL: request->filter.spool = args->value; return true;
    case OPT_TEXT: return request->text = true;
    case OPT_VERIFY: return request->verify = true;
    case OPT_WINDER: request->filter.winder = args->value; return true;
    default: return false;
    }
}

static bool sensible(const struct request *request, size_t operands)
{
    const struct cw_history_filter *f = &request->filter;
    const char *trouble =
        operands != 1                       ? "expected one DATABASE"
        : !request->head != !request->count ? "--head and --count belong together"
        : request->head && !cw_head_matches(request->head, request->head)
            ? "--head: expected 16 to 64 digits 0 to 9 and a to f"
        : request->coils + request->csv + request->text + request->verify > 1
            ? "expected one of --coils, --csv, --text and --verify"
        : (request->text || request->verify) && (f->spec || f->spool || f->winder || f->serial || request->plot)
            ? "--text and --verify are of the whole database, and not drawn"
        : request->plot && !cw_plot_file_kind_known(request->plot)
            ? "--plot: expected a name that ends in .svg, .png or .pdf"
            : NULL;
    if (trouble) {
        cw_bad_usage(&usage, "%s", trouble);
    }
    return !trouble;
}

/* A walk: what is picked up, and whether an earlier head was met. */
struct walk {
    const struct request *request;
    struct cw_history history;
    bool had;
    size_t back; /* the first reading that is dated before the one before it */
    char recorded[sizeof((struct cw_record *)0)->recorded];
};

static bool visit(void *to, const struct cw_records *records, const struct cw_record *record)
{
    struct walk *walk = to;
    const struct request *request = walk->request;
    walk->back = walk->back == 0 && strcmp(record->recorded, walk->recorded) < 0 ? records->count : walk->back;
    memcpy(walk->recorded, record->recorded, sizeof walk->recorded);
    if (request->head && records->count == (size_t)request->count) {
        walk->had = cw_head_matches(records->head, request->head);
    }
    if (request->text) {
        cw_history_print_text(stdout, records, record);
        return true;
    }
    return request->verify || !cw_history_fits(&request->filter, record) ||
           cw_history_keep(&walk->history, records->count, record);
}

static bool print(const struct walk *walk)
{
    const struct request *request = walk->request;
    return request->text || request->verify ? true
           : request->csv                   ? cw_history_print_csv(stdout, &walk->history)
           : request->coils                 ? cw_history_print_coils(stdout, &walk->history)
                                            : cw_history_print_groups(stdout, &walk->history, request->by);
}

static int show(const struct request *request, const char *path)
{
    struct walk walk = {.request = request};
    struct cw_records records;
    struct cw_database *database = cw_database_open(path, false);
    if (!database) {
        return CW_FAILED;
    }
    bool good = cw_database_walk(database, visit, &walk, &records);
    good = print(&walk) && good && (!request->plot || cw_history_plot(&walk.history, request->plot, request->force));
    cw_history_free(&walk.history);
    cw_database_close(database);
    bool plain = request->csv || request->text;
    if (!plain) {
        printf("%s%zu readings hold, head %s\n", request->verify ? "" : "\n", records.count, records.head);
    }
    if (walk.back > 0 && !plain) {
        printf("Reading %zu is dated before reading %zu: a clock was wrong, or one of the two was.\n", walk.back,
               walk.back - 1);
    }
    if (request->head && !plain) {
        printf("Reading %ld %s the head that was given.\n", request->count, walk.had ? "has" : "does NOT have");
    } else if (request->head && !walk.had) {
        cw_error_at(path, 0, "reading %ld does not have the head that was given", request->count);
    }
    return cw_stdout_finish() && good && (!request->head || walk.had) ? CW_DONE : CW_FAILED;
}

static int run(void *to, char *const *names, size_t count)
{
    const struct request *request = to;
    return sensible(request, count) ? show(request, names[0]) : CW_BAD_USAGE;
}

const struct cw_usage *cw_usage_history(void) { return &usage; }

int cw_cmd_history(int argc, char **argv)
{
    struct request request = {.by = CW_HISTORY_BY_SPEC};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
