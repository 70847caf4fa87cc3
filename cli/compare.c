/* SPDX-License-Identifier: ISC */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "acts.h"
#include "arguments.h"
#include "candidate.h"
#include "command.h"
#include "compare_table.h"
#include "edits.h"
#include "known.h"
#include "leads_table.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "quantity.h"
#include "setup.h"

enum option { OPT_AGAINST = 1, OPT_CSV, OPT_FORCE, OPT_MARKDOWN, OPT_OUTPUT, OPT_RANK, OPT_SET, OPT_VARIANT, OPT_WIDE };

static const struct cw_option options[] = {
    CW_HEADING("What is compared"),
    {OPT_VARIANT, "variant", 'v', "SYMBOL=VALUE,...", "The first candidate with changes; may be repeated."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of every candidate; may be repeated."},
    {OPT_AGAINST, "against", 0, "N", "Hold the others against candidate N, 1 to 64, as they are numbered; default 1."},
    {OPT_RANK, "rank", 0, NULL,
     "Rows by ear: that candidate first, then the one that sounds nearest to it, and so on."},
    CW_HEADING("What is written"),
    {OPT_WIDE, "wide", 0, NULL, "Every value in one table, however wide."},
    {OPT_CSV, "csv", 0, NULL, "Print every value as CSV."},
    {OPT_MARKDOWN, "markdown", 0, NULL, "Print every value as a Markdown table."},
    {OPT_OUTPUT, "output", 'o', "FILE", "Write the table to FILE; default -, standard output."},
    {OPT_FORCE, "force", 'f', NULL, "Replace a file that is there already."},
};

static const struct cw_usage usage = {
    "compare",
    "FILE...",
    "Compare candidates with the first, or another: what each would measure, by how much it differs, and whether\n"
    "the difference can be heard. A candidate whose turns do not fit its former is a row that says so.",
    options,
    sizeof options / sizeof options[0],
    "Resonance is where the circuit rings by itself, whether that is heard or not; the peak is what a sweep shows,\n"
    "or flat; where it is flat the resonance says nothing of brightness. Level is against candidate 1 and is\n"
    "weighted loudness, the same figure as the meter of a split. Whether a difference is heard is\n"
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
    long against; /* from 1 */
    enum cw_compare_form form;
    bool csv, markdown, wide, force, rank;
};

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
    const unsigned at = list->item[0].at;
    if (!cw_edits_name_lost(&edits, at)) {
        cw_edits_free(&edits);
        return cw_bad_usage(&usage, "--variant: expected changes of the first candidate, found '%s'", text);
    }
    struct cw_candidate *item = realloc(list->item, (list->count + 1) * sizeof *item);
    if (item) {
        list->item = item;
        item += list->count;
        *item = (struct cw_candidate){.setup = list->item[0].setup, .source = strdup(text), .at = at};
        cw_edits_apply(&edits, at, &item->setup);
        item->idle = cw_edits_name_idle(&edits, at, list->item[0].source, &item->setup);
        name_variant(&item->setup, &edits, label, sizeof label);
        item->known = list->item[0].known;
        cw_known_follow(&item->known, &list->item[0].setup, &item->setup);
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
    case OPT_AGAINST: return cw_args_count(args, 1, CW_CANDIDATES_MAX, &request->against);
    case OPT_WIDE: return request->wide = true;
    case OPT_CSV: return request->csv = true;
    case OPT_MARKDOWN: return request->markdown = true;
    case OPT_FORCE: return request->force = true;
    case OPT_RANK: return request->rank = true;
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
    if (request->csv + request->markdown + request->wide > 1) {
        return cw_bad_usage(&usage, "--csv, --markdown and --wide do not go together");
    }
    request->form = request->csv        ? CW_COMPARE_CSV
                    : request->markdown ? CW_COMPARE_MARKDOWN
                    : request->wide     ? CW_COMPARE_WIDE
                                        : CW_COMPARE_NARROW;
    return -1;
}

static int load(struct request *request, char **names, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!cw_candidates_add(&request->candidates, names[i], &request->edits)) {
            return CW_FAILED;
        }
    }
    cw_edits_name_lost(&request->edits, cw_candidates_at(&request->candidates));
    for (size_t i = 0; i < request->variants; i++) {
        int status = add_variant(request, request->variant[i]);
        if (status != CW_DONE) {
            return status;
        }
    }
    if (request->candidates.count < 2) {
        return cw_bad_usage(&usage, "expected at least two candidates, found one: name a second file or a --variant");
    }
    if ((size_t)request->against > request->candidates.count) {
        return cw_bad_usage(&usage, "--against: expected one of the %zu candidates, found %ld",
                            request->candidates.count, request->against);
    }
    const struct cw_candidate *base = &request->candidates.item[request->against - 1];
    if (!cw_turns_fit(base->source, &base->setup)) {
        return CW_FAILED;
    }
    return CW_DONE;
}

static int write_table(const struct request *request)
{
    struct cw_output output;
    if (!cw_output_open(&output, request->output, request->force)) {
        return CW_FAILED;
    }
    if (!cw_compare_print(output.stream, &request->candidates, (size_t)request->against - 1, request->form,
                          request->rank)) {
        cw_output_abandon(&output);
        return CW_FAILED;
    }
    return cw_output_commit(&output) ? CW_DONE : CW_FAILED;
}

const struct cw_usage *cw_usage_compare(void) { return &usage; }

int cw_cmd_compare(int argc, char **argv)
{
    struct request request = {.output = "-", .against = 1};
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
