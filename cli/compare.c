/* SPDX-License-Identifier: ISC */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "acts.h"
#include "arguments.h"
#include "audible.h"
#include "candidate.h"
#include "circuit.h"
#include "coil.h"
#include "command.h"
#include "leads.h"
#include "leads_table.h"
#include "loudness.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "quantity.h"
#include "setup.h"
#include "show.h"
#include "table.h"
#include "transfer.h"

enum option { OPT_CSV = 1, OPT_FORCE, OPT_MARKDOWN, OPT_OUTPUT, OPT_SET, OPT_VARIANT };

static const struct cw_option options[] = {
    {OPT_VARIANT, "variant", 'v', "SYMBOL=VALUE,...", "The first candidate with changes; may be repeated."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of every candidate; may be repeated."},
    {OPT_CSV, "csv", 0, NULL, "Print the table as CSV."},
    {OPT_MARKDOWN, "markdown", 0, NULL, "Print the table as Markdown."},
    {OPT_OUTPUT, "output", 'o', "FILE", "Write the table to FILE; default -, standard output."},
    {OPT_FORCE, "force", 'f', NULL, "Replace a file that is there already."},
};

static const struct cw_usage usage = {
    "compare",
    "FILE...",
    "Compare candidates with the first: what each would measure, by how much it differs, and whether\n"
    "the difference can be heard.",
    options,
    sizeof options / sizeof options[0],
    "Level is weighted loudness, the same figure as the meter of a split. Whether a difference is heard is\n"
    "judged by the level in auditory bands, once both are brought to one level below 630 Hz: the band that\n"
    "differs most is named, with \"perhaps\" from 1.4 dB and \"yes\" from 2.8 dB on. That the largest difference\n"
    "over auditory bands predicts best which change of a resonance is heard: Gagne and Zurek, JASA 83, 1988\n"
    "(abstract read; 300 to 2000 Hz, carried on here above). \"Level only\" is gone once levels are matched;\n"
    "it is told from 1 dB on (from memory).",
};

struct request {
    struct cw_edits edits;
    struct cw_candidates candidates;
    const char *output;
    const char **variant;
    size_t variants;
    bool csv, markdown, force;
};

/* ---- what is compared ---- */

struct judged {
    struct cw_lead_values leads;
    struct cw_transfer response;
    double band[CW_AUDIBLE_BANDS]; /* level in auditory bands, dB */
};

static void judge(const struct cw_setup *setup, struct judged *judged)
{
    struct cw_pickup pickup;
    cw_lead_values_of(setup, &judged->leads);
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &judged->response);
    cw_audible_levels(&judged->response, judged->band);
}

/* ---- the table ---- */

static const enum cw_lead_id shown[] = {CW_LEAD_RESISTANCE, CW_LEAD_INDUCTANCE, CW_LEAD_CAPACITANCE, CW_LEAD_LOSS,
                                        CW_LEAD_RESONANCE,  CW_LEAD_PEAK_HZ,    CW_LEAD_PEAK};
enum { SHOWN = sizeof shown / sizeof shown[0] };

/* What is shown as zero has no sign of its own. */
static double tidy(double change) { return fabs(change) < 0.05 ? 0.0 : change; }

/* Level against the first; silence has a number in cw_loudness_of(), and people have a word. */
static void add_level(struct cw_table *table, const struct judged *base, const struct judged *other, bool csv)
{
    double level = cw_loudness_against(&other->response, &base->response);
    if (cw_loudness_of(&other->response, NULL) <= -200.0) {
        cw_table_add(table, "%s", csv ? "-inf" : "silent");
    } else {
        cw_table_add(table, csv ? "%.6g" : "%+.2f dB", csv ? level : fabs(level) < 0.005 ? 0.0 : level);
    }
}

/* Whether it is heard: in CSV the band and the numbers too. */
static void add_verdict(struct cw_table *table, const struct cw_candidate *candidate, const struct judged *base,
                        const struct judged *other, bool csv)
{
    struct cw_audible audible = cw_audible_of(other->band, base->band);
    char text[100];
    if (csv) {
        cw_table_add(table, "%.6g", audible.worst);
        cw_table_add(table, "%.6g", audible.hz);
        cw_table_add(table, "%.6g", audible.times);
    }
    if (candidate->idle != CW_ACTS) {
        snprintf(text, sizeof text, "does nothing here: %s", cw_idle_words(candidate->idle));
    } else {
        cw_audible_words(&audible, text, sizeof text);
    }
    cw_table_add(table, "%s", base == other ? "" : text);
}

/* A value and its change against the first. */
static void add_change(struct cw_table *table, enum cw_lead_id id, const struct judged *base,
                       const struct judged *other, bool csv)
{
    double from = base->leads.value[id], to = other->leads.value[id];
    if (csv) {
        cw_table_add(table, "%.6g", to);
        cw_table_add(table, "%.6g", to - from);
        return;
    }
    struct cw_table cell; /* the value as cw_lead_add() writes it, without its uncertainty */
    struct cw_lead_values plain = other->leads;
    plain.spread[id] = 0.0;
    cw_table_init(&cell, 1);
    cw_lead_add(&cell, id, &plain, false);
    const char *text = cell.count ? cell.cell[0] : "";
    bool flat = base->leads.value[CW_LEAD_PEAK_HZ] <= 0.0 || other->leads.value[CW_LEAD_PEAK_HZ] <= 0.0;
    if (base == other || from == to || (id == CW_LEAD_PEAK ? flat : from <= 0.0 || to <= 0.0)) {
        cw_table_add(table, "%s", text);
    } else if (id == CW_LEAD_PEAK) {
        cw_table_add(table, "%s (%+.1f)", text, tidy(to - from));
    } else {
        cw_table_add(table, "%s (%+.1f %%)", text, tidy(100.0 * (to / from - 1.0)));
    }
    table->failed = table->failed || cell.failed;
    cw_table_free(&cell);
}

static void add_row(struct cw_table *table, const struct cw_candidate *candidate, const struct judged *base,
                    const struct judged *other, bool csv)
{
    double emf = other->leads.value[CW_LEAD_EMF] - base->leads.value[CW_LEAD_EMF];
    cw_table_add(table, "%s", candidate->label);
    for (int i = 0; i < SHOWN; i++) {
        add_change(table, shown[i], base, other, csv);
    }
    cw_table_add(table, csv ? "%.6g" : "%+.1f dB", csv ? emf : tidy(emf));
    add_level(table, base, other, csv);
    add_verdict(table, candidate, base, other, csv);
}

static void add_heading(struct cw_table *table, bool csv)
{
    cw_table_add(table, "%s", csv ? "candidate" : "Candidate");
    for (int i = 0; i < SHOWN; i++) {
        cw_table_add(table, "%s", cw_lead_heading(shown[i], csv));
        if (csv) {
            cw_table_add(table, "change of %s", cw_lead_heading(shown[i], csv));
        }
    }
    cw_table_add(table, "%s", csv ? "change of EMF, dB" : "EMF");
    cw_table_add(table, "%s", csv ? "change of level, dB" : "Level");
    if (csv) {
        cw_table_add(table, "%s", "difference of the band that differs most, dB");
        cw_table_add(table, "%s", "centre of that band, Hz");
        cw_table_add(table, "%s", "times just noticeable");
    }
    cw_table_add(table, "%s", csv ? "heard" : "Heard?");
}

static void print_markdown(const struct cw_table *table, FILE *stream)
{
    for (size_t i = 0; i < table->count; i++) {
        fputs("| ", stream);
        cw_print_markdown(stream, table->cell[i]);
        fputs((i + 1) % table->columns == 0 ? " |\n" : " ", stream);
        if (i + 1 == table->columns) {
            for (size_t c = 0; c < table->columns; c++) {
                fputs("|---", stream);
            }
            fputs("|\n", stream);
        }
    }
}

static bool print(const struct request *request, FILE *stream)
{
    struct cw_table table;
    struct judged base, other;
    cw_table_init(&table, (size_t)(request->csv ? 2 * SHOWN + 7 : SHOWN + 4));
    add_heading(&table, request->csv);
    judge(&request->candidates.item[0].setup, &base);
    add_row(&table, &request->candidates.item[0], &base, &base, request->csv);
    for (size_t i = 1; i < request->candidates.count; i++) {
        judge(&request->candidates.item[i].setup, &other);
        add_row(&table, &request->candidates.item[i], &base, &other, request->csv);
    }
    bool good = true;
    if (request->markdown && !table.failed) {
        print_markdown(&table, stream);
    } else {
        good = cw_table_print(&table, stream, request->csv);
        if (!request->csv) {
            cw_level_note_print(&request->candidates, stream);
        }
    }
    cw_table_free(&table);
    return good;
}

/* ---- the command ---- */

/* The comma before the next change of a variant: one that SYMBOL= follows. Others are of a number (6,5m). */
static char *next_change(char *part)
{
    for (char *comma = strchr(part, ','); comma; comma = strchr(comma + 1, ',')) {
        size_t length = strcspn(comma + 1, ",=");
        if (comma[1 + length] == '=') {
            return comma;
        }
    }
    return NULL;
}

/* The changes of a variant, as they are written. */
static bool read_variant(const char *text, struct cw_edits *edits)
{
    char why[CW_WHY_SIZE + 80];
    char *copy = strdup(text);
    if (!copy) {
        cw_error_memory();
        return false;
    }
    bool good = true;
    for (char *part = copy; part && good;) {
        char *comma = next_change(part);
        if (comma) {
            *comma = '\0';
        }
        good = cw_edits_add(edits, part, why, sizeof why);
        if (good && edits->item[edits->count - 1].global) {
            snprintf(why, sizeof why, "expected a control of a setup, found '%.64s'", part);
            good = false;
        }
        part = comma ? comma + 1 : NULL;
    }
    if (!good) {
        cw_bad_usage(&usage, "--variant: %s", why);
    }
    free(copy);
    return good;
}

/* The variant's name: what was changed, by the names of the values. */
static void name_variant(const struct cw_setup *setup, const struct cw_edits *edits, char *label, size_t size)
{
    size_t used = 0;
    label[0] = '\0';
    for (size_t i = 0; i < edits->count && used < size; i++) {
        const struct cw_param_info *info = &cw_param_info[edits->item[i].index];
        char value[64];
        cw_value_print(info, setup->value[edits->item[i].index], value, sizeof value);
        used += (size_t)snprintf(label + used, size - used, "%s%s %s", i ? ", " : "", info->name, value);
    }
}

static int add_variant(struct request *request, const char *text)
{
    struct cw_edits edits = {0};
    char label[256];
    struct cw_candidates *list = &request->candidates;
    if (!read_variant(text, &edits)) {
        cw_edits_free(&edits);
        return CW_BAD_USAGE;
    }
    struct cw_candidate *item = realloc(list->item, (list->count + 1) * sizeof *item);
    if (item) {
        list->item = item;
        item += list->count;
        *item = (struct cw_candidate){.setup = list->item[0].setup, .source = strdup(text)};
        cw_edits_apply(&edits, CW_A, &item->setup);
        item->idle = cw_edits_name_idle(&edits, CW_A, list->item[0].source, &item->setup);
        name_variant(&item->setup, &edits, label, sizeof label);
        item->label = strdup(label);
        list->count++;
    }
    cw_edits_free(&edits);
    if (!item || !item->source || !item->label) {
        cw_error_memory();
        return CW_FAILED;
    }
    return CW_DONE;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_VARIANT: request->variant[request->variants++] = args->value; return true;
    case OPT_CSV: return request->csv = true;
    case OPT_MARKDOWN: return request->markdown = true;
    case OPT_FORCE: return request->force = true;
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_SET: return cw_args_edit(args, &request->edits, 0);
    default: return false;
    }
}

static int read_arguments(int argc, char **argv, struct request *request, char **names, size_t *count)
{
    int status = cw_args_read(&usage, argc, argv, take_option, request, names, count);
    if (status >= 0) {
        return status;
    }
    if (*count == 0) {
        return cw_bad_usage(&usage, "expected at least one FILE, found none");
    }
    if (request->csv && request->markdown) {
        return cw_bad_usage(&usage, "--csv and --markdown do not go together");
    }
    return -1;
}

static int load(struct request *request, char **names, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!cw_candidates_add(&request->candidates, names[i], &request->edits)) {
            return CW_FAILED;
        }
    }
    for (size_t i = 0; i < request->variants; i++) {
        int status = add_variant(request, request->variant[i]);
        if (status != CW_DONE) {
            return status;
        }
    }
    if (request->candidates.count < 2) {
        return cw_bad_usage(&usage, "expected at least two candidates, found one: name a second file or a --variant");
    }
    for (size_t i = 0; i < request->candidates.count; i++) {
        if (!cw_turns_fit(request->candidates.item[i].source, &request->candidates.item[i].setup)) {
            return CW_FAILED;
        }
    }
    return CW_DONE;
}

static int write_table(const struct request *request)
{
    struct cw_output output;
    if (!cw_output_open(&output, request->output, request->force)) {
        return CW_FAILED;
    }
    if (!print(request, output.stream)) {
        cw_output_abandon(&output);
        return CW_FAILED;
    }
    return cw_output_commit(&output) ? CW_DONE : CW_FAILED;
}

const struct cw_usage *cw_usage_compare(void) { return &usage; }

int cw_cmd_compare(int argc, char **argv)
{
    struct request request = {.output = "-"};
    char **names = calloc((size_t)argc, sizeof *names);
    request.variant = calloc((size_t)argc, sizeof *request.variant);
    size_t count = 0;
    int status = CW_FAILED;
    if (!names || !request.variant) {
        cw_error_memory();
    } else {
        status = read_arguments(argc, argv, &request, names, &count);
        status = status >= 0 ? status : load(&request, names, count);
        /* --help ends with 0 too, with nothing loaded. */
        if (status == CW_DONE && request.candidates.count) {
            status = write_table(&request);
        }
    }
    cw_candidates_free(&request.candidates);
    cw_edits_free(&request.edits);
    free(request.variant);
    free(names);
    return status;
}
