/* SPDX-License-Identifier: ISC */
#include "measure.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "command.h"
#include "duplex.h"
#include "exciter.h"
#include "instrument.h"
#include "jig.h"
#include "live_takes.h"
#include "message.h"
#include "numbers.h"
#include "one_port.h"
#include "options.h"
#include "output.h"
#include "plot_file.h"
#include "plot_model.h"
#include "quantity.h"
#include "recorded.h"
#include "setup.h"

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
    "--exciter. With --live there is no TAKE.wav: each take is asked for, shown on meters, checked and made\n"
    "again where samples were lost; files that are given are not made anew, so that one jig serves several\n"
    "takes. Cautions: see coilwright sweep.",
};

/* Peak of a sweep where none is asked for, dBFS. */
static const double LEVEL = -6.0;

enum { OPEN, KNOWN, CHECK, SILENT, TAKE, LOADED, FILES };

struct request {
    const char *file[FILES];
    double known, check, series, seconds;
    bool exciter;
    double loaded, cable, input; /* pF, pF, kohm */
    struct cw_live_request live;
    char *made[FILES]; /* paths of takes that are made */
    const char *output, *plot;
    bool force;
};

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
    struct request *request = to;
    switch (id) {
    case OPT_OPEN: request->file[OPEN] = args->value; return true;
    case OPT_KNOWN: request->file[KNOWN] = args->value; return true;
    case OPT_CHECK: request->file[CHECK] = args->value; return true;
    case OPT_SILENT: request->file[SILENT] = args->value; return true;
    case OPT_KNOWN_VALUE: return take_ohm(args, 100, &request->known);
    case OPT_CHECK_VALUE: return take_ohm(args, 100, &request->check);
    case OPT_SERIES: return take_ohm(args, 1000, &request->series);
    case OPT_SECONDS: return take_number(args, CW_UNIT_NONE, 2, 30, &request->seconds);
    case OPT_EXCITER: return request->exciter = true;
    case OPT_LOADED: request->file[LOADED] = args->value; return true;
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

static int check_jig(const struct request *request)
{
    bool live = request->live.folder != NULL;
    if (request->file[LOADED] || request->loaded > 0.0 || request->cable >= 0.0) {
        return cw_bad_usage(&usage, "--loaded, --loaded-value and --cable belong to --exciter, which is not there");
    }
    if ((!live && !(request->file[OPEN] && request->file[KNOWN])) || request->known == 0.0) {
        return cw_bad_usage(&usage, "expected --open, --known and --known-value, or --live and --known-value");
    }
    if (live ? request->file[CHECK] && request->check == 0.0 : !request->file[CHECK] != (request->check == 0.0)) {
        return cw_bad_usage(&usage, "expected --check and --check-value together");
    }
    return -1;
}

static int check_exciter(const struct request *request)
{
    if (request->file[OPEN] || request->file[KNOWN] || request->file[CHECK] || request->known > 0.0 ||
        request->check > 0.0) {
        return cw_bad_usage(&usage, "--open, --known and --check tell the jig, which has no part in --exciter");
    }
    if ((!request->live.folder && !request->file[LOADED]) || request->loaded == 0.0 || request->cable < 0.0) {
        return cw_bad_usage(&usage, "--exciter: expected --loaded, --loaded-value and --cable: one load alone tells "
                                    "nothing absolute");
    }
    return -1;
}

static int check(const struct request *request, size_t takes)
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
} part[FILES] = {
    [OPEN] = {"open.wav", {"the plug hangs free", NULL}},
    [KNOWN] = {"known.wav", {"the known resistor across the plug", NULL}},
    [CHECK] = {"check.wav", {"the second resistor across the plug", NULL}},
    [SILENT] = {"silent.wav", {"the instrument is plugged in, quiet", "the instrument is plugged in, quiet"}},
    [TAKE] = {"take.wav", {"the instrument is plugged in", "the exciter lies over the pickup, no capacitor"}},
    [LOADED] = {"loaded.wav", {NULL, "the known capacitor across the plug, nothing else moved"}},
};

/* Takes that are not given are made, and are then as if they were. */
static bool make_takes(struct request *request)
{
    struct cw_live_step step[FILES];
    size_t count = 0;
    request->live.seconds = request->seconds;
    request->live.force = request->force;
    for (int i = 0; i < FILES; i++) {
        const char *words = part[i].words[request->exciter];
        if (!words || request->file[i] || (i == CHECK && request->check == 0.0)) {
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
        step[count++] = (struct cw_live_step){request->made[i], words, i == SILENT};
    }
    return cw_live_takes(&request->live, step, count);
}

/* ---- what the takes say of one another ------------------------------------------------------ */

static double size_of(struct cw_complex a) { return hypot(a.re, a.im); }

static struct cw_jig jig_at(const struct cw_ratio ratio[FILES], double known, size_t i)
{
    return (struct cw_jig){ratio[OPEN].m[i], ratio[KNOWN].m[i], {0.0, 0.0}, {known, 0.0}};
}

/* With the channels the right way round, a load lowers the node at every frequency. */
static bool channels_right(const struct request *request, const struct cw_ratio ratio[FILES])
{
    size_t above = 0;
    for (size_t i = 0; i < ratio[OPEN].count; i++) {
        above += size_of(ratio[KNOWN].m[i]) >= size_of(ratio[OPEN].m[i]);
    }
    if (above > ratio[OPEN].count / 10) {
        cw_error_at(request->file[KNOWN], 0,
                    "expected the node lower with the known resistor than open, found it higher: are channels 1 and 2, "
                    "or the open and known takes, exchanged?");
        return false;
    }
    return true;
}

/* The second resistor must come out as the ohmmeter read it; 2 % is more than two good meters differ. */
static bool check_resistor(const struct request *request, const struct cw_ratio ratio[FILES])
{
    if (!request->file[CHECK]) {
        return true;
    }
    double sum = 0.0;
    int n = 0;
    for (size_t i = 0; i < ratio[CHECK].count; i++) {
        if (ratio[CHECK].hz[i] > 200.0 && ratio[CHECK].hz[i] < 2000.0) {
            struct cw_jig jig = jig_at(ratio, request->known, i);
            sum += cw_jig_impedance(&jig, ratio[CHECK].m[i]).re;
            n++;
        }
    }
    double found = sum / n, off = found / request->check - 1.0;
    char text[40], asked[40], change[40];
    cw_print_ohms(1e-3 * found, text, sizeof text);
    cw_print_ohms(1e-3 * request->check, asked, sizeof asked);
    if (fabs(off) > 0.02) {
        cw_error_at(request->file[CHECK], 0,
                    "expected %s, measured %s (%s): read both resistors again, and see that the takes are not mixed up",
                    asked, text, cw_print_percent_change(100.0 * off, 1, change, sizeof change));
        return false;
    }
    fprintf(stderr, "Check: %s measured as %s (%s)\n", asked, text,
            cw_print_percent_change(100.0 * off, 2, change, sizeof change));
    return true;
}

/* The open cable's capacitance, as the one figure by which a wrong known value shows. */
static void tell_cable(const struct request *request, const struct cw_ratio ratio[FILES])
{
    size_t at = 0;
    while (at + 1 < ratio[OPEN].count && ratio[OPEN].hz[at] < 5000.0) {
        at++;
    }
    struct cw_jig jig = jig_at(ratio, request->known, at);
    double farad = cw_jig_open_capacitance(&jig, request->series, ratio[OPEN].hz[at]);
    char text[40], series[40];
    cw_print_farads(1e9 * farad, text, sizeof text);
    fprintf(stderr,
            "Open: cable and input are %s with a series resistor of %s (30 to 200 pF for each metre of\n"
            "cable is believable; else look at the values given)\n",
            farad > 0.0 ? text : "below zero", cw_print_ohms(1e-3 * request->series, series, sizeof series));
}

/* ---- result ---------------------------------------------------------------------------------- */

static bool write_curve(const struct request *request, const struct cw_ratio ratio[FILES])
{
    struct cw_output output;
    if (!cw_output_open(&output, request->output ? request->output : "-", request->force)) {
        return false;
    }
    fprintf(output.stream,
            "! impedance at the jack, ohm; coilwright %s\n! known resistor %.6g ohm\n" CW_TOUCHSTONE_HEAD, CW_VERSION,
            request->known);
    for (size_t i = 0; i < ratio[TAKE].count; i++) {
        struct cw_jig jig = jig_at(ratio, request->known, i);
        struct cw_complex z = cw_jig_impedance(&jig, ratio[TAKE].m[i]);
        double error = cw_jig_error(&jig, ratio[TAKE].m[i], ratio[TAKE].sigma[i]);
        struct cw_one_port_point point = {ratio[TAKE].hz[i], z.re, z.im, error};
        char line[100];
        fputs(cw_touchstone_line(&point, line, sizeof line), output.stream);
    }
    return cw_output_commit(&output);
}

/* Straight between the ratio's points on logarithmic axes; to values, or to dB. */
static void fill_plot(struct cw_plot_curve *curve, const double log_value[CW_RATIO_POINTS], size_t count, bool decibels)
{
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        double step = log(cw_plot_hz(i) / 20.0) / log(1000.0) * (CW_RATIO_POINTS - 1);
        size_t low = (size_t)fmin(fmax(step, 0.0), (double)count - 2.0);
        double at = log_value[low] + (step - (double)low) * (log_value[low + 1] - log_value[low]);
        curve->value[i] = decibels ? 20.0 / log(10.0) * at : exp(at);
    }
}

static struct cw_plot *new_plot(enum cw_plot_axis axis, const char *title)
{
    struct cw_plot *plot = malloc(sizeof *plot);
    if (!plot) {
        cw_error_memory();
        return NULL;
    }
    cw_plot_clear(plot);
    plot->axis = axis;
    cw_plot_text(plot->title, title);
    return plot;
}

static bool save_plot(const struct request *request, struct cw_plot *plot)
{
    const struct cw_plot *plots[] = {plot};
    bool good = cw_plot_save(plots, 1, request->plot, (struct cw_plot_size){900, 540, 1}, request->force);
    free(plot);
    return good;
}

static bool plot_impedance(const struct request *request, const struct cw_ratio ratio[FILES])
{
    double value[CW_RATIO_POINTS];
    struct cw_plot *plot = new_plot(CW_PLOT_IMPEDANCE, "Impedance at the jack, measured");
    if (!plot) {
        return false;
    }
    for (size_t i = 0; i < ratio[TAKE].count; i++) {
        struct cw_jig jig = jig_at(ratio, request->known, i);
        value[i] = log(size_of(cw_jig_impedance(&jig, ratio[TAKE].m[i])));
    }
    fill_plot(cw_plot_add(plot, request->file[TAKE]), value, ratio[TAKE].count, false);
    return save_plot(request, plot);
}

static bool finish_jig(const struct request *request, const struct cw_ratio ratio[FILES])
{
    if (!channels_right(request, ratio) || !check_resistor(request, ratio)) {
        return false;
    }
    tell_cable(request, ratio);
    return write_curve(request, ratio) && (!request->plot || plot_impedance(request, ratio));
}

/* ---- the exciter ----------------------------------------------------------------------------- */

/* A capacitor lowers what is far above the resonance; a difference of nothing is none at the plug. */
static bool capacitor_right(const struct request *request, const struct cw_exciter *exciter)
{
    double lower = 0.0, most = 0.0;
    for (size_t i = 0; i < exciter->count; i++) {
        const struct cw_exciter_point *p = &exciter->point[i];
        double change = log(size_of(p->loaded) / size_of(p->bare));
        most = p->hz > 500.0 ? fmax(most, fabs(change)) : most;
        lower += p->hz > 10000.0 ? change : 0.0;
    }
    if (most < 0.02) {
        cw_error_at(request->file[LOADED], 0,
                    "expected the capacitor to make a difference, found less than 0.2 dB: is it "
                    "across the plug, is it the right take?");
    } else if (lower > 0.0) {
        cw_error_at(request->file[LOADED], 0,
                    "expected less level above 10 kHz with the capacitor, found more: are channels 1 and 2, or the two "
                    "takes, exchanged?");
    }
    return most >= 0.02 && lower <= 0.0;
}

/* What the jig's impedance has as its floor, a response has too. */
static double error_of(const struct cw_ratio *ratio, size_t i)
{
    static const double floor = 3e-4;
    return hypot(ratio->sigma[i] / size_of(ratio->m[i]), floor);
}

static void fill_exciter(const struct request *request, const struct cw_ratio ratio[FILES], struct cw_exciter *exciter)
{
    exciter->load = (struct cw_jack_load){1e-12 * request->cable, 1e3 * request->input};
    exciter->added = 1e-12 * request->loaded;
    exciter->count = ratio[TAKE].count;
    for (size_t i = 0; i < exciter->count; i++) {
        exciter->point[i] = (struct cw_exciter_point){ratio[TAKE].hz[i], ratio[TAKE].m[i], ratio[LOADED].m[i],
                                                      error_of(&ratio[TAKE], i), error_of(&ratio[LOADED], i)};
    }
}

static bool write_exciter(const struct request *request, const struct cw_exciter *exciter)
{
    struct cw_output output;
    char text[2 * CW_EXCITER_LINE];
    if (!cw_output_open(&output, request->output ? request->output : "-", request->force)) {
        return false;
    }
    fprintf(output.stream, "# exciter coil to jack, channel 2 over channel 1; coilwright %s\n", CW_VERSION);
    fputs(cw_exciter_head(exciter, text, sizeof text), output.stream);
    for (int loaded = 0; loaded < 2; loaded++) {
        for (size_t i = 0; i < exciter->count; i++) {
            fputs(cw_exciter_line(exciter, i, loaded != 0, text), output.stream);
        }
    }
    return cw_output_commit(&output);
}

/* Without the slope that the exciter itself has, against 1 kHz without the capacitor. */
static bool plot_exciter(const struct request *request, const struct cw_exciter *exciter)
{
    double value[2][CW_RATIO_POINTS], at_1k = 0.0;
    struct cw_plot *plot = new_plot(CW_PLOT_LEVEL, "Exciter coil to jack over frequency, against 1 kHz");
    if (!plot) {
        return false;
    }
    for (size_t i = 0; i < exciter->count; i++) {
        const struct cw_exciter_point *p = &exciter->point[i];
        value[0][i] = log(size_of(p->bare) / p->hz);
        value[1][i] = log(size_of(p->loaded) / p->hz);
        at_1k = p->hz < 1000.0 ? value[0][i] : at_1k;
    }
    for (int take = 0; take < 2; take++) {
        for (size_t i = 0; i < exciter->count; i++) {
            value[take][i] -= at_1k;
        }
        fill_plot(cw_plot_add(plot, request->file[take ? LOADED : TAKE]), value[take], exciter->count, true);
    }
    return save_plot(request, plot);
}

static bool finish_exciter(const struct request *request, const struct cw_ratio ratio[FILES])
{
    struct cw_exciter *exciter = calloc(1, sizeof *exciter);
    if (!exciter) {
        cw_error_memory();
        return false;
    }
    fill_exciter(request, ratio, exciter);
    bool good = capacitor_right(request, exciter) && write_exciter(request, exciter) &&
                (!request->plot || plot_exciter(request, exciter));
    free(exciter);
    return good;
}

/* ---- command --------------------------------------------------------------------------------- */

/* The ratio of every take but the silent one, whose noise counts for those of the instrument. */
static bool read_ratios(const struct request *request, struct cw_ratio ratio[FILES])
{
    struct cw_recorded silence = {0};
    bool good = !request->file[SILENT] || cw_recorded_read(request->file[SILENT], &silence);
    for (int i = 0; i < FILES && good; i++) {
        if (i != SILENT && request->file[i]) {
            bool hums = (i == TAKE || i == LOADED) && request->file[SILENT];
            good = cw_recorded_ratio(request->file[i], request->seconds, hums ? &silence : NULL, &ratio[i]);
        }
    }
    cw_recorded_free(&silence);
    for (int i = 0; i < FILES && good; i++) {
        if (i != SILENT && request->file[i] && ratio[i].count != ratio[TAKE].count) {
            cw_error_at(request->file[i], 0, "expected the sample rate of the other takes, found another");
            good = false;
        }
    }
    return good;
}

static bool measure(struct request *request)
{
    struct cw_ratio *ratio = calloc(FILES, sizeof *ratio);
    if (!ratio) {
        cw_error_memory();
        return false;
    }
    bool good = (!request->live.folder || make_takes(request)) && read_ratios(request, ratio) &&
                (request->exciter ? finish_exciter : finish_jig)(request, ratio);
    free(ratio);
    return good;
}

static int run(void *to, char *const *names, size_t count)
{
    struct request *request = to;
    request->file[TAKE] = count > 0 ? names[0] : NULL;
    int status = check(request, count);
    return status >= 0 ? status : measure(request) ? CW_DONE : CW_FAILED;
}

const struct cw_usage *cw_usage_measure(void) { return &usage; }

int cw_cmd_measure(int argc, char **argv)
{
    struct request request = {.seconds = 5.0, .series = 1e5, .cable = -1.0, .input = 1000.0, .live = {.level = LEVEL}};
    int status = cw_args_run(&usage, argc, argv, take_option, run, &request);
    for (int i = 0; i < FILES; i++) {
        free(request.made[i]);
    }
    return status;
}
