/* SPDX-License-Identifier: ISC */
#include "measure.h"

#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "audio.h"
#include "command.h"
#include "jig.h"
#include "message.h"
#include "numbers.h"
#include "one_port.h"
#include "options.h"
#include "output.h"
#include "plot_file.h"
#include "plot_model.h"
#include "quantity.h"
#include "setup.h"

enum option {
    OPT_CHECK = 1,
    OPT_CHECK_VALUE,
    OPT_FORCE,
    OPT_KNOWN,
    OPT_KNOWN_VALUE,
    OPT_OPEN,
    OPT_OUTPUT,
    OPT_PLOT,
    OPT_SECONDS,
    OPT_SERIES,
    OPT_SILENT
};

static const struct cw_option options[] = {
    {OPT_OPEN, "open", 0, "FILE", "Take with the plug hanging free; needed."},
    {OPT_KNOWN, "known", 0, "FILE", "Take with the known resistor across the plug; needed."},
    {OPT_KNOWN_VALUE, "known-value", 0, "OHM", "That resistor as an ohmmeter reads it, 100 ohm to 10 Mohm; needed."},
    {OPT_CHECK, "check", 0, "FILE", "Take with a second resistor, which finds a wrong first one; default none."},
    {OPT_CHECK_VALUE, "check-value", 0, "OHM",
     "The second resistor as an ohmmeter reads it, 100 ohm to 10 Mohm; needed with --check."},
    {OPT_SILENT, "silent", 0, "FILE",
     "Take with the instrument connected and nothing played: hum and noise; default none."},
    {OPT_SERIES, "series", 0, "OHM",
     "The jig's series resistor, 1 kohm to 10 Mohm; only told, not used; default 100 kohm."},
    {OPT_SECONDS, "seconds", 0, "S", "Length of the sweep that was played, 2 to 30 s; default 5 s."},
    {OPT_OUTPUT, "output", 'o', "FILE", "Touchstone file of the impedance (.s1p); default standard output."},
    {OPT_PLOT, "plot", 'p', "FILE", "Picture of the impedance (.svg, .png or .pdf); default none."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
};

static const struct cw_usage usage = {
    "measure",
    "TAKE.wav",
    "Work out the impedance at the jack of a closed instrument from recordings of the sweep, as made by\n"
    "coilwright sweep, which also says how the jig is connected. Takes are files of two channels: channel 1\n"
    "the interface's output before the series resistor, channel 2 the node behind it. Neither the series\n"
    "resistor nor the input's impedance need be known: the open take and the known resistor tell them.",
    options,
    sizeof options / sizeof options[0],
    "The result is written as '# Hz Z RI R 1', which Touchstone 1 and 2 read alike, with the standard error\n"
    "of each point as a comment. Cautions: see coilwright sweep.",
};

enum { OPEN, KNOWN, CHECK, SILENT, TAKE, FILES };

struct request {
    const char *file[FILES];
    double known, check, series, seconds;
    const char *output, *plot;
    bool force;
};

/* A take in memory. Zeroed is empty. */
struct held {
    float *channel[2];
    size_t frames;
    double rate;
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

static bool take_seconds(struct cw_args *args, double *to)
{
    if (cw_quantity_parse(args->value, CW_UNIT_NONE, to) && *to >= 2 && *to <= 30) {
        return true;
    }
    cw_bad_usage(&usage, "--seconds: expected 2 to 30, found '%s'", args->value);
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
    case OPT_SECONDS: return take_seconds(args, &request->seconds);
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_PLOT: request->plot = args->value; return true;
    case OPT_FORCE: return request->force = true;
    default: return false;
    }
}

static int read_arguments(int argc, char **argv, struct request *request)
{
    size_t count = 0;
    char **names = calloc((size_t)argc, sizeof *names);
    if (!names) {
        cw_error_memory();
        return CW_FAILED;
    }
    int status = cw_args_read(&usage, argc, argv, take_option, request, names, &count);
    if (status < 0) {
        request->file[TAKE] = count > 0 ? names[0] : NULL;
        if (count != 1) {
            status = cw_bad_usage(&usage, "expected one TAKE.wav, found %zu", count);
        } else if (!request->file[OPEN] || !request->file[KNOWN] || request->known == 0.0) {
            status = cw_bad_usage(&usage, "expected --open, --known and --known-value");
        } else if (!request->file[CHECK] != (request->check == 0.0)) {
            status = cw_bad_usage(&usage, "expected --check and --check-value together");
        } else if (request->plot && !cw_plot_file_kind_known(request->plot)) {
            status = cw_bad_usage(&usage, "--plot: expected a name in .svg, .png or .pdf, found '%s'", request->plot);
        }
    }
    free(names);
    return status;
}

/* ---- takes ---------------------------------------------------------------------------------- */

static void drop(struct held *held)
{
    free(held->channel[0]);
    free(held->channel[1]);
    memset(held, 0, sizeof *held);
}

/* Longest take, seconds: a sweep of 30 s and some handling. */
static const double LONGEST = 120.0;

static bool read_channel(const char *path, int channel, struct held *held)
{
    struct cw_audio_in in = {0};
    if (!cw_audio_open(&in, path, channel)) {
        return false;
    }
    size_t most = (size_t)(LONGEST * in.rate), room = 0, frames = 0;
    float *samples = NULL;
    long got = 1;
    while (got > 0 && frames <= most) {
        if (frames + CW_AUDIO_BLOCK > room) {
            room = room ? 2 * room : 64 * CW_AUDIO_BLOCK;
            float *more = realloc(samples, room * sizeof *samples);
            if (!more) {
                cw_error_memory();
                got = -1;
                break;
            }
            samples = more;
        }
        got = cw_audio_read(&in, samples + frames);
        frames += got > 0 ? (size_t)got : 0;
    }
    if (got > 0) {
        cw_error_at(path, 0, "expected a take of at most %.0f s, found a longer one", LONGEST);
    }
    held->channel[channel - 1] = samples;
    held->frames = frames;
    held->rate = in.rate;
    cw_audio_close(&in);
    return got == 0;
}

static bool read_take(const char *path, struct held *held)
{
    return read_channel(path, 1, held) && read_channel(path, 2, held);
}

static bool ratio_of(const char *path, const struct request *request, const struct held *silence,
                     struct cw_ratio *ratio)
{
    struct held held = {0};
    struct cw_sweep sweep;
    cw_sweep_init(&sweep);
    sweep.seconds = request->seconds;
    bool good = read_take(path, &held);
    if (good && silence && silence->rate != held.rate) {
        cw_error_at(path, 0, "expected the rate of the silent take, %.0f Hz, found %.0f Hz", silence->rate, held.rate);
        good = false;
    }
    if (good) {
        struct cw_recorded_take take = {held.channel[0], held.channel[1], held.frames, held.rate};
        struct cw_recorded_take quiet = {0};
        if (silence) {
            quiet = (struct cw_recorded_take){silence->channel[0], silence->channel[1], silence->frames, silence->rate};
        }
        enum cw_take_fault fault = cw_ratio_of(&sweep, &take, silence ? &quiet : NULL, ratio);
        if (fault != CW_TAKE_GOOD) {
            cw_error_at(path, 0, "%s", cw_take_fault_words(fault));
        }
        good = fault == CW_TAKE_GOOD;
    }
    drop(&held);
    return good;
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

/* ---- result --------------------------------------------------------------------------------- */

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

static bool write_plot(const struct request *request, const struct cw_ratio ratio[FILES])
{
    if (!request->plot) {
        return true;
    }
    struct cw_plot *plot = malloc(sizeof *plot);
    if (!plot) {
        cw_error_memory();
        return false;
    }
    cw_plot_clear(plot);
    plot->axis = CW_PLOT_IMPEDANCE;
    cw_plot_text(plot->title, "Impedance at the jack, measured");
    struct cw_plot_curve *curve = cw_plot_add(plot, request->file[TAKE]);
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        double hz = cw_plot_hz(i), step = log(hz / 20.0) / log(1000.0) * (CW_RATIO_POINTS - 1);
        size_t low = (size_t)fmin(fmax(step, 0.0), (double)ratio[TAKE].count - 2.0);
        struct cw_jig a = jig_at(ratio, request->known, low), b = jig_at(ratio, request->known, low + 1);
        double from = log(size_of(cw_jig_impedance(&a, ratio[TAKE].m[low])));
        double to = log(size_of(cw_jig_impedance(&b, ratio[TAKE].m[low + 1])));
        curve->value[i] = exp(from + (step - (double)low) * (to - from));
    }
    const struct cw_plot *plots[] = {plot};
    bool good = cw_plot_save(plots, 1, request->plot, (struct cw_plot_size){900, 540, 1}, request->force);
    free(plot);
    return good;
}

static bool measure(const struct request *request, struct cw_ratio ratio[FILES])
{
    struct held silence = {0};
    bool good = !request->file[SILENT] || read_take(request->file[SILENT], &silence);
    for (int i = 0; i < FILES && good; i++) {
        if (i != SILENT && request->file[i]) {
            const struct held *quiet = i == TAKE && request->file[SILENT] ? &silence : NULL;
            good = ratio_of(request->file[i], request, quiet, &ratio[i]);
        }
    }
    drop(&silence);
    for (int i = 0; i < FILES && good; i++) {
        if (i != SILENT && request->file[i] && ratio[i].count != ratio[OPEN].count) {
            cw_error_at(request->file[i], 0, "expected the sample rate of the open take, found another");
            good = false;
        }
    }
    return good && channels_right(request, ratio) && check_resistor(request, ratio);
}

const struct cw_usage *cw_usage_measure(void) { return &usage; }

int cw_cmd_measure(int argc, char **argv)
{
    struct request request = {.seconds = 5.0, .series = 1e5};
    int status = read_arguments(argc, argv, &request);
    if (status >= 0) {
        return status;
    }
    struct cw_ratio *ratio = calloc(FILES, sizeof *ratio);
    if (!ratio) {
        cw_error_memory();
        return CW_FAILED;
    }
    bool good = measure(&request, ratio);
    if (good) {
        tell_cable(&request, ratio);
        good = write_curve(&request, ratio) && write_plot(&request, ratio);
    }
    free(ratio);
    return good ? CW_DONE : CW_FAILED;
}
