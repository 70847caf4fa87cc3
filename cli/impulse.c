/* SPDX-License-Identifier: ISC */
#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "biquad.h"
#include "candidate.h"
#include "command.h"
#include "curve.h"
#include "digital.h"
#include "edits.h"
#include "message.h"
#include "numbers.h"
#include "options.h"
#include "output.h"
#include "quantity.h"
#include "setup.h"
#include "show.h"

enum option { OPT_BOOST_LIMIT = 1, OPT_FORCE, OPT_LENGTH, OPT_OUTPUT, OPT_RATE, OPT_RECORDED, OPT_SET };

static const struct cw_option options[] = {
    {OPT_OUTPUT, "output", 'o', "FILE", "WAV file to write; default the candidate's name with .wav."},
    {OPT_RATE, "rate", 'r', "HZ", "Sample rate in whole Hz, 8000 to 384000; default 48000 Hz."},
    {OPT_LENGTH, "length", 0, "N", "Samples, 1 to 100000000; default until it has decayed by 120 dB, 10 s at most."},
    {OPT_RECORDED, "recorded", 0, "FILE", "Divide by the recorded-through setup of FILE; default nothing."},
    {OPT_BOOST_LIMIT, "boost-limit", 0, "DB", "The most that any frequency is raised, 0 to 60 dB; default 24 dB."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of the candidate; may be repeated."},
    {OPT_FORCE, "force", 'f', NULL, "Replace a file that is there already."},
};

static const struct cw_usage usage = {
    "impulse",
    "FILE",
    "Write the impulse response of a candidate, from the string's EMF to the amplifier's input, as a\n"
    "mono WAV file of 32-bit floating-point samples. With --recorded it is the filter that turns a\n"
    "recording made through one setup into the other. FILE is a preset; FILE#a and FILE#b name one\n"
    "candidate of a comparison.",
    options,
    sizeof options / sizeof options[0],
    "The filter is the one that the plugin runs; the boost limit holds without --recorded, too. A\n"
    "recorded-through setup in FILE itself is divided out only where --recorded names that file, other\n"
    "than in an audition.",
};

/* Longest impulse response, and what it is allowed to end with. */
static const double longest_seconds = 10.0;
static const double decay = 1e-6; /* 120 dB */

struct request {
    struct cw_edits edits;
    const char *name, *output, *recorded_name;
    double rate, limit;
    bool limit_given;
    long length;
    bool force;
};

static bool take_rate(struct cw_args *args, double *rate)
{
    double hz;
    if (cw_quantity_parse(args->value, CW_UNIT_HZ, &hz) && hz >= 8000 && hz <= 384000 && hz == floor(hz)) {
        *rate = hz;
        return true;
    }
    cw_bad_usage(&usage, "--rate: expected a whole number of Hz from 8000 to 384000, found '%s'", args->value);
    return false;
}

static bool take_limit(struct cw_args *args, struct request *request)
{
    const struct cw_param_info *info = &cw_global_info[CW_G_BOOST_LIMIT];
    char why[CW_WHY_SIZE];
    if (cw_value_parse(info, args->value, &request->limit, why)) {
        return request->limit_given = true;
    }
    cw_bad_usage(&usage, "--boost-limit: %s", why);
    return false;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_RECORDED: request->recorded_name = args->value; return true;
    case OPT_RATE: return take_rate(args, &request->rate);
    case OPT_LENGTH: return cw_args_count(args, 1, 100000000, &request->length);
    case OPT_BOOST_LIMIT: return take_limit(args, request);
    case OPT_SET: return cw_args_edit(args, &request->edits, 1u << CW_G_BOOST_LIMIT);
    case OPT_FORCE: return request->force = true;
    default: return false;
    }
}

/* \param names room for argc operands
 * \return -1 to go on, else the exit status */
static int read_arguments(int argc, char **argv, struct request *request, char **names)
{
    size_t count = 0;
    int status = cw_args_read(&usage, argc, argv, take_option, request, names, &count);
    if (status >= 0) {
        return status;
    }
    if (count == 0) {
        return cw_bad_usage(&usage, "expected a FILE, found none");
    }
    if (count > 1) {
        return cw_bad_usage(&usage, "expected one FILE, found '%s' as well", names[1]);
    }
    if (request->output && strcmp(request->output, "-") == 0) {
        return cw_bad_usage(&usage, "--output: expected a file name, found '-': a WAV file needs one");
    }
    request->name = names[0];
    return -1;
}

/* Largest distance of a section's poles from the origin. */
static double pole_radius(const struct cw_biquad *section)
{
    double half = section->a1 / 2.0, discriminant = half * half - section->a2;
    return discriminant < 0.0 ? sqrt(section->a2) : fabs(half) + sqrt(discriminant);
}

/* Samples until the slowest pole has decayed, at most longest_seconds. */
static size_t natural_length(const struct cw_sections *sections, double rate)
{
    double radius = 0.0;
    for (int i = 0; i < sections->count; i++) {
        radius = fmax(radius, pole_radius(&sections->section[i]));
    }
    double most = longest_seconds * rate;
    double length = radius > 0.0 && radius < 1.0 ? ceil(log(decay) / log(radius)) : radius >= 1.0 ? most : 1.0;
    return (size_t)fmin(fmax(length, 64.0), most);
}

static bool write_samples(SNDFILE *file, const double *samples, size_t length)
{
    enum { BLOCK = 4096 };
    float block[BLOCK];
    for (size_t done = 0; done < length;) {
        size_t count = length - done < BLOCK ? length - done : BLOCK;
        for (size_t i = 0; i < count; i++) {
            block[i] = (float)samples[done + i];
        }
        if (sf_write_float(file, block, (sf_count_t)count) != (sf_count_t)count) {
            return false;
        }
        done += count;
    }
    return true;
}

static bool write_wav(const char *path, bool force, const double *samples, size_t length, double rate)
{
    struct cw_output output;
    if (!cw_output_open(&output, path, force)) {
        return false;
    }
    SF_INFO info = {.samplerate = (int)rate, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
    SNDFILE *file = sf_open(cw_output_take_name(&output), SFM_WRITE, &info);
    bool good = file != NULL;
    if (file) {
        /* That chunk holds the time of writing: equal responses would make unequal files. */
        sf_command(file, SFC_SET_ADD_PEAK_CHUNK, NULL, SF_FALSE);
        good = write_samples(file, samples, length);
        good = sf_close(file) == 0 && good;
    }
    if (!good) {
        cw_error_at(path, 0, "cannot write the WAV file%s%s", file ? " (is the disk full?)" : ": ",
                    file ? "" : sf_strerror(NULL));
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

/* The candidate's name in this directory: "dir/coil.ttl#b" becomes "coil-b.wav", "dir/coil.lv2/"
 * "coil.wav". */
static char *default_output(const char *name)
{
    const char *hash = strrchr(name, '#');
    hash = hash && !strchr(hash, '/') ? hash : NULL;
    size_t end = hash ? (size_t)(hash - name) : strlen(name);
    while (end > 1 && name[end - 1] == '/') {
        end--;
    }
    size_t start = end;
    while (start > 0 && name[start - 1] != '/') {
        start--;
    }
    const char *base = name + start;
    size_t stem = end - start;
    if (stem > 4 && (strncmp(base + stem - 4, ".ttl", 4) == 0 || strncmp(base + stem - 4, ".lv2", 4) == 0)) {
        stem -= 4;
    }
    size_t size = strlen(base) + sizeof "-.wav";
    char *output = malloc(size);
    if (output) {
        snprintf(output, size, "%.*s%s%s.wav", (int)stem, base, hash ? "-" : "", hash ? hash + 1 : "");
    }
    return output;
}

static bool report(const struct request *request, const char *path, const struct cw_sections *sections,
                   const double *samples, size_t length)
{
    double peak = 0.0;
    for (size_t i = 0; i < length; i++) {
        peak = fmax(peak, fabs(samples[i]));
    }
    cw_print_shown(stdout, path);
    printf(": %zu samples at %.0f Hz, ", length, request->rate);
    if (peak > 0.0) {
        char db[32];
        printf("peak %s against full scale", cw_print_db(20.0 * log10(peak), 2, db, sizeof db));
    } else {
        printf("silent");
    }
    printf("; %s\n", peak > 1.0 ? "above full scale, which floating point holds unclipped" : "nothing clipped");
    if (sections->limited) {
        printf("The boost limit of %g dB is at work: the response is lower there than the circuit's.\n",
               request->limit);
    }
    if (sections->mirrored) {
        printf("Zeros of the recorded-through response were mirrored: the level is exact, the phase is not.\n");
    }
    return cw_stdout_finish();
}

static int render(const struct request *request, const struct cw_setup *setup, const struct cw_setup *recorded)
{
    struct cw_curve curve;
    struct cw_sections sections;
    cw_curve_init(&curve, setup, recorded);
    cw_digital_design(&curve.response, recorded ? &curve.recorded : NULL, request->rate, request->limit, &sections);
    size_t length = request->length ? (size_t)request->length : natural_length(&sections, request->rate);
    double *samples = malloc(length * sizeof *samples);
    char *named = request->output ? NULL : default_output(request->name);
    if (!samples || (!request->output && !named)) {
        free(samples);
        free(named);
        cw_error_memory();
        return CW_FAILED;
    }
    cw_sections_impulse(&sections, samples, length);
    const char *path = request->output ? request->output : named;
    bool good = write_wav(path, request->force, samples, length, request->rate) &&
                report(request, path, &sections, samples, length);
    free(samples);
    free(named);
    return good ? CW_DONE : CW_FAILED;
}

static int run(struct request *request)
{
    struct cw_candidates list = {0};
    struct cw_candidate recorded = {0};
    struct cw_controls globals;
    int status = CW_FAILED;
    cw_controls_defaults(&globals);
    cw_edits_apply_globals(&request->edits, globals.global);
    if (!request->limit_given) {
        request->limit = globals.global[CW_G_BOOST_LIMIT];
    }
    if (cw_candidates_add(&list, request->name, &request->edits) &&
        (!request->recorded_name || cw_recorded_load(request->recorded_name, &request->edits, &recorded))) {
        cw_edits_name_lost(&request->edits, cw_candidates_at(&list) | (request->recorded_name ? 1u << CW_REC : 0u));
        if (list.count == 1) {
            status = render(request, &list.item[0].setup, request->recorded_name ? &recorded.setup : NULL);
        } else {
            cw_error_at(request->name, 0, "expected one candidate, found a comparison (add #a or #b to its name)");
        }
    }
    cw_candidates_free(&list);
    cw_candidate_free(&recorded);
    return status;
}

const struct cw_usage *cw_usage_impulse(void) { return &usage; }

int cw_cmd_impulse(int argc, char **argv)
{
    struct request request = {.rate = 48000.0};
    char **names = calloc((size_t)argc, sizeof *names);
    if (!names) {
        cw_error_memory();
        return CW_FAILED;
    }
    int status = read_arguments(argc, argv, &request, names);
    if (status < 0) {
        status = run(&request);
    }
    free(names);
    cw_edits_free(&request.edits);
    return status;
}
