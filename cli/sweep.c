/* SPDX-License-Identifier: ISC */
#include "sweep.h"

#include <cairo-pdf.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "audio.h"
#include "command.h"
#include "ending.h"
#include "instruction.h"
#include "jig_page.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "picture.h"
#include "quantity.h"
#include "recorded.h"
#include "rehearsal.h"
#include "setup.h"
#include "show.h"
#include "wrap.h"

enum option { OPT_FORCE = 1, OPT_INSTRUCTION, OPT_LEVEL, OPT_OUTPUT, OPT_RATE, OPT_REHEARSE, OPT_SECONDS };

static const struct cw_option options[] = {
    {OPT_OUTPUT, "output", 'o', "FILE", "WAV file to write; needed, where neither of the next two is given."},
    {OPT_INSTRUCTION, "instruction", 0, "FILE",
     "Page with the jig's circuit and how the takes are made (.pdf, or .txt without the circuit); default none, the "
     "words on standard output."},
    {OPT_REHEARSE, "rehearse", 0, "DIR",
     "Directory for takes of an instrument that is known, simulated, so that measure and fit can be tried; default "
     "none."},
    {OPT_RATE, "rate", 'r', "HZ", "Sample rate, 44100 to 192000 Hz; default 48000 Hz."},
    {OPT_SECONDS, "seconds", 0, "S", "Length of the sweep, 2 to 30 s; default 5 s."},
    {OPT_LEVEL, "level", 0, "DB", "Peak, -40 to 0 dB against full scale; default -6 dB."},
    {OPT_FORCE, "force", 'f', NULL, "Replace files that are there already."},
};

static const struct cw_usage usage = {
    "sweep",
    "",
    "Write the sweep that an impedance is measured with, from 20 Hz to 20 kHz, as a mono WAV file with a\n"
    "marker before and after it; and say how the takes are made. See also: coilwright measure --help.",
    options,
    sizeof options / sizeof options[0],
    NULL,
};

struct request {
    const char *output, *instruction, *rehearse;
    double rate, seconds, level;
    bool force;
};

/* How long a sweep is, s, unless told otherwise: what measure takes it for, too. */
static const double SECONDS = 5.0;

static bool take_number(struct cw_args *args, enum cw_unit unit, double low, double high, double *to)
{
    if (cw_quantity_parse(args->value, unit, to) && *to >= low && *to <= high) {
        return true;
    }
    cw_bad_usage(&usage, "--%s: expected %g to %g, found '%s'", args->option->name, low, high, args->value);
    return false;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_INSTRUCTION: request->instruction = args->value; return true;
    case OPT_REHEARSE: request->rehearse = args->value; return true;
    case OPT_RATE: return take_number(args, CW_UNIT_HZ, 44100, 192000, &request->rate);
    case OPT_SECONDS: return take_number(args, CW_UNIT_NONE, 2, 30, &request->seconds);
    case OPT_LEVEL: return take_number(args, CW_UNIT_DB, -40, 0, &request->level);
    case OPT_FORCE: return request->force = true;
    default: return false;
    }
}

static bool write_samples(struct cw_audio_out *out, const struct cw_sweep *sweep, const struct request *request,
                          size_t frames)
{
    float block[CW_AUDIO_BLOCK];
    double gain = pow(10.0, request->level / 20.0);
    for (size_t done = 0; done < frames;) {
        size_t count = frames - done < CW_AUDIO_BLOCK ? frames - done : CW_AUDIO_BLOCK;
        for (size_t i = 0; i < count; i++) {
            block[i] = (float)(gain * cw_sweep_take_at(sweep, (double)(done + i) / request->rate));
        }
        if (!cw_audio_write(out, block, count)) {
            return false;
        }
        done += count;
    }
    return true;
}

static bool write_sweep(const struct cw_sweep *sweep, const struct request *request)
{
    struct cw_output output;
    struct cw_audio_out out = {0};
    size_t frames = (size_t)(cw_sweep_take_seconds(sweep) * request->rate);
    if (!cw_output_open(&output, request->output, request->force)) {
        return false;
    }
    if (!cw_audio_create(&out, cw_output_take_name(&output), (int)request->rate, false, (long long)frames) ||
        !write_samples(&out, sweep, request, frames) || !cw_audio_finish(&out)) {
        cw_audio_drop(&out);
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

/* ---- the instruction ------------------------------------------------------------------------- */

static void print_words(FILE *stream, const struct cw_instruction_sweep *sweep)
{
    char title[300];
    int part = -1;
    cw_print_shown(stream, cw_instruction_title(sweep, title, sizeof title));
    fputc('\n', stream);
    for (const struct cw_instruction_line *line = cw_instruction_line; line->text; line++) {
        if ((int)line->part != part) {
            part = (int)line->part;
            fprintf(stream, "\n%s:\n", cw_instruction_heading[part]);
        }
        size_t indent = *line->name ? 14 : 2;
        fprintf(stream, "  %-*s", (int)indent - 2, line->name);
        cw_wrap(stream, line->text, indent, indent, 100);
    }
}

/* Made again it is the same, to the byte. */
static bool print_page(struct cw_output *output, const struct cw_instruction_sweep *sweep)
{
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(cw_picture_bytes, output, CW_JIG_PAGE_WIDTH, CW_JIG_PAGE_HEIGHT);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, "Measuring a closed instrument");
    cairo_t *cr = cairo_create(surface);
    cw_jig_page_draw(cr, sweep);
    return cw_picture_end(output, surface, cw_picture_drawn(cr));
}

static bool write_instruction(const struct request *request, const struct cw_instruction_sweep *sweep)
{
    struct cw_output output;
    if (!cw_output_open(&output, request->instruction, request->force)) {
        return false;
    }
    if (!cw_ends_in(request->instruction, ".pdf")) {
        print_words(output.stream, sweep);
    } else if (!print_page(&output, sweep)) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

/* ---- the rehearsal --------------------------------------------------------------------------- */

/* An interface is somewhat late, and recording goes on for a while. */
static const double MORE = 1.0;

enum { PATH_BYTES = 4096 };

static bool name_take(const struct request *request, int take, char path[PATH_BYTES])
{
    int length = snprintf(path, PATH_BYTES, "%s/%s", request->rehearse, cw_rehearsal_file[take]);
    bool good = length >= 0 && length < PATH_BYTES;
    if (!good) {
        cw_error_at(request->rehearse, 0, "expected a shorter name");
    }
    return good;
}

/* All that is to be written, and a directory for takes. */
static bool is_ready(const struct request *request)
{
    const char *const both[] = {request->output, request->instruction};
    bool good =
        cw_outputs_ready(both, 2, request->force) && (!request->rehearse || cw_output_directory(request->rehearse));
    for (int i = 0; good && request->rehearse && i < CW_REHEARSALS; i++) {
        char path[PATH_BYTES];
        const char *const one = path;
        good =
            name_take(request, i, path) && cw_output_plain(path, "a take") && cw_outputs_ready(&one, 1, request->force);
    }
    return good;
}

static bool rehearse_all(const struct request *request, const struct cw_sweep *sweep, struct cw_recorded *held)
{
    for (int i = 0; i < CW_REHEARSALS; i++) {
        char path[PATH_BYTES];
        if (!name_take(request, i, path)) {
            return false;
        }
        if (!cw_rehearse((enum cw_rehearsal)i, sweep, pow(10.0, request->level / 20.0), request->rate, held->channel[0],
                         held->channel[1], held->frames)) {
            cw_error_memory();
            return false;
        }
        if (!cw_recorded_write(path, held, request->force)) {
            return false;
        }
    }
    return true;
}

static bool rehearse(const struct request *request, const struct cw_sweep *sweep)
{
    struct cw_recorded held = {.frames = (size_t)((cw_sweep_take_seconds(sweep) + MORE) * request->rate),
                               .rate = request->rate};
    for (int i = 0; i < 2; i++) {
        held.channel[i] = malloc(held.frames * sizeof *held.channel[i]);
    }
    bool good = held.channel[0] && held.channel[1];
    if (!good) {
        cw_error_memory();
    }
    good = good && rehearse_all(request, sweep, &held);
    cw_recorded_free(&held);
    return good;
}

/* What the takes are of, and what is typed next. */
static void tell_rehearsal(const struct request *request)
{
    cw_print_shown(stdout, request->rehearse);
    printf(": takes of an instrument that is known (4.48 H at 120 Hz, 8 kΩ, two pots of 500 kΩ, 22 nF). There:\n"
           "  coilwright measure --open open.wav --known known.wav --known-value %.1fk --check check.wav \\\n"
           "      --check-value %.1fk --silent silent.wav -o full.s1p",
           CW_REHEARSAL_KNOWN_OHM / 1e3, CW_REHEARSAL_CHECK_OHM / 1e3);
    if (request->seconds != SECONDS) {
        printf(" --seconds %g", request->seconds);
    }
    puts(" full.wav\n"
         "and so with dark.wav (tone at 0) and half.wav (volume at half); then\n"
         "  coilwright fit -o known.ttl full.s1p dark.s1p@tone=0 half.s1p@volume=half");
}

/* ---- command --------------------------------------------------------------------------------- */

static int check(const struct request *request, size_t operands, char *const *names)
{
    if (operands > 0) {
        return cw_bad_usage(&usage, "expected no operand, found '%s'", names[0]);
    }
    if (request->output ? strcmp(request->output, "-") == 0 : !request->instruction && !request->rehearse) {
        return cw_bad_usage(
            &usage,
            "expected a file or a directory to write (-o FILE, --instruction FILE or --rehearse DIR), found none");
    }
    if (request->instruction && !cw_ends_in(request->instruction, ".pdf") &&
        !cw_ends_in(request->instruction, ".txt")) {
        return cw_bad_usage(&usage, "--instruction: expected a name that ends in .pdf or .txt, found '%s'",
                            request->instruction);
    }
    if (request->rate != floor(request->rate)) {
        return cw_bad_usage(&usage, "--rate: expected a whole number of Hz, found %g", request->rate);
    }
    return -1;
}

static int run(void *to, char *const *names, size_t count)
{
    const struct request *request = to;
    int status = check(request, count, names);
    if (status >= 0) {
        return status;
    }
    struct cw_sweep sweep;
    cw_sweep_init(&sweep);
    sweep.seconds = request->seconds;
    const struct cw_instruction_sweep told = {request->output, request->seconds, request->rate, request->level};
    if (!is_ready(request) || (request->output && !write_sweep(&sweep, request)) ||
        (request->instruction && !write_instruction(request, &told)) ||
        (request->rehearse && !rehearse(request, &sweep))) {
        return CW_FAILED;
    }
    if (request->rehearse) {
        tell_rehearsal(request);
    } else if (!request->instruction) {
        print_words(stdout, &told);
    }
    return cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

const struct cw_usage *cw_usage_sweep(void) { return &usage; }

int cw_cmd_sweep(int argc, char **argv)
{
    struct request request = {.rate = 48000.0, .seconds = SECONDS, .level = -6.0};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
