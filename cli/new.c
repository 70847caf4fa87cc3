/* SPDX-License-Identifier: ISC */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "acts.h"
#include "calibrate.h"
#include "fit_report.h"
#include "candidate.h"
#include "coil.h"
#include "command.h"
#include "defaults.h"
#include "escape.h"
#include "journal_entry.h"
#include "known.h"
#include "leads.h"
#include "leads_table.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "preset_save.h"
#include "preset_text.h"
#include "quantity.h"
#include "setup.h"
#include "turtle.h"
#include "measurement.h"

/* Options of our own; parameters follow from OPT_PARAM on. */
enum option {
    OPT_AGAINST = 1,
    OPT_AS,
    OPT_BASE,
    OPT_COMMENT,
    OPT_FORCE,
    OPT_FROM_MEASURED,
    OPT_LABEL,
    OPT_OUTPUT,
    OPT_PARAM
};

enum { NAME_SIZE = 32, HELP_SIZE = 400 };

static const struct cw_option own_options[] = {
    CW_HEADING("What is written"),
    {OPT_OUTPUT, "output", 'o', "FILE",
     "Preset to write: FILE.ttl, a bundle NAME.lv2, or - for standard output; needed."},
    {OPT_AS, "as", 0, "a|b|rec", "Write it as candidate A or B, or as what a recording went through; default a."},
    {OPT_AGAINST, "against", 0, "FILE",
     "Write a comparison: the candidate of FILE as A, the new one as B; default none."},
    {OPT_LABEL, "label", 'l', "TEXT", "Its name; default the name of the output file."},
    {OPT_COMMENT, "comment", 'c', "TEXT", "A remark that hosts show; default none."},
    {OPT_FORCE, "force", 'f', NULL, "Replace a file that is there already."},
    CW_JOURNAL_OPTION,
    CW_BECAUSE_OPTION,
    CW_HEADING("What it starts from"),
    {OPT_BASE, "base", 'b', "FILE", "This candidate, with its calibration; default every control at its default."},
    {OPT_FROM_MEASURED, "from-measured", 'm', "QUANTITY=VALUE",
     "Fit the coil to one on the bench; see below. May be repeated."},
};

enum { OWN_OPTIONS = sizeof own_options / sizeof own_options[0], OPTIONS = OWN_OPTIONS + CW_GROUPS + CW_PARAMS };

static const char more[] =
    "Each control is an option, with - or _ in its name; --set takes the same names. Values may carry a unit "
    "(--volume-pot 250k, --tone-cap 47n, 8k2, 6,5m). Lists are taken by words, as many as leave one meant "
    "(--magnet alnico-5, --coils series); wire by its gauge (43, 43AWG) or its bare diameter (0.0635mm), of which "
    "the nearest half size is taken and said. A winding option takes the values from the winding, a value such as "
    "--inductance from measurement; where both are given, or a base holds the other kind, --coil-from says which. "
    "The four former dimensions take millimetres too (--former-length 52mm: the straight part; --former-width: the "
    "inner width), as well as per cent of the former's own. What is not given stands at its default, or as the base "
    "has it.\n"
    "\n"
    "--from-measured takes resistance=4.7k@24 (DC; degrees C, default 20), inductance=1.75@1k (series mode; test "
    "frequency, default 120 Hz), resonance=3.1k@500pF,1M (peak of the response with that connected; without @, "
    "peak of the impedance with nothing connected) and peak=9dB (height of the response's peak over its level at "
    "low frequency, with the same load); +-2% behind a reading, +-0.5dB behind a peak, says how far it may be "
    "out (else 1 % of resistance, 2 % of inductance and resonance, 0.6 dB). What is out of reach is met as "
    "nearly as may be and said, and a fit far outside the model is doubted. A winding gets calibration factors, "
    "which its variants keep by --base; a coil from measured values gets the values. Turns that do not fit the "
    "former are an error.";

/* What the command line asks for. */
struct request {
    const char *output, *base, *against, *label, *comment;
    enum cw_which side;
    bool force;
    struct cw_journal_request journal;
    struct cw_measurement measurement;
    const char *text[CW_PARAMS]; /* value of each parameter's option; NULL where not given */
};

/* The usage is made at run time: the parameters are options. */
struct usage {
    struct cw_option options[OPTIONS];
    char names[CW_PARAMS][NAME_SIZE], help[CW_PARAMS][HELP_SIZE], headings[CW_GROUPS][NAME_SIZE];
    struct cw_usage usage;
};

/* What the value is called in the help. */
static const char *argument_of(const struct cw_param_info *info)
{
    const char *unit = cw_unit_symbol(info->unit);
    return info->flags & CW_TOGGLE ? "on|off" : info->flags & CW_ENUM ? "WORDS" : *unit ? unit : "NUMBER";
}

static struct cw_option param_option(struct usage *u, int id)
{
    const struct cw_param_info *info = &cw_param_info[id];
    char range[HELP_SIZE / 2];
    snprintf(u->names[id], NAME_SIZE, "%s", info->symbol);
    for (char *c = u->names[id]; *c; c++) {
        *c = *c == '_' ? '-' : *c;
    }
    snprintf(u->help[id], HELP_SIZE, "%s %s.", info->meaning, cw_value_range(info, range, sizeof range));
    return (struct cw_option){OPT_PARAM + id, u->names[id], 0, argument_of(info), u->help[id]};
}

/* The options of a group, under its name with a capital. */
static void add_group(struct usage *u, enum cw_group group, size_t *count)
{
    char *heading = u->headings[group];
    snprintf(heading, NAME_SIZE, "%s", cw_group_name[group]);
    heading[0] = (char)toupper((unsigned char)heading[0]);
    u->options[(*count)++] = (struct cw_option)CW_HEADING(heading);
    for (int i = 0; i < CW_PARAMS; i++) {
        if (cw_param_info[i].group == group) {
            u->options[(*count)++] = param_option(u, i);
        }
    }
}

const struct cw_usage *cw_usage_new(void)
{
    static struct usage u;
    size_t count = OWN_OPTIONS;
    memcpy(u.options, own_options, sizeof own_options);
    for (int group = 0; group < CW_GROUPS; group++) {
        add_group(&u, (enum cw_group)group, &count);
    }
    u.usage = (struct cw_usage){
        "new", "-o FILE", "Write a candidate: a preset that sets every control of one side.", u.options, count, more};
    return &u.usage;
}

/* The name of a parameter's option. */
static const char *option_name(const struct cw_usage *usage, int id)
{
    size_t i = OWN_OPTIONS;
    while (usage->options[i].id != OPT_PARAM + id) {
        i++;
    }
    return usage->options[i].name;
}

static bool take_side(const struct cw_usage *usage, const char *text, enum cw_which *side)
{
    static const char *const names[CW_SETUPS] = {[CW_REC] = "rec", [CW_A] = "a", [CW_B] = "b"};
    for (int i = 0; i < CW_SETUPS; i++) {
        if (strcmp(text, names[i]) == 0) {
            *side = (enum cw_which)i;
            return true;
        }
    }
    cw_bad_usage(usage, "--as: expected a, b or rec, found '%s'", text);
    return false;
}

static bool take_measurement(const struct cw_usage *usage, const char *text, struct cw_measurement *measurement)
{
    char why[CW_WHY_SIZE + 80];
    if (cw_measurement_add(measurement, text, why, sizeof why)) {
        return true;
    }
    cw_bad_usage(usage, "--from-measured: %s", why);
    return false;
}

static bool take_option(struct cw_args *args, int id, struct request *request)
{
    switch (id) {
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_BASE: request->base = args->value; return true;
    case OPT_AGAINST: request->against = args->value; return true;
    case OPT_LABEL: request->label = args->value; return true;
    case OPT_COMMENT: request->comment = args->value; return true;
    case OPT_FORCE: return request->force = true;
    case OPT_AS: return take_side(args->usage, args->value, &request->side);
    case OPT_FROM_MEASURED: return take_measurement(args->usage, args->value, &request->measurement);
    case CW_ARG_OPERAND: cw_bad_usage(args->usage, "expected options only, found '%s'", args->value); return false;
    default:
        if (!cw_journal_take(args, id, &request->journal)) {
            request->text[id - OPT_PARAM] = args->value;
        }
        return true;
    }
}

/* ---- values ---- */

static double *former_part(struct cw_former_size *size, enum cw_param_id id, double *per_metre)
{
    *per_metre = 1.0;
    switch (id) {
    case CW_P_FORMER_LENGTH: return &size->straight;
    case CW_P_FORMER_WIDTH: *per_metre = 0.5; return &size->inner_radius;
    case CW_P_FORMER_HEIGHT: return &size->height;
    case CW_P_FORMER_BUILD: return &size->build;
    default: return NULL;
    }
}

/* "52mm" or "52 mm" for a dimension of the former: per cent of the former's own. */
static bool millimetres(const struct cw_setup *setup, enum cw_param_id id, const char *text, double *percent)
{
    struct cw_former_size size = cw_former_info[(int)setup->value[CW_P_FORMER]];
    double per_metre, metres;
    const double *own = former_part(&size, id, &per_metre);
    size_t length = strlen(text);
    if (!own || length < 3 || strcmp(text + length - 2, "mm") != 0 ||
        !cw_quantity_parse(text, CW_UNIT_METRE, &metres)) {
        return false;
    }
    *percent = 100.0 * metres * per_metre / *own;
    return true;
}

static bool read_value(const struct cw_usage *usage, enum cw_param_id id, const char *text, struct cw_setup *setup)
{
    const struct cw_param_info *info = &cw_param_info[id];
    char why[CW_WHY_SIZE], note[100];
    double percent;
    bool good;
    if (millimetres(setup, id, text, &percent)) {
        good = cw_value_check(info, &percent, why);
        setup->value[id] = good ? percent : setup->value[id];
    } else {
        good = cw_value_parse(info, text, &setup->value[id], why);
    }
    if (!good) {
        cw_bad_usage(usage, "--%s: %s", option_name(usage, (int)id), why);
    } else if (cw_value_note(info, text, setup->value[id], note, sizeof note)) {
        cw_error("--%s: %s", option_name(usage, (int)id), note);
    }
    return good;
}

/* The last option given that does nothing, for that reason, with the coil's values from there; -1 if
 * there is none. */
static int idle_option(const struct request *request, double coil_from, enum cw_idle why)
{
    struct cw_setup setup;
    int found = -1;
    cw_setup_defaults(&setup);
    setup.value[CW_P_COIL_FROM] = coil_from;
    for (int i = 0; i < CW_PARAMS; i++) {
        found = request->text[i] && cw_param_idle(&setup, (enum cw_param_id)i) == why ? i : found;
    }
    return found;
}

/* Where the coil's values come from, where it is not said: from the kind of values that are given.
 * What a base holds is not dropped in silence. */
static bool choose_source(const struct cw_usage *usage, const struct request *request, struct cw_setup *setup)
{
    int winding = idle_option(request, CW_FROM_MEASURED, CW_IDLE_MEASURED);
    int measured = idle_option(request, CW_FROM_WINDING, CW_IDLE_WOUND);
    if (request->text[CW_P_COIL_FROM] || (winding < 0 && measured < 0)) {
        return true;
    }
    if (winding >= 0 && measured >= 0) {
        cw_bad_usage(usage, "--%s is of a winding and --%s is measured: expected --coil-from to say which holds",
                     option_name(usage, winding), option_name(usage, measured));
        return false;
    }
    double source = winding >= 0 ? CW_FROM_WINDING : CW_FROM_MEASURED;
    if (request->base && setup->value[CW_P_COIL_FROM] != source) {
        cw_bad_usage(
            usage,
            winding >= 0
                ? "--%s is of a winding, %s holds measured values: expected --coil-from winding to leave those"
                : "--%s is measured, %s holds a winding: expected --coil-from \"measured values\" to leave that",
            option_name(usage, winding >= 0 ? winding : measured), request->base);
        return false;
    }
    setup->value[CW_P_COIL_FROM] = source;
    return true;
}

/* The former first: its dimensions in millimetres hang on it. */
static bool read_values(const struct cw_usage *usage, const struct request *request, struct cw_setup *setup)
{
    if (request->text[CW_P_FORMER] && !read_value(usage, CW_P_FORMER, request->text[CW_P_FORMER], setup)) {
        return false;
    }
    for (int i = 0; i < CW_PARAMS; i++) {
        if (request->text[i] && !read_value(usage, (enum cw_param_id)i, request->text[i], setup)) {
            return false;
        }
    }
    return choose_source(usage, request, setup);
}

/* What was given and does nothing is stored, for it may act once something else is changed; and said. */
static void name_idle(const struct cw_usage *usage, const struct request *request, const struct cw_setup *setup)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        enum cw_idle why = cw_param_idle(setup, (enum cw_param_id)i);
        if (request->text[i] && why != CW_ACTS) {
            cw_error("--%s does nothing here: %s", option_name(usage, i), cw_idle_words(why));
        }
    }
}

/* ---- the command ---- */

/* One candidate of a file; a comparison needs its side named. */
static bool load_one(const char *name, struct cw_setup *setup, struct cw_known *known)
{
    struct cw_candidates list = {0};
    bool good = cw_candidates_add(&list, name, NULL);
    if (good && list.count != 1) {
        cw_error_at(name, 0, "expected one candidate, found %zu: name one as FILE#a or FILE#b", list.count);
        good = false;
    }
    if (good) {
        *setup = list.item[0].setup;
        *known = list.item[0].known;
    }
    cw_candidates_free(&list);
    return good;
}

/* File name without directory and suffix. */
static void default_label(const char *path, char *label, size_t size)
{
    const char *slash = strrchr(path, '/');
    cw_text_fit(strcmp(path, "-") == 0 ? "New candidate" : slash ? slash + 1 : path, label, size);
    char *dot = strrchr(label, '.');
    if (dot && dot != label) {
        *dot = '\0';
    }
}

static bool save(const struct request *request, const char *label, const struct cw_setup *setup,
                 const struct cw_known *known)
{
    const struct cw_setup *setups[CW_SETUPS] = {0};
    struct cw_preset_words words = {0};
    struct cw_setup other;
    struct cw_known other_known;
    setups[request->side] = setup;
    words.known[request->side] = known;
    if (request->against) {
        if (!load_one(request->against, &other, &other_known)) {
            return false;
        }
        setups[CW_A] = &other;
        words.known[CW_A] = &other_known;
        setups[CW_B] = setup;
        words.known[CW_B] = known;
    }
    return cw_worded_save(request->output, label, request->comment, setups, &words, request->force);
}

/* What it would measure; on standard error where the preset itself goes to standard output. */
static bool show(const struct request *request, const char *label, const struct cw_setup *setup,
                 const struct cw_known *known)
{
    char name[256];
    snprintf(name, sizeof name, "%s", label);
    struct cw_candidate candidate = {.label = name, .source = name, .setup = *setup, .known = *known};
    struct cw_candidates list = {.item = &candidate, .count = 1};
    bool standard = strcmp(request->output, "-") == 0;
    FILE *stream = standard ? stderr : stdout;
    if (!cw_lead_values_print(&list, stream, false, false)) {
        return false;
    }
    if (!request->base) {
        bool given[CW_PARAMS];
        for (int i = 0; i < CW_PARAMS; i++) {
            given[i] = request->text[i] || setup->value[i] != cw_param_info[i].preset; /* or fitted */
        }
        cw_defaults_print(stream, setup, given);
    }
    return standard || cw_stdout_finish();
}

/* A name without an ending is a preset too, which no host finds. */
static void name_plain_file(const char *path)
{
    const char *dot = strrchr(path, '.');
    if (strcmp(path, "-") != 0 && !(dot && (strcmp(dot, ".ttl") == 0 || strcmp(dot, ".lv2") == 0))) {
        cw_error_at(
            path, 0,
            "written as a preset, though its name does not end in .ttl (with .lv2 it is a bundle, which hosts find)");
    }
}

static bool note(const struct request *request, const char *label, const struct cw_setup *setup)
{
    struct cw_entry entry;
    if (!cw_entry_begin(&entry, &request->journal, "new")) {
        return false;
    }
    cw_entry_add_setup(&entry, "candidate", label, setup);
    cw_entry_add_file(&entry, "base", request->base);
    cw_entry_add_file(&entry, "output", strcmp(request->output, "-") == 0 ? NULL : request->output);
    return cw_entry_finish(&entry, strcmp(request->output, "-") == 0 ? stderr : stdout);
}

/* How sure the values are is told where every reading was met. */
static void calibrate(const struct cw_measurement *measurement, struct cw_setup *setup, struct cw_fit *fit,
                      struct cw_known *known)
{
    const struct cw_setup start = *setup;
    *known = (struct cw_known){.given = false};
    cw_calibrate(measurement, setup, fit);
    if (cw_fit_reached(fit)) {
        cw_calibrate_known(measurement, &start, known);
    }
}

static int run(const struct cw_usage *usage, const struct request *request)
{
    struct cw_setup setup;
    struct cw_known known = {.given = false};
    char named[CW_LABEL_BYTES_MAX + 1];
    cw_setup_defaults(&setup);
    if (!cw_journal_ready(&request->journal) || (request->base && !load_one(request->base, &setup, &known))) {
        return CW_FAILED;
    }
    const struct cw_setup base = setup;
    if (!read_values(usage, request, &setup)) {
        return CW_BAD_USAGE;
    }
    if (!cw_turns_fit(request->output, &setup)) {
        return CW_FAILED;
    }
    struct cw_fit fit;
    bool fitted = cw_measurement_any(&request->measurement);
    cw_known_follow(&known, &base, &setup);
    if (fitted) {
        calibrate(&request->measurement, &setup, &fit, &known);
    }
    name_idle(usage, request, &setup);
    default_label(request->output, named, sizeof named);
    const char *label = request->label ? request->label : named;
    if (!save(request, label, &setup, &known) || !show(request, label, &setup, &known)) {
        return CW_FAILED;
    }
    name_plain_file(request->output);
    if (!note(request, label, &setup)) {
        return CW_FAILED;
    }
    if (fitted) { /* last, on standard error: what failed before has one line there */
        cw_fit_print(&setup, &known, &fit, stderr);
    }
    return CW_DONE;
}

static int read_arguments(struct cw_args *args, struct request *request)
{
    for (int id; (id = cw_args_next(args)) != CW_ARG_END;) {
        if (id == CW_ARG_STOP) {
            return args->status;
        }
        if (!take_option(args, id, request)) {
            return CW_BAD_USAGE;
        }
    }
    if (!request->output) {
        return cw_bad_usage(args->usage, "expected -o FILE, found no output");
    }
    if (request->against && request->side != CW_A) {
        return cw_bad_usage(args->usage, "--against and --as do not go together: the new candidate becomes B");
    }
    return -1;
}

int cw_cmd_new(int argc, char **argv)
{
    const struct cw_usage *usage = cw_usage_new();
    struct request request = {.side = CW_A};
    struct cw_args args;
    cw_measurement_init(&request.measurement);
    cw_args_init(&args, usage, argc, argv);
    int status = read_arguments(&args, &request);
    return status >= 0 ? status : run(usage, &request);
}
