/* SPDX-License-Identifier: ISC */
/* coilwright inspect: which coils of a batch to keep, and what went wrong with the rest. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "acceptance.h"
#include "arguments.h"
#include "command.h"
#include "day.h"
#include "inspect_database.h"
#include "inspect_next.h"
#include "inspect_picture.h"
#include "inspected.h"
#include "inspection.h"
#include "journal_entry.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "preset_save.h"
#include "plot_file.h"
#include "record.h"
#include "seal_file.h"
#include "show.h"

enum option {
    OPT_AGAIN = 1,
    OPT_CSV,
    OPT_DATABASE,
    OPT_DATE,
    OPT_FORCE,
    OPT_NEXT,
    OPT_OUTPUT,
    OPT_PLOT,
    OPT_SPOOL,
    OPT_UNSEALED,
    OPT_WINDER,
};

static const struct cw_option options[] = {
    CW_HEADING("What is kept"),
    {OPT_DATABASE, "database", 'd', "FILE",
     "Add the readings to the database FILE, made where it is not there; default none."},
    {OPT_SPOOL, "spool", 0, "TEXT", "The spool of wire, for the database, 63 bytes at most; default nothing."},
    {OPT_WINDER, "winder", 0, "TEXT", "Who wound them, for the database, 63 bytes at most; default nothing."},
    {OPT_DATE, "date", 0, "DATE", "When they were read, as 2026-11-26; default today, in UTC."},
    {OPT_AGAIN, "again", 0, NULL, "Add readings that are in the database already."},
    CW_HEADING("What is written"),
    {OPT_CSV, "csv", 0, NULL, "Print the table of coils alone, as CSV."},
    {OPT_NEXT, "next", 0, "FILE", "The design, calibrated by the means of the batch: a candidate; default none."},
    {OPT_PLOT, "plot", 0, "FILE", "Charts of individuals and moving ranges: .svg, .png or .pdf; default none."},
    {OPT_OUTPUT, "output", 'o', "FILE", "The report too: .pdf, with its charts, or .txt; default none."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
    {OPT_UNSEALED, "unsealed", 0, NULL, "Go by a seal that was edited, or whose limits no scatter explains."},
    CW_JOURNAL_OPTION,
    CW_BECAUSE_OPTION,
};

static const struct cw_usage usage = {
    "inspect",
    "SEAL READINGS",
    "Which coils of a batch to keep by their readings, and what went wrong with the rest: each corrected to\n"
    "20 degC, 120 Hz and series mode and judged by the limits of SEAL, then the batch: chart, capability,\n"
    "likely cause, and the calibration that follows for the next revision.",
    options,
    sizeof options / sizeof options[0],
    "READINGS is CSV with a heading of serial and any of resistance (kohm), temperature (degC), inductance (H), mode\n"
    "(series or parallel), frequency (Hz), resonance (Hz, in 470 pF and 1 Mohm), in winding order; values may carry a\n"
    "unit. Pass is inside the limits by what meters are good for (0.5 %, 1 %, 1 %), fail outside by it; between them "
    "a\n"
    "reading is too close to tell (ISO 14253-1). Causes that one pattern cannot part are named together, with what\n"
    "would part them. Exit status 1 where a coil fails. Number and head that are printed of the database are to be "
    "kept on paper: see coilwright history.",
};

struct request {
    struct cw_journal_request journal;
    struct cw_keeping keeping;
    const char *next, *plot, *output;
    bool csv, unsealed, force;
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_AGAIN: return request->keeping.again = true;
    case OPT_CSV: return request->csv = true;
    case OPT_DATABASE: request->keeping.file = args->value; return true;
    case OPT_DATE: request->keeping.date = args->value; return true;
    case OPT_FORCE: return request->force = true;
    case OPT_NEXT: request->next = args->value; return true;
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_PLOT: request->plot = args->value; return true;
    case OPT_SPOOL: request->keeping.spool = args->value; return true;
    case OPT_UNSEALED: return request->unsealed = true;
    case OPT_WINDER: request->keeping.winder = args->value; return true;
    default: return cw_journal_take(args, id, &request->journal);
    }
}

static bool ends_in(const char *path, const char *suffix)
{
    size_t length = strlen(path), tail = strlen(suffix);
    return length > tail && strcasecmp(path + length - tail, suffix) == 0;
}

static bool sensible(const struct request *request, size_t operands)
{
    const struct cw_keeping *k = &request->keeping;
    if (operands != 2) {
        cw_bad_usage(&usage, "expected SEAL and READINGS, found %zu operands", operands);
    } else if (!k->file && (*k->spool || *k->winder || k->date || k->again)) {
        cw_bad_usage(&usage, "--spool, --winder, --date and --again are for --database");
    } else if (k->date && !cw_date_is(k->date)) {
        cw_bad_usage(&usage, "--date: expected a day as 2026-11-26, found '%s'", k->date);
    } else if (request->plot && !cw_plot_file_kind_known(request->plot)) {
        cw_bad_usage(&usage, "--plot: expected a name that ends in .svg, .png or .pdf, found '%s'", request->plot);
    } else if (request->output &&
               (request->csv || !(ends_in(request->output, ".pdf") || ends_in(request->output, ".txt")))) {
        cw_bad_usage(&usage, "--output: expected a name that ends in .pdf or .txt, and no --csv");
    } else if (strlen(k->spool) >= CW_RECORD_WORD || strlen(k->winder) >= CW_RECORD_WORD) {
        cw_bad_usage(&usage, "--spool and --winder: expected at most %d bytes", CW_RECORD_WORD - 1);
    } else {
        return true;
    }
    return false;
}

static bool note(const struct request *request, const struct cw_inspected *batch, const struct cw_records *records,
                 const char *readings, FILE *report)
{
    struct cw_entry entry;
    char words[160];
    const struct cw_diagnosis *d = &batch->diagnosis;
    const char *doubt = cw_inspected_doubt(batch);
    if (!cw_entry_begin(&entry, &request->journal, "inspect")) {
        return false;
    }
    cw_entry_add(&entry, "design", "%s, revision %s, %s %s%s", batch->seal.title, batch->seal.revision,
                 batch->seal.status, batch->seal.fingerprint,
                 batch->seal.holds ? "" : " (EDITED: that fingerprint is not of this text)");
    if (*doubt) {
        cw_entry_add(&entry, "doubt", "%s", doubt);
    }
    cw_entry_add_file(&entry, "readings", readings);
    cw_entry_add(&entry, "verdict", "%zu pass, %zu too close to tell, %zu fail", batch->verdicts[0], batch->verdicts[1],
                 batch->verdicts[2]);
    for (int c = 0; c < CW_CAUSES; c++) {
        if (d->named[c]) {
            cw_entry_add(&entry, "cause", "%s", cw_cause_words((enum cw_cause)c, d->size[c], words, sizeof words));
        }
    }
    if (request->keeping.file) {
        cw_entry_add(&entry, "database", "%s: %zu readings, head %s", request->keeping.file, records->count,
                     records->head);
    }
    return cw_entry_finish(&entry, request->csv ? NULL : report);
}

/* ---- the command ---- */

static bool load(const struct request *request, char *const *names, struct cw_inspected *batch)
{
    return cw_journal_ready(&request->journal) && cw_seal_load(names[0], &batch->seal) &&
           cw_inspected_judge(batch, names[0], names[1], request->unsealed);
}

static bool tell(const struct request *request, const struct cw_inspected *batch, FILE *report)
{
    if (request->csv) {
        return cw_inspected_print_coils(report, batch, true);
    }
    cw_inspected_print_head(report, batch);
    if (!cw_inspected_print_coils(report, batch, false)) {
        return false;
    }
    cw_inspected_print_batch(report, batch);
    return cw_next_print(report, batch);
}

static void print_kept(const struct request *request, const struct cw_inspected *batch,
                       const struct cw_records *records, FILE *report)
{
    if (request->keeping.file && !request->csv) {
        fprintf(report, "\n%zu readings added; database ", batch->coils.count);
        cw_print_shown(report, request->keeping.file);
        fprintf(report, ": %zu readings, head %.16s\n", records->count, records->head);
    }
}

/* Readings that were added are not taken back: what else is asked for is looked at before. */
static bool is_ready(const struct request *request, const struct cw_inspected *batch)
{
    const char *const drawn[] = {request->plot, request->output};
    return (!request->plot || cw_inspected_drawable(batch, request->plot)) &&
           cw_preset_ready(request->next, request->force) && cw_outputs_ready(drawn, 2, request->force);
}

/* All but what is drawn of it. What the report says to be kept is kept. */
static bool work(const struct request *request, char *const *names, struct cw_inspected *batch, FILE *report)
{
    struct cw_records records = cw_records_none();
    if (!load(request, names, batch) || !is_ready(request, batch) ||
        (request->next && !cw_next_save(batch, request->next, request->force)) ||
        !cw_keeping_add(&request->keeping, batch, &records) || !tell(request, batch, report)) {
        return false;
    }
    print_kept(request, batch, &records, report);
    return note(request, batch, &records, names[1], report);
}

static bool save_text(const struct request *request, const char *text, size_t length)
{
    struct cw_output output;
    return cw_output_open(&output, request->output, request->force) && cw_output_write(&output, text, length) &&
           cw_output_commit(&output);
}

static bool save(const struct request *request, const struct cw_inspected *batch, const char *text, size_t length)
{
    return (!request->plot || cw_inspected_plot(batch, request->plot, request->force)) &&
           (!request->output ||
            (ends_in(request->output, ".pdf") ? cw_inspected_paper(batch, text, request->output, request->force)
                                              : save_text(request, text, length)));
}

static int inspect(const struct request *request, char *const *names)
{
    struct cw_inspected *batch = calloc(1, sizeof *batch);
    char *text = NULL;
    size_t length = 0;
    FILE *report = batch ? open_memstream(&text, &length) : NULL;
    bool good = report && work(request, names, batch, report);
    if (!report || fclose(report) != 0) {
        cw_error_memory();
        good = false;
    }
    if (text) {
        fwrite(text, 1, length, stdout);
    }
    good = good && save(request, batch, text, length);
    if (good && *cw_inspected_doubt(batch)) {
        cw_error("inspect: %s", cw_inspected_doubt(batch));
    }
    good = good && cw_stdout_finish() && batch->verdicts[CW_VERDICT_FAIL] == 0;
    free(text);
    cw_inspected_free(batch);
    return good ? CW_DONE : CW_FAILED;
}

static int run(void *to, char *const *names, size_t count)
{
    const struct request *request = to;
    return sensible(request, count) ? inspect(request, names) : CW_BAD_USAGE;
}

const struct cw_usage *cw_usage_inspect(void) { return &usage; }

int cw_cmd_inspect(int argc, char **argv)
{
    struct request request = {.keeping = {.spool = "", .winder = ""}};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
