/* SPDX-License-Identifier: ISC */
#include "sweep.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "audio.h"
#include "command.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "quantity.h"
#include "setup.h"
#include "show.h"

enum option { OPT_FORCE = 1, OPT_LEVEL, OPT_OUTPUT, OPT_RATE, OPT_SECONDS };

static const struct cw_option options[] = {
    {OPT_OUTPUT, "output", 'o', "FILE", "WAV file to write; needed."},
    {OPT_RATE, "rate", 'r', "HZ", "Sample rate, 44100 to 192000 Hz; default 48000 Hz."},
    {OPT_SECONDS, "seconds", 0, "S", "Length of the sweep, 2 to 30 s; default 5 s."},
    {OPT_LEVEL, "level", 0, "DB", "Peak, -40 to 0 dB against full scale; default -6 dB."},
    {OPT_FORCE, "force", 'f', NULL, "Replace a file that is there already."},
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
    const char *output;
    double rate, seconds, level;
    bool force;
};

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

/* What to connect. */
static void print_instructions(const struct request *request)
{
    cw_print_shown(stdout, request->output);
    printf(": 20 Hz to 20 kHz in %g s at %.0f Hz, peak %g dBFS\n\n", request->seconds, request->rate, request->level);
    fputs("The jig: interface output -> resistor of 47 k to 100 k -> node -> plug of a short cable.\n"
          "Channel 1 of the interface hears the output itself, before the resistor; channel 2 the node, by an\n"
          "instrument input (1 M). Nothing else is connected; the guitar's own controls stand as they are to be "
          "known.\n\n"
          "Play the file and record both channels, at the same gains throughout:\n"
          "  1. open.wav    the plug hanging free\n"
          "  2. known.wav   a resistor of about 100 k, read from an ohmmeter, across the plug\n"
          "  3. check.wav   another, of about 22 k (it finds a wrong value; may be left out)\n"
          "  4. silent.wav  the instrument plugged in and nothing played, for as long (it tells hum from noise)\n"
          "  5. take.wav    the instrument plugged in\n"
          "Highest sample below full scale everywhere, channel 1 between -20 and -6 dBFS.\n\n"
          "  coilwright measure --open open.wav --known known.wav --known-value 99.8k \\\n"
          "      --check check.wav --check-value 22.1k --silent silent.wav -o instrument.s1p take.wav\n\n"
          "Cautions: measure a passive instrument only, with nothing of the mains in the circuit but the interface's\n"
          "own supply. Never connect the jig to an amplifier's output or inside an amplifier: charge stays there when\n"
          "it is off. Turn loudspeakers and headphones down: the sweep is loud.\n",
          stdout);
}

const struct cw_usage *cw_usage_sweep(void) { return &usage; }

int cw_cmd_sweep(int argc, char **argv)
{
    struct request request = {.rate = 48000.0, .seconds = 5.0, .level = -6.0};
    size_t count = 0;
    char **names = calloc((size_t)argc, sizeof *names);
    if (!names) {
        cw_error_memory();
        return CW_FAILED;
    }
    int status = cw_args_read(&usage, argc, argv, take_option, &request, names, &count);
    if (status < 0 && count > 0) {
        status = cw_bad_usage(&usage, "expected no operand, found '%s'", names[0]);
    } else if (status < 0 && (!request.output || strcmp(request.output, "-") == 0)) {
        status = cw_bad_usage(&usage, "expected --output FILE");
    } else if (status < 0 && request.rate != floor(request.rate)) {
        status = cw_bad_usage(&usage, "--rate: expected a whole number of Hz, found %g", request.rate);
    }
    free(names);
    if (status >= 0) {
        return status;
    }
    struct cw_sweep sweep;
    cw_sweep_init(&sweep);
    sweep.seconds = request.seconds;
    if (!write_sweep(&sweep, &request)) {
        return CW_FAILED;
    }
    print_instructions(&request);
    return cw_stdout_finish() ? CW_DONE : CW_FAILED;
}
