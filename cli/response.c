/* SPDX-License-Identifier: ISC */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "candidate.h"
#include "command.h"
#include "curve.h"
#include "edits.h"
#include "figures.h"
#include "frequencies.h"
#include "leads.h"
#include "leads_table.h"
#include "message.h"
#include "numbers.h"
#include "options.h"
#include "output.h"
#include "plot_file.h"
#include "plot_model.h"
#include "quantity.h"
#include "resonance.h"
#include "setup.h"
#include "table.h"
#include "transfer.h"
#include "voice.h"

enum option {
    OPT_AT = 1,
    OPT_CSV,
    OPT_DARK,
    OPT_DIFFERENCE,
    OPT_FORCE,
    OPT_FROM,
    OPT_IMPEDANCE,
    OPT_LEADS,
    OPT_OUTPUT,
    OPT_PHASE,
    OPT_PLOT,
    OPT_POINTS,
    OPT_RECORDED,
    OPT_SET,
    OPT_SIZE,
    OPT_SUMMARY,
    OPT_TITLE,
    OPT_TO,
    OPT_WIDE
};

static const struct cw_option options[] = {
    CW_HEADING("What is shown"),
    {OPT_RECORDED, "recorded", 0, "FILE", "Divide by the recorded-through setup of FILE; default nothing."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of every candidate; may be repeated."},
    {OPT_IMPEDANCE, "impedance", 0, NULL, "Impedance at the leads in ohm, instead of level in dB."},
    {OPT_PHASE, "phase", 0, NULL, "Add the phase in degrees, -180 to 180."},
    {OPT_DIFFERENCE, "difference", 0, NULL, "Level against the first candidate."},
    {OPT_SUMMARY, "summary", 0, NULL, "Print the figures of each candidate only."},
    {OPT_LEADS, "leads", 0, NULL, "Print what each measures at its leads, with its uncertainty, only."},
    CW_HEADING("At which frequencies"),
    {OPT_AT, "at", 0, "LIST", "Frequencies from 0.01 Hz to 1 MHz, as in 80,1k,3.5kHz; default third octaves."},
    {OPT_POINTS, "points", 0, "N", "N frequencies, 2 to 100000, evenly spread on a logarithmic axis; default none."},
    {OPT_FROM, "from", 0, "HZ", "Lowest frequency of --points, 0.01 Hz to 1 MHz; default 20 Hz."},
    {OPT_TO, "to", 0, "HZ", "Highest frequency of --points, 0.01 Hz to 1 MHz; default 20 kHz."},
    CW_HEADING("What is written"),
    {OPT_CSV, "csv", 0, NULL, "Print one table as CSV."},
    {OPT_WIDE, "wide", 0, NULL, "Tables in one piece, however wide; else those over 100 columns are folded."},
    {OPT_OUTPUT, "output", 'o', "FILE", "Write the table to FILE; default -, standard output."},
    {OPT_PLOT, "plot", 'p', "FILE", "Draw to FILE: .svg, .png or .pdf; default no plot."},
    {OPT_TITLE, "title", 0, "TEXT", "Title of the plot; default what it shows."},
    {OPT_SIZE, "size", 0, "WxH", "Size of the plot in pixels, 240x160 to 9999x9999; default 1000x560."},
    {OPT_DARK, "dark", 0, NULL, "Draw light on dark."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
};

static const struct cw_usage usage = {
    "response",
    "FILE...",
    "Table and plot the level of candidates against frequency, from the string's EMF to the\n"
    "amplifier's input. FILE is a preset; a comparison stands for its two candidates, FILE#a and\n"
    "FILE#b for one of them.",
    options,
    sizeof options / sizeof options[0],
    "With --recorded the level is the ratio of the analogue responses, without the boost limit that\n"
    "the sound has. A recorded-through setup in FILE itself is divided out only where --recorded names\n"
    "that file, other than in an audition. A symbol of --set is one of docs/parameters.md, without a prefix for every\n"
    "candidate, with a_, b_ or rec_ for that side only; values may carry a unit: 250k, 4.7n, 620pF.\n"
    "The phase is between -180 and 180 degrees. Candidates that are silent show -inf.",
};

/* What the command line asks for. */
struct request {
    struct cw_edits edits;
    struct cw_candidates candidates;
    struct cw_candidate recorded;
    const char *recorded_name, *output, *plot, *title;
    struct cw_frequencies frequencies;
    double from, to;
    long points;
    struct cw_plot_size size;
    bool impedance, phase, difference, summary, leads, csv, wide, force, dark;
    struct cw_curve *curves;
};

static bool take_hz(struct cw_args *args, double *hz)
{
    if (cw_quantity_parse(args->value, CW_UNIT_HZ, hz) && *hz >= 0.01 && *hz <= 1e6) {
        return true;
    }
    cw_bad_usage(&usage, "--%s: expected a frequency from 0.01 Hz to 1 MHz, found '%s'", args->option->name,
                 args->value);
    return false;
}

static bool take_at(struct cw_args *args, struct request *request)
{
    char bad[64];
    cw_frequencies_free(&request->frequencies);
    if (cw_frequencies_parse(&request->frequencies, args->value, bad, sizeof bad)) {
        return true;
    }
    cw_bad_usage(&usage, "--at: expected frequencies from 0.01 Hz to 1 MHz such as 80,1k,3.5kHz, found %s", bad);
    return false;
}

static bool take_size(struct cw_args *args, struct cw_plot_size *size)
{
    int width, height, used = 0;
    if (sscanf(args->value, "%4dx%4d%n", &width, &height, &used) == 2 && args->value[used] == '\0' && width >= 240 &&
        height >= 160) {
        size->width = width;
        size->height = height;
        return true;
    }
    cw_bad_usage(&usage, "--size: expected WIDTHxHEIGHT from 240x160 to 9999x9999, found '%s'", args->value);
    return false;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_RECORDED: request->recorded_name = args->value; return true;
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_PLOT: request->plot = args->value; return true;
    case OPT_TITLE: request->title = args->value; return true;
    case OPT_IMPEDANCE: return request->impedance = true;
    case OPT_PHASE: return request->phase = true;
    case OPT_DIFFERENCE: return request->difference = true;
    case OPT_SUMMARY: return request->summary = true;
    case OPT_LEADS: return request->leads = true;
    case OPT_CSV: return request->csv = true;
    case OPT_WIDE: return request->wide = true;
    case OPT_FORCE: return request->force = true;
    case OPT_DARK: return request->dark = true;
    case OPT_AT: return take_at(args, request);
    case OPT_POINTS: return cw_args_count(args, 2, CW_FREQUENCIES_MAX, &request->points);
    case OPT_FROM: return take_hz(args, &request->from);
    case OPT_TO: return take_hz(args, &request->to);
    case OPT_SIZE: return take_size(args, &request->size);
    case OPT_SET: return cw_args_edit(args, &request->edits, 1u << CW_G_MAINS);
    default: return false;
    }
}

/* Options that contradict one another. */
static bool sensible(const struct request *request, size_t operands)
{
    const char *trouble = NULL;
    if (operands == 0) {
        trouble = "expected at least one FILE, found none";
    } else if (request->impedance && request->recorded_name) {
        trouble = "--impedance and --recorded do not go together: an impedance has no recording";
    } else if (request->impedance && request->difference) {
        trouble = "--impedance and --difference do not go together";
    } else if (request->frequencies.count && request->points) {
        trouble = "--at and --points do not go together";
    } else if (request->summary && request->leads) {
        trouble = "--summary and --leads do not go together";
    } else if (request->from >= request->to) {
        trouble = "expected --from below --to";
    } else if (request->plot && !cw_plot_file_kind_known(request->plot)) {
        trouble = "--plot: expected a name that ends in .svg, .png or .pdf";
    }
    if (trouble) {
        cw_bad_usage(&usage, "%s", trouble);
    }
    return !trouble;
}

/* Options first, files after: --set applies to every file wherever it stands. */
static int read_arguments(int argc, char **argv, struct request *request, char **names, size_t *count)
{
    int status = cw_args_read(&usage, argc, argv, take_option, request, names, count);
    return status >= 0 ? status : sensible(request, *count) ? -1 : CW_BAD_USAGE;
}

static bool load(struct request *request, char **names, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (!cw_candidates_add(&request->candidates, names[i], &request->edits)) {
            return false;
        }
    }
    if (request->recorded_name && !cw_recorded_load(request->recorded_name, &request->edits, &request->recorded)) {
        return false;
    }
    cw_edits_name_lost(&request->edits,
                       cw_candidates_at(&request->candidates) | (request->recorded_name ? 1u << CW_REC : 0u));
    request->curves = calloc(request->candidates.count, sizeof *request->curves);
    bool listed = request->frequencies.count > 0;
    if (!listed) {
        listed = request->points
                     ? cw_frequencies_spread(&request->frequencies, request->from, request->to, (size_t)request->points)
                     : cw_frequencies_third_octaves(&request->frequencies);
    }
    if (!request->curves || !listed) {
        cw_error_memory();
        return false;
    }
    for (size_t i = 0; i < request->candidates.count; i++) {
        cw_curve_init(&request->curves[i], &request->candidates.item[i].setup,
                      request->recorded_name ? &request->recorded.setup : NULL);
    }
    return true;
}

/* One figure with its unit, or in CSV the bare number. */
static void add_meter(struct cw_table *table, enum cw_meter_id id, double value, bool csv)
{
    char text[40];
    if (csv) {
        cw_table_add(table, "%s", cw_print_csv_number(value, 1.0, text, sizeof text));
        return;
    }
    switch (id) {
    case CW_M_PEAK_FREQUENCY: cw_print_peak_hz(value, text, sizeof text); break;
    case CW_M_RESONANCE:
    case CW_M_SPLIT_RESONANCE: cw_print_resonance(value, text, sizeof text); break;
    case CW_M_HUM:
    case CW_M_BUZZ: cw_print_noise(value, text, sizeof text); break;
    case CW_M_LEVEL: cw_print_db(value, 2, text, sizeof text); break;
    case CW_M_PEAK_HEIGHT: cw_print_db(value, 1, text, sizeof text); break;
    default:
        cw_print_plain(value, 2, text, sizeof text - 8);
        cw_table_add(table, "%s %s", text, cw_unit_symbol(cw_meter_info[id].unit));
        return;
    }
    cw_table_add(table, "%s", text);
}

static const enum cw_meter_id shown[] = {
    CW_M_RESONANCE,     CW_M_SPLIT_RESONANCE, CW_M_PEAK_FREQUENCY, CW_M_PEAK_HEIGHT,
    CW_M_DC_RESISTANCE, CW_M_LEAD_INDUCTANCE, CW_M_LEVEL,          CW_M_HUM,
    CW_M_BUZZ};
enum { SHOWN = sizeof shown / sizeof shown[0] };

static bool print_summary(const struct request *request, FILE *stream)
{
    static const char *const heading[SHOWN] = {"Resonance",  "Of the split", "Peak at", "Peak", "DC res.",
                                               "Inductance", "Level, split", "Hum",     "Buzz"};
    struct cw_controls defaults;
    cw_controls_defaults(&defaults);
    double *global = defaults.global;
    cw_edits_apply_globals(&request->edits, global);
    struct cw_table table;
    cw_table_init(&table, SHOWN + 2);
    table.fold = request->wide ? 0 : 2;
    cw_table_add(&table, "%s", request->csv ? "number" : "");
    cw_table_add(&table, "%s", request->csv ? "candidate" : "Candidate");
    for (int m = 0; m < SHOWN; m++) {
        const struct cw_param_info *info = &cw_meter_info[shown[m]];
        if (request->csv) {
            cw_table_add(&table, "%s, %s", info->name, cw_unit_symbol(info->unit));
        } else {
            cw_table_add(&table, "%s", heading[m]);
        }
    }
    for (size_t i = 0; i < request->candidates.count; i++) {
        struct cw_figures figures;
        cw_figures_of(&request->candidates.item[i].setup, global[CW_G_MAINS], &figures);
        cw_table_add(&table, "%zu", i + 1);
        cw_table_add(&table, "%s", request->candidates.item[i].label);
        for (int m = 0; m < SHOWN; m++) {
            add_meter(&table, shown[m], figures.value[shown[m]], request->csv);
        }
    }
    bool good = cw_table_print(&table, stream, request->csv);
    cw_table_free(&table);
    return good;
}

static double value_of(const struct request *request, size_t candidate, double hz)
{
    const struct cw_curve *curve = &request->curves[candidate];
    if (request->impedance) {
        return cw_curve_ohm(curve, hz);
    }
    double db = cw_curve_db(curve, hz);
    return request->difference ? db - cw_curve_db(&request->curves[0], hz) : db;
}

static double phase_of(const struct request *request, size_t candidate, double hz)
{
    const struct cw_curve *curve = &request->curves[candidate];
    return request->impedance ? cw_curve_ohm_degrees(curve, hz) : cw_curve_degrees(curve, hz);
}

static bool with_phase(const struct request *request) { return request->phase || request->impedance; }

static void add_heading(struct cw_table *table, const struct request *request)
{
    cw_table_add(table, "%s", request->csv ? "frequency, Hz" : "Hz");
    for (size_t i = 0; i < request->candidates.count; i++) {
        const char *unit = request->impedance ? "ohm" : "dB";
        const char *label = request->candidates.item[i].label;
        if (request->csv) {
            cw_table_add(table, "%s, %s", label, unit);
        } else {
            cw_table_add(table, "%zu: %s", i + 1, unit);
        }
        if (with_phase(request)) {
            cw_table_add(table, request->csv ? "%s, degrees" : "%.0sdegrees", label);
        }
    }
}

/* A level, an impedance or a phase at one frequency; in CSV with six decimals. */
static void add_value(struct cw_table *table, const struct request *request, bool is_signed, int decimals, double value)
{
    char text[40];
    cw_table_add(table, "%s",
                 !isfinite(value) ? cw_print_csv_number(value, 1.0, text, sizeof text)
                 : request->csv   ? cw_print_plain(value, 6, text, sizeof text)
                 : is_signed      ? cw_print_signed(value, decimals, text, sizeof text)
                                  : cw_print_plain(value, decimals, text, sizeof text));
}

static bool print_values(const struct request *request, FILE *stream)
{
    struct cw_table table;
    bool phase = with_phase(request);
    cw_table_init(&table, 1 + request->candidates.count * (phase ? 2 : 1));
    table.fold = request->wide ? 0 : 1;
    add_heading(&table, request);
    for (size_t f = 0; f < request->frequencies.count; f++) {
        double hz = request->frequencies.hz[f];
        cw_table_add(&table, request->csv ? "%.12g" : "%.6g", hz);
        for (size_t i = 0; i < request->candidates.count; i++) {
            add_value(&table, request, !request->impedance, request->impedance ? 0 : 2, value_of(request, i, hz));
            if (phase) {
                add_value(&table, request, true, 1, phase_of(request, i, hz));
            }
        }
    }
    bool good = cw_table_print(&table, stream, request->csv);
    cw_table_free(&table);
    return good;
}

static bool write_tables(const struct request *request)
{
    struct cw_output output;
    if (!cw_output_open(&output, request->output, request->force)) {
        return false;
    }
    bool good = true;
    if (!request->leads && (!request->csv || request->summary)) {
        good = print_summary(request, output.stream);
    }
    if (good && !request->leads && !request->csv && cw_any_wound(&request->candidates)) {
        fputc('\n', output.stream);
    }
    if (good && (request->leads || (!request->csv && cw_any_wound(&request->candidates)))) {
        good = cw_lead_values_print(&request->candidates, output.stream, request->csv, request->wide);
    }
    if (good && !request->summary && !request->leads) {
        if (!request->csv) {
            fputc('\n', output.stream);
        }
        good = print_values(request, output.stream);
    }
    if (!good) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

static void mark_peak(const struct request *request, size_t candidate, struct cw_plot_curve *drawn)
{
    if (request->difference || request->recorded_name || request->impedance) {
        return;
    }
    const struct cw_transfer *response = &request->curves[candidate].response;
    struct cw_resonance resonance = cw_resonance_of(&request->candidates.item[candidate].setup, response);
    struct cw_peak peak = cw_peak_of(response, &resonance);
    drawn->peak = peak.hz >= CW_PLOT_HZ_LOW && peak.hz <= CW_PLOT_HZ_HIGH;
    drawn->peak_hz = peak.hz;
    drawn->peak_value = drawn->peak ? value_of(request, candidate, peak.hz) : 0.0;
    drawn->peak_over = peak.db;
}

/* A phase curve that does not jump where it passes 180 degrees. */
static void unwrap(struct cw_plot_curve *curve)
{
    for (int i = 1; i < CW_PLOT_POINTS; i++) {
        double step = curve->value[i] - curve->value[i - 1];
        curve->value[i] -= 360.0 * floor(step / 360.0 + 0.5);
    }
}

static void fill_plot(const struct request *request, struct cw_plot *plot, bool phase)
{
    cw_plot_clear(plot);
    plot->dark = request->dark;
    plot->axis = phase                 ? CW_PLOT_PHASE
                 : request->impedance  ? CW_PLOT_IMPEDANCE
                 : request->difference ? CW_PLOT_DIFFERENCE
                                       : CW_PLOT_LEVEL;
    const char *title = phase                    ? "Phase"
                        : request->title         ? request->title
                        : request->impedance     ? "Impedance at the leads"
                        : request->difference    ? "Level difference"
                        : request->recorded_name ? "Level against the recording"
                                                 : "Level at the amplifier";
    cw_plot_text(plot->title, title);
    if (request->difference && !phase) {
        char note[2 * CW_PLOT_TEXT];
        snprintf(note, sizeof note, "against %s", request->candidates.item[0].label);
        cw_plot_text(plot->note, note);
    } else if (request->recorded_name && !phase) {
        char note[2 * CW_PLOT_TEXT];
        snprintf(note, sizeof note, "%s divided out", request->recorded.label);
        cw_plot_text(plot->note, note);
    } else if (plot->axis == CW_PLOT_LEVEL) {
        cw_plot_text(plot->note, "0 dB is the EMF of the reference pickup");
    }
    for (size_t c = 0; c < request->candidates.count; c++) {
        struct cw_plot_curve *drawn = cw_plot_add(plot, request->candidates.item[c].label);
        for (int i = 0; drawn && i < CW_PLOT_POINTS; i++) {
            drawn->value[i] = (phase ? phase_of : value_of)(request, c, cw_plot_hz(i));
        }
        if (drawn && phase) {
            unwrap(drawn);
        } else if (drawn) {
            mark_peak(request, c, drawn);
        }
    }
}

static bool write_plot(const struct request *request)
{
    int count = with_phase(request) ? 2 : 1;
    struct cw_plot *plots = calloc((size_t)count, sizeof *plots);
    if (!plots) {
        cw_error_memory();
        return false;
    }
    const struct cw_plot *pages[2] = {&plots[0], &plots[count - 1]};
    struct cw_plot_size size = request->size;
    if (size.width == 0) {
        size.width = 1000;
        size.height = 560 + 300 * (count - 1);
    }
    for (int i = 0; i < count; i++) {
        fill_plot(request, &plots[i], i == 1);
    }
    bool good = cw_plot_save(pages, count, request->plot, size, request->force);
    free(plots);
    return good;
}

/* With a plot the table is printed only where it is asked for. */
static int run(struct request *request, char **names, size_t count)
{
    const char *const both[] = {request->plot, request->output};
    if (!load(request, names, count) || !cw_outputs_ready(both, 2, request->force)) {
        return CW_FAILED;
    }
    if (request->plot && !write_plot(request)) {
        return CW_FAILED;
    }
    bool table = request->output || !request->plot;
    if (!request->output) {
        request->output = "-";
    }
    return table && !write_tables(request) ? CW_FAILED : CW_DONE;
}

const struct cw_usage *cw_usage_response(void) { return &usage; }

int cw_cmd_response(int argc, char **argv)
{
    struct request request = {.from = 20.0, .to = 20000.0, .size = {0, 0, 1.0}};
    char **names = calloc((size_t)argc, sizeof *names);
    if (!names) {
        cw_error_memory();
        return CW_FAILED;
    }
    size_t count = 0;
    int status = read_arguments(argc, argv, &request, names, &count);
    if (status < 0) {
        status = run(&request, names, count);
    }
    free(names);
    free(request.curves);
    cw_frequencies_free(&request.frequencies);
    cw_edits_free(&request.edits);
    cw_candidates_free(&request.candidates);
    cw_candidate_free(&request.recorded);
    return status;
}
