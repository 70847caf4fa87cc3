/* SPDX-License-Identifier: ISC */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "command.h"
#include "exciter.h"
#include "fit_exciter.h"
#include "fit_request.h"
#include "fit_take.h"
#include "fit_told.h"
#include "instrument.h"
#include "instrument_fit.h"
#include "instrument_preset.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "plot_file.h"
#include "preset_save.h"
#include "quantity.h"
#include "setup.h"
#include "show.h"
#include "wire.h"

enum option {
    OPT_AS = 1,
    OPT_BLEED_CAP,
    OPT_BLEED_RESISTOR,
    OPT_CELSIUS,
    OPT_CSV,
    OPT_DC_AT,
    OPT_DC_RESISTANCE,
    OPT_EXCITER,
    OPT_FORCE,
    OPT_LABEL,
    OPT_OUTPUT,
    OPT_PLOT,
    OPT_TONE_AFTER_VOLUME,
    OPT_TONE_CAP,
    OPT_TONE_POT,
    OPT_VOLUME_POT
};

static const struct cw_option options[] = {
    CW_HEADING("What is known of the instrument"),
    {OPT_VOLUME_POT, "volume-pot", 0, "KOHM",
     "Volume pot as marked, 25 to 2000 kohm, with its tolerance as 500k+-10%; default 500k+-20%."},
    {OPT_TONE_POT, "tone-pot", 0, "KOHM", "Tone pot, likewise; default 500k+-20%."},
    {OPT_TONE_CAP, "tone-cap", 0, "NF",
     "Tone capacitor, 0.1 to 220 nF, or none where there is no tone control; default 22n+-10%."},
    {OPT_TONE_AFTER_VOLUME, "tone-after-volume", 0, NULL, "The tone control is at the wiper of the volume control."},
    {OPT_BLEED_CAP, "bleed-cap", 0, "PF", "Treble bleed capacitor, 0 to 5000 pF, taken as it is; default 0."},
    {OPT_BLEED_RESISTOR, "bleed-resistor", 0, "KOHM", "In series with it, 0 to 1000 kohm; default 0."},
    {OPT_DC_RESISTANCE, "dc-resistance", 0, "KOHM",
     "An ohmmeter's reading, volume and tone at 10, 0.1 to 100 kohm, as 7.9k+-0.5%; default none."},
    {OPT_DC_AT, "dc-at", 0, "jack|leads", "Where it was read; default jack."},
    {OPT_EXCITER, "exciter", 0, "FILE",
     "Response by an exciter coil, T.csv[@CONTROLS], as coilwright measure --exciter writes it; default none."},
    {OPT_CELSIUS, "celsius", 0, "C", "Temperature of the pickup during takes and reading, -40 to 120; default 20."},
    CW_HEADING("What is written"),
    {OPT_OUTPUT, "output", 'o', "FILE", "Preset to write: FILE.ttl, a bundle NAME.lv2, or -; default none."},
    {OPT_AS, "as", 0, "a|b|rec", "Write it as candidate A or B, or as what a recording went through; default a."},
    {OPT_LABEL, "label", 'l', "TEXT", "Its name; default \"Fitted instrument\"."},
    {OPT_PLOT, "plot", 'p', "FILE", "Picture of measured against fitted (.svg, .png or .pdf); default none."},
    {OPT_CSV, "csv", 0, "FILE", "Figures and intervals for other programs; - is standard output; default none."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
};

static const struct cw_usage usage = {
    "fit",
    "TAKE.s1p[@CONTROLS]...",
    "Find the circuit of a closed instrument from its impedance at the jack: one pickup, a volume and a tone\n"
    "control. Takes are Touchstone files as coilwright measure writes them, or tables of an analyser, of one\n"
    "instrument with its controls in several places; all are fitted together. Behind the name stands how the\n"
    "controls stood: Z.s1p (volume and tone at 10), Y.s1p@tone=0, X.s1p@volume=half, W.s1p@volume=3,tone=0,\n"
    "V.s1p@leads (the pickup alone, nothing connected).",
    options,
    sizeof options / sizeof options[0],
    "Three takes tell most: all at 10, tone at 0, volume at half (which share of the track half is, is found). "
    "With volume at 10 alone, volume pot and loss act as one number. Told are figures with 95 % intervals, in "
    "which what the model itself misses is contained, what the takes cannot tell and which take would, and "
    "whether the circuit fits at all. Takes of other programs that state no errors are weighed by how their "
    "points scatter. The preset holds one coil with the values at the leads; files and intervals stand in its "
    "comment. Two pickups that stand in parallel behind one pot look like one: turn the other one off.",
};

struct request {
    const char *output, *label, *plot, *csv, *exciter;
    enum cw_which side;
    bool force;
    struct cw_fitting *fitting;
    struct cw_exciter exciting; /* of the last take, where one is asked for */
};

/* ---- options ------------------------------------------------------------------------------------ */

/* VALUE or VALUE+-PERCENT; the value in \p unit, times \p scale in SI units. */
static bool take_part(struct cw_args *args, enum cw_unit unit, double scale, double low, double high,
                      struct cw_marked *part)
{
    char text[64], least[40], most[40];
    double value = NAN, tolerance = 100.0 * part->tolerance;
    snprintf(text, sizeof text, "%s", args->value);
    char *error = strstr(text, "+-");
    if (error) {
        *error = '\0';
        if (!cw_quantity_parse(error + 2, CW_UNIT_PERCENT, &tolerance)) {
            tolerance = NAN;
        }
    }
    if (strlen(args->value) < sizeof text && cw_quantity_parse(text, unit, &value) && value >= low && value <= high &&
        tolerance >= 0.01 && tolerance <= 100.0) {
        *part = (struct cw_marked){value * scale, 0.01 * tolerance};
        return true;
    }
    snprintf(least, sizeof least, "%g", low);
    snprintf(most, sizeof most, "%g", high);
    cw_bad_usage(&usage, "--%s: expected %s to %s %s, with a tolerance as +-10%% (0.01 to 100 %%), found '%s'",
                 args->option->name, least, most, cw_unit_symbol(unit), args->value);
    return false;
}

static bool take_plain(struct cw_args *args, enum cw_unit unit, double scale, double low, double high, double *to)
{
    double value;
    if (cw_quantity_parse(args->value, unit, &value) && value >= low && value <= high) {
        *to = value * scale;
        return true;
    }
    cw_bad_usage(&usage, "--%s: expected %g to %g %s, found '%s'", args->option->name, low, high,
                 unit == CW_UNIT_NONE ? "degrees C" : cw_unit_symbol(unit), args->value);
    return false;
}

static bool take_side(struct cw_args *args, enum cw_which *side)
{
    static const char *const word[CW_SETUPS] = {[CW_REC] = "rec", [CW_A] = "a", [CW_B] = "b"};
    for (int i = 0; i < CW_SETUPS; i++) {
        if (strcmp(args->value, word[i]) == 0) {
            *side = (enum cw_which)i;
            return true;
        }
    }
    cw_bad_word(args, "a, b or rec", NULL);
    return false;
}

static bool take_place(struct cw_args *args, bool *leads)
{
    *leads = strcmp(args->value, "leads") == 0;
    if (!*leads && strcmp(args->value, "jack") != 0) {
        cw_bad_word(args, "jack or leads", NULL);
        return false;
    }
    return true;
}

static bool take_tone_cap(struct cw_args *args, struct cw_marked *part)
{
    if (strcmp(args->value, "none") == 0) {
        part->value = 0.0;
        return true;
    }
    return take_part(args, CW_UNIT_NF, 1e-9, 0.1, 220.0, part);
}

static bool take_reading(struct cw_args *args, struct cw_instrument_request *asked)
{
    struct cw_marked part = {0.0, asked->dc_error};
    if (!take_part(args, CW_UNIT_KOHM, 1e3, 0.1, 100.0, &part)) {
        return false;
    }
    asked->dc_ohm = part.value;
    asked->dc_error = part.tolerance;
    return true;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    struct cw_instrument_request *asked = &request->fitting->request;
    switch (id) {
    case OPT_VOLUME_POT: return take_part(args, CW_UNIT_KOHM, 1e3, 25.0, 2000.0, &asked->volume_pot);
    case OPT_TONE_POT: return take_part(args, CW_UNIT_KOHM, 1e3, 25.0, 2000.0, &asked->tone_pot);
    case OPT_TONE_CAP: return take_tone_cap(args, &asked->tone_cap);
    case OPT_TONE_AFTER_VOLUME: return asked->tone_after_volume = true;
    case OPT_BLEED_CAP: return take_plain(args, CW_UNIT_PF, 1e-12, 0.0, 5000.0, &asked->bleed_cap);
    case OPT_BLEED_RESISTOR: return take_plain(args, CW_UNIT_KOHM, 1e3, 0.0, 1000.0, &asked->bleed_resistor);
    case OPT_DC_RESISTANCE: return take_reading(args, asked);
    case OPT_DC_AT: return take_place(args, &asked->dc_leads);
    case OPT_EXCITER: request->exciter = args->value; return true;
    case OPT_CELSIUS: return take_plain(args, CW_UNIT_NONE, 1.0, -40.0, 120.0, &request->fitting->celsius);
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_AS: return take_side(args, &request->side);
    case OPT_LABEL: request->label = args->value; return true;
    case OPT_PLOT: request->plot = args->value; return true;
    case OPT_CSV: request->csv = args->value; return true;
    case OPT_FORCE: return request->force = true;
    default: return false;
    }
}

static bool standard(const char *path) { return path && strcmp(path, "-") == 0; }

static int check(const struct request *request, size_t takes)
{
    size_t all = takes + (request->exciter != NULL);
    if (all < 1 || all > CW_FIT_TAKES) {
        return cw_bad_usage(&usage, "expected 1 to %d takes, found %zu", CW_FIT_TAKES, all);
    }
    if (request->plot && !cw_plot_file_kind_known(request->plot)) {
        return cw_bad_usage(&usage, "--plot: expected a name in .svg, .png or .pdf, found '%s'", request->plot);
    }
    if (standard(request->output) && standard(request->csv)) {
        return cw_bad_usage(&usage, "--output and --csv: expected one of them on standard output, found both");
    }
    return -1;
}

/* ---- the work ------------------------------------------------------------------------------------ */

/* Every take is a sweep of its own. */
static bool check_new(const struct cw_fitting *fitting, size_t at)
{
    const struct cw_fit_take *take = &fitting->take[at];
    for (size_t i = 0; i < at; i++) {
        if (cw_fit_take_same(take, &fitting->take[i])) {
            char before[60], now[60];
            cw_error_at(
                take->path, 0, "expected a sweep of its own for each take, found the same curve as %s and as %s",
                cw_fit_take_words(&fitting->take[i], before, sizeof before), cw_fit_take_words(take, now, sizeof now));
            return false;
        }
    }
    return true;
}

static bool read_takes(struct request *request, char **names, size_t count)
{
    struct cw_fitting *fitting = request->fitting;
    for (size_t i = 0; i < count; i++) {
        struct cw_fit_take *take = &fitting->take[i];
        if (!cw_fit_take_read(names[i], take) || !check_new(fitting, i)) {
            return false;
        }
        fitting->asked[i] = (struct cw_instrument_take){&take->curve, take->leads, take->volume, take->tone};
    }
    if (request->exciter) {
        struct cw_fit_take *take = &fitting->take[count];
        if (!cw_fit_exciter_read(request->exciter, &request->exciting, take)) {
            return false;
        }
        fitting->asked[count] = (struct cw_instrument_take){&take->curve, take->leads, take->volume, take->tone};
        fitting->request.load[count++] = request->exciting.load;
    }
    fitting->request.take = fitting->asked;
    fitting->request.takes = (int)count;
    return true;
}

/* Where it comes from, and how sure it is. */
static char *provenance(const struct request *request)
{
    const struct cw_fitting *fitting = request->fitting;
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    if (!stream) {
        return NULL;
    }
    fprintf(stream, "Fitted by coilwright %s to impedance curves:\n", CW_VERSION);
    for (int i = 0; i < fitting->request.takes; i++) {
        char words[60];
        fputs("  ", stream);
        cw_print_shown(stream, fitting->take[i].path);
        fprintf(stream, " (%s), SHA-256 %s\n", cw_fit_take_words(&fitting->take[i], words, sizeof words),
                fitting->take[i].digest);
    }
    cw_fit_told_print(fitting, stream);
    if (request->exciter) {
        cw_fit_exciter_print(&request->exciting, &fitting->fit.best, fitting->fit.standing[fitting->request.takes - 1],
                             stream);
    }
    if (fclose(stream) != 0) {
        free(text);
        return NULL;
    }
    return text;
}

static bool save(const struct request *request, const struct cw_setup *setup, const char *comment)
{
    const struct cw_setup *setups[CW_SETUPS] = {0};
    setups[request->side] = setup;
    return !request->output || cw_candidate_save(request->output, request->label ? request->label : "Fitted instrument",
                                                 comment, setups, request->force);
}

static bool save_csv(const struct request *request)
{
    struct cw_output output;
    if (!request->csv) {
        return true;
    }
    if (!cw_output_open(&output, request->csv, request->force)) {
        return false;
    }
    cw_fit_told_csv(request->fitting, output.stream);
    return cw_output_commit(&output);
}

static int fit(const struct request *request)
{
    struct cw_fitting *fitting = request->fitting;
    struct cw_setup setup;
    cw_setup_defaults(&setup);
    if (!cw_instrument_fit_of(&fitting->request, &fitting->fit)) {
        cw_error("no circuit of one pickup with volume and tone control comes near these takes, or memory ran out");
        return CW_FAILED;
    }
    struct cw_instrument cool = fitting->fit.best;
    cool.resistance /= cw_wire_resistance_ratio(fitting->celsius);
    fitting->reduced = cw_instrument_preset(&cool, &setup);
    char *comment = provenance(request);
    if (!comment) {
        cw_error_memory();
        return CW_FAILED;
    }
    bool good = save(request, &setup, comment) && save_csv(request) &&
                (!request->plot || cw_fit_told_plot(fitting, request->plot, request->force));
    if (good) {
        bool taken = standard(request->output) || standard(request->csv);
        fputs(comment, taken ? stderr : stdout);
        good = taken || cw_stdout_finish();
    }
    free(comment);
    return good ? CW_DONE : CW_FAILED;
}

static int run(int argc, char **argv, struct request *request, char **names)
{
    size_t count = 0;
    int status = cw_args_read(&usage, argc, argv, take_option, request, names, &count);
    status = status >= 0 ? status : check(request, count);
    if (status >= 0) {
        return status;
    }
    const char *const beside[] = {request->csv, request->plot};
    return read_takes(request, names, count) && cw_preset_ready(request->output, request->force) &&
                   cw_outputs_ready(beside, 2, request->force)
               ? fit(request)
               : CW_FAILED;
}

const struct cw_usage *cw_usage_fit(void) { return &usage; }

int cw_cmd_fit(int argc, char **argv)
{
    struct request request = {.side = CW_A, .fitting = calloc(1, sizeof *request.fitting)};
    char **names = calloc((size_t)argc, sizeof *names);
    int status = CW_FAILED;
    if (request.fitting && names) {
        request.fitting->request = (struct cw_instrument_request){
            .volume_pot = {500e3, 0.2}, .tone_pot = {500e3, 0.2}, .tone_cap = {22e-9, 0.1}, .dc_error = 0.005};
        request.fitting->load = (struct cw_jack_load){600e-12, 1e6};
        request.fitting->celsius = 20.0;
        status = run(argc, argv, &request, names);
        for (int i = 0; i < CW_FIT_TAKES; i++) {
            cw_fit_take_free(&request.fitting->take[i]);
        }
    } else {
        cw_error_memory();
    }
    free(request.fitting);
    free(names);
    return status;
}
