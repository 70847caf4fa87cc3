/* SPDX-License-Identifier: ISC */
/* coilwright spread: what scatter of winding and parts does to a candidate. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "candidate.h"
#include "command.h"
#include "edits.h"
#include "leads_table.h"
#include "message.h"
#include "near.h"
#include "options.h"
#include "output.h"
#include "plot_file.h"
#include "quantity.h"
#include "scatter.h"
#include "spread.h"
#include "spread_report.h"
#include "spread_run.h"

enum option { OPT_CSV = 1, OPT_DRAWS, OPT_FORCE, OPT_OUTPUT, OPT_PLOT, OPT_SCATTER, OPT_SEED, OPT_SET };

static const struct cw_option options[] = {
    CW_HEADING("What is drawn"),
    {OPT_SCATTER, "scatter", 0, "CAUSE=N",
     "Half width of a cause, in its unit, 0 to 50, as in turns=1 or wire=0; may be repeated."},
    {OPT_DRAWS, "draws", 0, "N", "Pickups drawn, 1000 to 2000000; default 200000."},
    {OPT_SEED, "seed", 0, "N", "Which draws, 0 to 2000000000; default 1."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of every candidate; may be repeated."},
    CW_HEADING("What is written"),
    {OPT_CSV, "csv", 0, NULL, "Print one table as CSV."},
    {OPT_OUTPUT, "output", 'o', "FILE", "Write the tables to FILE; default -, standard output."},
    {OPT_PLOT, "plot", 'p', "FILE",
     "Draw the responses between which 95 % lie to FILE: .svg, .png or .pdf; default no plot."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
};

static const struct cw_usage usage = {
    "spread",
    "CANDIDATE [OTHER]",
    "What scatter of winding and parts does to a candidate: DC resistance, inductance, resonance, level and\n"
    "response of pickups drawn as they would be made, and which cause matters most. With OTHER, whether\n"
    "the difference of the two stands out of the scatter, and is heard.",
    options,
    sizeof options / sizeof options[0],
    "Causes: wire (% of its diameter), turns, packing, core, magnet, pots, capacitors, resistors, cable, input\n"
    "(%), temperature (degC about 20). The table of the answer names each with its source. Both coils are\n"
    "of one spool, one lot of cores and one magnet; two candidates share guitar, cable and temperature.\n"
    "Three answers stand side by side: what 95 % of the draws lie between, the root of the sum of squares by first\n"
    "order, and every cause at its worst end at once. The same seed gives the same figures on any machine with the\n"
    "same mathematics library, whatever its number of processors.",
};

struct request {
    struct cw_edits edits;
    struct cw_candidates candidates;
    double half[CW_SCATTERS];
    bool given[CW_SCATTERS];
    const char *output, *plot;
    long draws, seed;
    bool csv, force;
};

static bool bad_cause(struct cw_args *args, const char *word)
{
    struct cw_nearest nearest = {0};
    for (int i = 0; i < CW_SCATTERS; i++) {
        cw_nearest_try(&nearest, word, cw_scatter_info[i].word);
    }
    if (nearest.word) {
        cw_bad_usage(&usage, "--scatter: expected a cause and its half width, found '%s': did you mean '%s'?",
                     args->value, nearest.word);
    } else {
        cw_bad_usage(&usage, "--scatter: expected a cause and its half width such as turns=1, found '%s'", args->value);
    }
    return false;
}

static bool take_scatter(struct cw_args *args, struct request *request)
{
    const double most = 50.0;
    char word[32];
    const char *equals = strchr(args->value, '=');
    snprintf(word, sizeof word, "%.*s", equals ? (int)(equals - args->value) : 31, args->value);
    int cause = cw_scatter_find(word);
    if (!equals || cause < 0) {
        return bad_cause(args, word);
    }
    double *half = &request->half[cause];
    const bool read = cause == CW_SCATTER_TEMPERATURE ? cw_celsius_parse(equals + 1, half)
                                                      : cw_quantity_parse(equals + 1, CW_UNIT_PERCENT, half);
    if (!read || !(*half >= 0.0) || *half > most) {
        cw_bad_usage(&usage, "--scatter: expected a half width from 0 to 50 (%s), found '%s'",
                     cw_scatter_info[cause].unit, args->value);
        return false;
    }
    return request->given[cause] = true;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_CSV: return request->csv = true;
    case OPT_DRAWS: return cw_args_count(args, 1000, 2000000, &request->draws);
    case OPT_FORCE: return request->force = true;
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_PLOT: request->plot = args->value; return true;
    case OPT_SCATTER: return take_scatter(args, request);
    case OPT_SEED: return cw_args_count(args, 0, 2000000000, &request->seed);
    case OPT_SET: return cw_args_edit(args, &request->edits, 0);
    default: return false;
    }
}

static int load(struct request *request, char **names, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!cw_candidates_add(&request->candidates, names[i], &request->edits)) {
            return CW_FAILED;
        }
    }
    if (request->candidates.count < 1 || request->candidates.count > 2) {
        return cw_bad_usage(&usage, "expected one candidate or two, found %zu", request->candidates.count);
    }
    for (size_t i = 0; i < request->candidates.count; i++) {
        if (!cw_turns_fit(request->candidates.item[i].source, &request->candidates.item[i].setup)) {
            return CW_FAILED;
        }
    }
    return CW_DONE;
}

static void start(const struct request *request, struct cw_spread_run *run)
{
    run->designs = (int)request->candidates.count;
    run->draws = (size_t)request->draws;
    run->seed = (uint64_t)request->seed;
    for (int d = 0; d < run->designs; d++) {
        const struct cw_setup *setup = &request->candidates.item[d].setup;
        struct cw_scatter scatter;
        cw_scatter_usual(setup, &scatter);
        for (int i = 0; i < CW_SCATTERS; i++) {
            scatter.half[i] = request->given[i] ? request->half[i] : scatter.half[i];
        }
        cw_spread_start(&run->design[d], setup, &scatter);
    }
}

static bool write_tables(const struct request *request, const struct cw_spread_run *run, const char *const label[2])
{
    struct cw_output output;
    if (!cw_output_open(&output, request->output, request->force)) {
        return false;
    }
    if (!(request->csv ? cw_spread_print_csv : cw_spread_print)(output.stream, run, label)) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

static int run_spread(const struct request *request)
{
    struct cw_spread_run run = {0};
    const struct cw_candidate *item = request->candidates.item;
    const char *const label[2] = {item[0].label, request->candidates.count == 2 ? item[1].label : NULL};
    const char *const both[] = {request->plot, request->output};
    start(request, &run);
    bool good = cw_outputs_ready(both, 2, request->force) && cw_spread_run(&run, request->plot != NULL) &&
                (!request->plot || cw_spread_plot(&run, label, request->plot, request->force)) &&
                write_tables(request, &run, label);
    cw_spread_run_free(&run);
    return good ? CW_DONE : CW_FAILED;
}

const struct cw_usage *cw_usage_spread(void) { return &usage; }

int cw_cmd_spread(int argc, char **argv)
{
    struct request request = {.output = "-", .draws = 200000, .seed = 1};
    char **names = calloc((size_t)argc, sizeof *names);
    size_t count = 0;
    int status = CW_FAILED;
    if (names) {
        status = cw_args_read(&usage, argc, argv, take_option, &request, names, &count);
    } else {
        cw_error_memory();
    }
    if (status < 0 && request.plot && !cw_plot_file_kind_known(request.plot)) {
        status = cw_bad_usage(&usage, "--plot: expected a name that ends in .svg, .png or .pdf");
    } else if (status < 0) {
        status = load(&request, names, count);
        status = status == CW_DONE ? run_spread(&request) : status;
    }
    cw_candidates_free(&request.candidates);
    cw_edits_free(&request.edits);
    free(names);
    return status;
}
