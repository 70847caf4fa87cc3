/* SPDX-License-Identifier: ISC */
#include "measure.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "command.h"
#include "duplex.h"
#include "live_takes.h"
#include "measure_exciter.h"
#include "measure_jig.h"
#include "measure_request.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "plot_file.h"
#include "quantity.h"
#include "recorded.h"
#include "setup.h"
#include "show.h"

enum option {
    OPT_CABLE = 1,
    OPT_CHANNEL_1,
    OPT_CHANNEL_2,
    OPT_CHECK,
    OPT_CHECK_VALUE,
    OPT_EXCITER,
    OPT_FORCE,
    OPT_INPUT,
    OPT_KNOWN,
    OPT_KNOWN_VALUE,
    OPT_LEVEL,
    OPT_LIVE,
    OPT_LOADED,
    OPT_LOADED_VALUE,
    OPT_OPEN,
    OPT_OUTPUT,
    OPT_PLAY,
    OPT_PLOT,
    OPT_SECONDS,
    OPT_SERIES,
    OPT_SILENT
};

static const struct cw_option options[] = {
    CW_HEADING("The takes that tell the jig"),
    {OPT_OPEN, "open", 0, "FILE", "Take with the plug hanging free; needed, but with --exciter or --live."},
    {OPT_KNOWN, "known", 0, "FILE", "Take with the known resistor across the plug; needed likewise."},
    {OPT_KNOWN_VALUE, "known-value", 0, "OHM",
     "That resistor as an ohmmeter reads it, 100 ohm to 10 Mohm; needed, but with --exciter."},
    {OPT_CHECK, "check", 0, "FILE", "Take with a second resistor, which finds a wrong first one; default none."},
    {OPT_CHECK_VALUE, "check-value", 0, "OHM",
     "The second resistor as an ohmmeter reads it, 100 ohm to 10 Mohm; needed with --check."},
    {OPT_SILENT, "silent", 0, "FILE",
     "Take with the instrument connected and nothing played: hum and noise; default none."},
    {OPT_SERIES, "series", 0, "OHM",
     "The jig's series resistor, 1 kohm to 10 Mohm; only told, not used; default 100 kohm."},
    {OPT_SECONDS, "seconds", 0, "S", "Length of the sweep that was played, 2 to 30 s; default 5 s."},
    CW_HEADING("By an exciter coil: transfer response instead of impedance"),
    {OPT_EXCITER, "exciter", 0, NULL, "The takes are of an exciter coil; TAKE.wav is the one without the capacitor."},
    {OPT_LOADED, "loaded", 0, "FILE", "Take with the known capacitor across the plug; needed, but with --live."},
    {OPT_LOADED_VALUE, "loaded-value", 0, "PF", "That capacitor, 10 to 100000 pF; needed."},
    {OPT_CABLE, "cable", 0, "PF",
     "Cable and input at the jack, 0 to 20000 pF, which the open take of the jig tells; needed."},
    {OPT_INPUT, "input", 0, "KOHM", "Resistance of that input, 10 to 100000 kohm; default 1000 kohm."},
    CW_HEADING("Takes made on the spot, through JACK"),
    {OPT_LIVE, "live", 0, "DIR",
     "Play and record what is not given, step by step, into DIR (open.wav, known.wav and so on); default none."},
    {OPT_LEVEL, "level", 0, "DB", "Peak of the sweep then, -40 to 0 dB against full scale; default -6 dB."},
    {OPT_PLAY, "play", 0, "PORT", "JACK's port to play by; default the first of a device."},
    {OPT_CHANNEL_1, "channel-1", 0, "PORT", "JACK's port that hears the output; default the first of a device."},
    {OPT_CHANNEL_2, "channel-2", 0, "PORT", "JACK's port that hears the node; default the second of a device."},
    CW_HEADING("What is written"),
    {OPT_OUTPUT, "output", 'o', "FILE",
     "Touchstone file of the impedance (.s1p), CSV of the exciter's response; default standard output."},
    {OPT_PLOT, "plot", 'p', "FILE", "Picture of it (.svg, .png or .pdf); default none."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
};

static const struct cw_usage usage = {
    "measure",
    "[TAKE.wav]",
    "Work out the impedance at the jack of a closed instrument from recordings of the sweep, as made by\n"
    "coilwright sweep, which also says how the jig is connected. Takes are files of two channels: channel 1\n"
    "the interface's output before the series resistor, channel 2 the node behind it. Neither the series\n"
    "resistor nor the input's impedance need be known: the open take and the known resistor tell them.",
    options,
    sizeof options / sizeof options[0],
    "The result is written as '# Hz Z RI R 1', which Touchstone 1 and 2 read alike, with the standard error\n"
    "of each point as a comment; with --exciter as CSV of the response at both loads, for coilwright fit\n"
    "--exciter. With --live there is no TAKE.wav: each take is asked for, shown on meters, checked and "
    "made\n"
    "again where samples were lost; files that are given are not made anew, so that one jig serves several\n"
    "takes. Cautions: see coilwright sweep.",
};

/* Peak of a sweep where none is asked for, dBFS. */
static const double LEVEL = -6.0;

static bool take_ohm(struct cw_args *args, double low, double *to)
{
    if (cw_quantity_parse(args->value, CW_UNIT_KOHM, to)) {
        /* a bare number is in ohm here, as an ohmmeter shows it */
        const char *end = args->value + strspn(args->value, "0123456789.");
        *to *= *end ? 1e3 : 1.0;
        if (*to >= low && *to <= 1e7) {
            return true;
        }
    }
    cw_bad_usage(&usage, "--%s: expected %g ohm to 10 Mohm, found '%s'", args->option->name, low, args->value);
    return false;
}

static bool take_number(struct cw_args *args, enum cw_unit unit, double low, double high, double *to)
{
    if (cw_quantity_parse(args->value, unit, to) && *to >= low && *to <= high) {
        return true;
    }
    cw_bad_usage(&usage, "--%s: expected %.15g to %.15g %s, found '%s'", args->option->name, low, high,
                 unit == CW_UNIT_NONE ? "s" : cw_unit_symbol(unit), args->value);
    return false;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct cw_measure_request *request = to;
    switch (id) {
    case OPT_OPEN: request->file[CW_JIG_OPEN] = args->value; return true;
    case OPT_KNOWN: request->file[CW_JIG_KNOWN] = args->value; return true;
    case OPT_CHECK: request->file[CW_JIG_CHECK] = args->value; return true;
    case OPT_SILENT: request->file[CW_JIG_SILENT] = args->value; return true;
    case OPT_KNOWN_VALUE: return take_ohm(args, 100, &request->known);
    case OPT_CHECK_VALUE: return take_ohm(args, 100, &request->check);
    case OPT_SERIES: return take_ohm(args, 1000, &request->series);
    case OPT_SECONDS: return take_number(args, CW_UNIT_NONE, 2, 30, &request->seconds);
    case OPT_EXCITER: return request->exciter = true;
    case OPT_LOADED: request->file[CW_JIG_LOADED] = args->value; return true;
    case OPT_LOADED_VALUE: return take_number(args, CW_UNIT_PF, 10, 100000, &request->loaded);
    case OPT_CABLE: return take_number(args, CW_UNIT_PF, 0, 20000, &request->cable);
    case OPT_INPUT: return take_number(args, CW_UNIT_KOHM, 10, 100000, &request->input);
    case OPT_LIVE: request->live.folder = args->value; return true;
    case OPT_LEVEL: return take_number(args, CW_UNIT_DB, -40, 0, &request->live.level);
    case OPT_PLAY: request->live.ports.play = args->value; return true;
    case OPT_CHANNEL_1: request->live.ports.channel[0] = args->value; return true;
    case OPT_CHANNEL_2: request->live.ports.channel[1] = args->value; return true;
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_PLOT: request->plot = args->value; return true;
    case OPT_FORCE: return request->force = true;
    default: return false;
    }
}

static int check_jig(const struct cw_measure_request *request)
{
    bool live = request->live.folder != NULL;
    if (request->file[CW_JIG_LOADED] || request->loaded > 0.0 || request->cable >= 0.0) {
        return cw_bad_usage(&usage, "--loaded, --loaded-value and --cable belong to --exciter, which is not there");
    }
    if ((!live && !(request->file[CW_JIG_OPEN] && request->file[CW_JIG_KNOWN])) || request->known == 0.0) {
        return cw_bad_usage(&usage, "expected --open, --known and --known-value, or --live and --known-value");
    }
    if (live ? request->file[CW_JIG_CHECK] && request->check == 0.0
             : !request->file[CW_JIG_CHECK] != (request->check == 0.0)) {
        return cw_bad_usage(&usage, "expected --check and --check-value together");
    }
    return -1;
}

static int check_exciter(const struct cw_measure_request *request)
{
    if (request->file[CW_JIG_OPEN] || request->file[CW_JIG_KNOWN] || request->file[CW_JIG_CHECK] ||
        request->known > 0.0 || request->check > 0.0) {
        return cw_bad_usage(&usage, "--open, --known and --check tell the jig, which has no part in --exciter");
    }
    if ((!request->live.folder && !request->file[CW_JIG_LOADED]) || request->loaded == 0.0 || request->cable < 0.0) {
        return cw_bad_usage(&usage, "--exciter: expected --loaded, --loaded-value and --cable: one load alone tells "
                                    "nothing absolute");
    }
    return -1;
}

static int check(const struct cw_measure_request *request, size_t takes)
{
    bool live = request->live.folder != NULL;
    const struct cw_duplex_ports *ports = &request->live.ports;
    if (!live && (ports->play || ports->channel[0] || ports->channel[1] || request->live.level != LEVEL)) {
        return cw_bad_usage(&usage,
                            "--level, --play, --channel-1 and --channel-2 belong to --live, which is not there");
    }
    if (takes != (live ? 0 : 1)) {
        return cw_bad_usage(
            &usage, live ? "--live: expected no TAKE.wav, found %zu" : "expected one TAKE.wav, found %zu", takes);
    }
    if (request->plot && !cw_plot_file_kind_known(request->plot)) {
        return cw_bad_usage(&usage, "--plot: expected a name in .svg, .png or .pdf, found '%s'", request->plot);
    }
    return request->exciter ? check_exciter(request) : check_jig(request);
}

/* ---- takes made on the spot ------------------------------------------------------------------ */

static const struct {
    const char *name, *words[2]; /* with the jig, with the exciter */
} part[CW_JIG_TAKES] = {
    [CW_JIG_OPEN] = {"open.wav", {"the plug hangs free", NULL}},
    [CW_JIG_KNOWN] = {"known.wav", {"the known resistor across the plug", NULL}},
    [CW_JIG_CHECK] = {"check.wav", {"the second resistor across the plug", NULL}},
    [CW_JIG_SILENT] = {"silent.wav", {"the instrument is plugged in, quiet", "the instrument is plugged in, quiet"}},
    [CW_JIG_TAKE] = {"take.wav", {"the instrument is plugged in", "the exciter lies over the pickup, no capacitor"}},
    [CW_JIG_LOADED] = {"loaded.wav", {NULL, "the known capacitor across the plug, nothing else moved"}},
};

/* Takes that are not given are made, and are then as if they were. */
static bool make_takes(struct cw_measure_request *request)
{
    struct cw_live_step step[CW_JIG_TAKES];
    size_t count = 0;
    request->live.seconds = request->seconds;
    request->live.force = request->force;
    for (int i = 0; i < CW_JIG_TAKES; i++) {
        const char *words = part[i].words[request->exciter];
        if (!words || request->file[i] || (i == CW_JIG_CHECK && request->check == 0.0)) {
            continue;
        }
        size_t room = strlen(request->live.folder) + strlen(part[i].name) + 2;
        request->made[i] = malloc(room);
        if (!request->made[i]) {
            cw_error_memory();
            return false;
        }
        snprintf(request->made[i], room, "%s/%s", request->live.folder, part[i].name);
        request->file[i] = request->made[i];
        step[count++] = (struct cw_live_step){request->made[i], words, i == CW_JIG_SILENT};
    }
    return cw_live_takes(&request->live, step, count);
}

/* ---- command --------------------------------------------------------------------------------- */

/* The ratio of every take but the silent one, whose noise counts for those of the instrument. */
static bool read_ratios(const struct cw_measure_request *request, struct cw_ratio ratio[CW_JIG_TAKES])
{
    struct cw_recorded silence = {0};
    bool good = !request->file[CW_JIG_SILENT] || cw_recorded_read(request->file[CW_JIG_SILENT], &silence);
    for (int i = 0; i < CW_JIG_TAKES && good; i++) {
        if (i != CW_JIG_SILENT && request->file[i]) {
            bool hums = (i == CW_JIG_TAKE || i == CW_JIG_LOADED) && request->file[CW_JIG_SILENT];
            good = cw_recorded_ratio(request->file[i], request->seconds, hums ? &silence : NULL, &ratio[i]);
        }
    }
    cw_recorded_free(&silence);
    for (int i = 0; i < CW_JIG_TAKES && good; i++) {
        if (i != CW_JIG_SILENT && request->file[i] && ratio[i].count != ratio[CW_JIG_TAKE].count) {
            cw_error_at(request->file[i], 0, "expected the sample rate of the other takes, found another");
            good = false;
        }
    }
    return good;
}

/* One clock plays and one records every take, so that the markers stand equally far apart in each, to a sample. */
static bool none_lost(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    static const double sure = 3.0;
    int whole = CW_JIG_TAKE;
    for (int i = 0; i < CW_JIG_TAKES; i++) {
        whole = ratio[i].markers > ratio[whole].markers ? i : whole;
    }
    for (int i = 0; i < CW_JIG_TAKES; i++) {
        double less = ratio[whole].markers - ratio[i].markers;
        if (ratio[i].count > 0 && less > sure) {
            cw_error_at(
                request->file[i], 0,
                "expected the markers as far apart as in '%s', found %.0f samples less: samples were lost, or one "
                "of them was played or recorded by another device; make this take again",
                request->file[whole], less);
            return false;
        }
    }
    return true;
}

/* Hum that the silent take does not have: counted by what the take itself shows, and said. */
static void tell_louder(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    for (int i = CW_JIG_TAKE; i <= CW_JIG_LOADED; i++) {
        if (request->file[i] && ratio[i].louder > 0.0) {
            fputs("Hum: ", stderr);
            cw_print_shown(stderr, request->file[i]);
            fprintf(stderr,
                    " has %.0f dB more hum and noise than the silent take; its own are counted. Leave instrument\n"
                    "and gains as they are between the two, away from supplies and screens\n",
                    fmin(ratio[i].louder, 200.0));
        }
    }
}

/* Two takes are never the same to the last digit: then one file stands for both. */
static bool all_different(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    for (int i = 0; i < CW_JIG_TAKES; i++) {
        for (int k = 0; k < i; k++) {
            if (ratio[i].count > 0 && ratio[i].count == ratio[k].count &&
                memcmp(ratio[i].m, ratio[k].m, ratio[i].count * sizeof *ratio[i].m) == 0) {
                cw_error_at(request->file[i], 0, "expected a recording of its own for each take, found that of '%s'",
                            request->file[k]);
                return false;
            }
        }
    }
    return true;
}

static bool measure(struct cw_measure_request *request)
{
    const char *const both[] = {request->output, request->plot};
    if (!cw_outputs_ready(both, 2, request->force)) {
        return false;
    }
    struct cw_ratio *ratio = calloc(CW_JIG_TAKES, sizeof *ratio);
    if (!ratio) {
        cw_error_memory();
        return false;
    }
    bool good = (!request->live.folder || make_takes(request)) && read_ratios(request, ratio) &&
                all_different(request, ratio) && none_lost(request, ratio);
    if (good) {
        tell_louder(request, ratio);
        good = (request->exciter ? cw_measure_exciter : cw_measure_jig)(request, ratio);
    }
    free(ratio);
    return good;
}

static int run(void *to, char *const *names, size_t count)
{
    struct cw_measure_request *request = to;
    request->file[CW_JIG_TAKE] = count > 0 ? names[0] : NULL;
    int status = check(request, count);
    return status >= 0 ? status : measure(request) ? CW_DONE : CW_FAILED;
}

const struct cw_usage *cw_usage_measure(void) { return &usage; }

int cw_cmd_measure(int argc, char **argv)
{
    struct cw_measure_request request = {
        .seconds = 5.0, .series = 1e5, .cable = -1.0, .input = 1000.0, .live = {.level = LEVEL}};
    int status = cw_args_run(&usage, argc, argv, take_option, run, &request);
    for (int i = 0; i < CW_JIG_TAKES; i++) {
        free(request.made[i]);
    }
    return status;
}
