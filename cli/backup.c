/* SPDX-License-Identifier: ISC */
/* coilwright backup: database and journal, copied and written out as plain text. */
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "arguments.h"
#include "command.h"
#include "database.h"
#include "folder.h"
#include "history_report.h"
#include "journal.h"
#include "journal_entry.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "record.h"
#include "show.h"

enum option { OPT_DATABASE = 1, OPT_FORCE, OPT_JOURNAL, OPT_OUTPUT };

static const struct cw_option options[] = {
    {OPT_DATABASE, "database", 'd', "FILE", "The database of readings; default none."},
    {OPT_JOURNAL, "journal", 0, "FILE", "The journal, - for none; default that of coilwright journal --use."},
    {OPT_OUTPUT, "output", 'o', "DIR", "The directory that is written; needed."},
    {OPT_FORCE, "force", 'f', NULL, "Replace an earlier backup."},
};

static const struct cw_usage usage = {
    "backup",
    "",
    "Copy the database of readings and the journal into a directory, and write both out as plain text, with the\n"
    "SHA-256 of each file, and their numbers and heads, which belong on paper.",
    options,
    sizeof options / sizeof options[0],
    "readings.db is the database (it may be copied while others add to it), readings.txt the same as text, in the\n"
    "form of a journal and with one head, journal.txt the journal. To restore, copy a file back. What does not\n"
    "hold any more is not copied: nothing is written, and the exit status is 1.",
};

struct request {
    const char *database, *journal, *output;
    bool force;
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_DATABASE: request->database = args->value; return true;
    case OPT_FORCE: return request->force = true;
    case OPT_JOURNAL: request->journal = args->value; return true;
    case OPT_OUTPUT: request->output = args->value; return true;
    default: return false;
    }
}

static bool print_line(void *to, const struct cw_records *records, const struct cw_record *record)
{
    cw_history_print_text(to, records, record);
    return true;
}

/* The copy is what is written out, so that both are of one moment. */
static bool copy_database(struct cw_folder *folder, const char *from, struct cw_records *records)
{
    struct cw_output text = {0};
    const char *copy_name = cw_folder_file(folder, "readings.db"), *text_name = NULL;
    struct cw_database *database = copy_name ? cw_database_open(from, false) : NULL, *copy = NULL;
    bool good = database && cw_database_walk(database, NULL, NULL, records) && cw_database_copy(database, copy_name);
    if (good) {
        text_name = cw_folder_file(folder, "readings.txt");
        copy = cw_database_open(copy_name, false);
    }
    good = text_name && copy && cw_output_open(&text, text_name, false);
    good = good && cw_database_walk(copy, print_line, text.stream, records) && cw_output_commit(&text);
    cw_output_abandon(&text);
    cw_database_close(copy);
    cw_database_close(database);
    return good;
}

static bool copy_journal(struct cw_folder *folder, const char *from, struct cw_journal *journal)
{
    struct cw_output output = {0};
    size_t length;
    char *text = cw_journal_text(from, &length);
    bool good = text != NULL;
    if (good && length == 0 && access(from, F_OK) != 0) {
        cw_error_at(from, 0, "expected a journal, found nothing of this name");
        good = false;
    }
    if (good && !cw_journal_check(text, length, journal)) {
        cw_error_at(from, (unsigned)journal->line, "%s", journal->why);
        good = false;
    }
    const char *name = good ? cw_folder_file(folder, "journal.txt") : NULL;
    good = name && cw_output_open(&output, name, false) && cw_output_write(&output, text, length) &&
           cw_output_commit(&output);
    cw_output_abandon(&output);
    free(text);
    return good;
}

static void tell(const char *what, size_t count, const char *unit, const char *head)
{
    cw_print_shown(stdout, what);
    printf(": %zu %s, head %s\n", count, unit, head);
}

static int back_up(const struct request *request, const char *journal_name)
{
    struct cw_folder folder = {0};
    struct cw_records records = cw_records_none();
    struct cw_journal journal;
    bool good = cw_folder_open(&folder, request->output, request->force);
    good = good && (!request->database || copy_database(&folder, request->database, &records)) &&
           (!journal_name || copy_journal(&folder, journal_name, &journal));
    if (!good) {
        cw_folder_abandon(&folder);
        return CW_FAILED;
    }
    if (!cw_folder_commit(&folder)) {
        return CW_FAILED;
    }
    if (request->database) {
        tell(request->database, records.count, "readings", records.head);
    }
    if (journal_name) {
        tell(journal_name, journal.count, "entries", journal.head);
    }
    return cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

static int run(void *to, char *const *names, size_t count)
{
    const struct request *request = to;
    (void)names;
    if (count || !request->output) {
        return cw_bad_usage(&usage, count ? "expected no operands" : "expected a directory to write (-o DIR)");
    }
    char *journal = NULL;
    if (!cw_journal_chosen(request->journal, &journal)) {
        return CW_FAILED;
    }
    int status = journal || request->database
                     ? back_up(request, journal)
                     : cw_bad_usage(&usage, "expected --database FILE, --journal FILE, or both, found neither");
    free(journal);
    return status;
}

const struct cw_usage *cw_usage_backup(void) { return &usage; }

int cw_cmd_backup(int argc, char **argv)
{
    struct request request = {0};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
