/* SPDX-License-Identifier: ISC */
/* coilwright audition: hear a recording through candidates. */
#define _XOPEN_SOURCE 700 /* realpath() */

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "audio.h"
#include "audition_folder.h"
#include "audition_load.h"
#include "candidate.h"
#include "command.h"
#include "curve.h"
#include "digest_file.h"
#include "edits.h"
#include "escape.h"
#include "folder.h"
#include "host.h"
#include "journal_entry.h"
#include "leads.h"
#include "leads_table.h"
#include "live_page.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "page.h"
#include "phrase.h"
#include "preset_save.h"
#include "progress.h"
#include "recorded_loss.h"
#include "quantity.h"
#include "render.h"
#include "results.h"
#include "setup.h"
#include "show.h"
#include "sounds.h"
#include "sources.h"
#include "take_check.h"
#include "take_words.h"

enum option {
    OPT_CHANNEL = 1,
    OPT_DEMO,
    OPT_DI,
    OPT_FILES,
    OPT_FLOAT,
    OPT_FORCE,
    OPT_LIVE,
    OPT_OUTPUT,
    OPT_RECORDED,
    OPT_SET
};

static const struct cw_option options[] = {
    CW_HEADING("What is played"),
    {OPT_DI, "di", 0, "FILE", "The recording: WAV, FLAC or AIFF, mono, 8 to 384 kHz; needed, or --demo."},
    {OPT_CHANNEL, "channel", 0, "N", "Take channel N, 1 to 1024, of a recording with several; default the only one."},
    {OPT_DEMO, "demo", 0, NULL, "Use a phrase of our own and the bundled candidates."},
    {OPT_RECORDED, "recorded", 0, "FILE", "Divide out the recorded-through setup of FILE; default that of the files."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of every candidate; may be repeated."},
    CW_HEADING("What is written"),
    {OPT_OUTPUT, "output", 'o', "DIR", "Write the results to the directory DIR; needed."},
    {OPT_LIVE, "live", 0, NULL, "Write live.html too, a page in which the listener moves the values."},
    {OPT_FILES, "files", 0, NULL, "Write sound files too, at true level and matched, of 24 bits."},
    {OPT_FLOAT, "float", 0, NULL, "With --files: 32-bit float instead of 24-bit."},
    {OPT_FORCE, "force", 'f', NULL, "Replace the results that are there already."},
    CW_JOURNAL_OPTION,
    CW_BECAUSE_OPTION,
};

static const struct cw_usage usage = {
    "audition",
    "[FILE...]",
    "Play a DI recording through candidates with the plugin itself, and write a page to listen and\n"
    "compare: one file that plays in a browser with nothing beside it, at true level and matched in\n"
    "loudness, and can be mailed.\n"
    "FILE is a preset, 1 to 256 candidates in all; a comparison stands for its two candidates.",
    options,
    sizeof options / sizeof options[0],
    "Without --recorded, the recorded-through setup that the files themselves set is divided out, as\n"
    "in a session saved by a host; where they set none, nothing is, and each candidate is heard on\n"
    "top of the pickup that the recording was made with.\n"
    "Level matching lowers all to the quietest by integrated loudness (ITU-R BS.1770); for material\n"
    "that is too short or quiet for that, by plain mean power. Nothing is raised. Where a 24-bit file\n"
    "would clip, the whole set is lowered alike.\n"
    "The page, index.html, holds up to 60 s of the recording, lossless, in 16 bits; live.html, of --live,\n"
    "holds it in 24 bits with the program's own core, for a browser with WebAssembly. DIR also holds\n"
    "results.csv, plots (response.svg and .png, " CW_DIR_PLOTS ") and each candidate as a preset (" CW_DIR_SETTINGS
    "); with\n"
    "--files also all of the sound (" CW_DIR_TRUE ", " CW_DIR_MATCHED "). --force replaces a directory of earlier\n"
    "results only: where it holds anything else, nothing is touched. Begin to listen with the volume\n"
    "low.",
};

static const char demo_recorded[] = "recorded-through-bench-guitar";
static const char *const demo_files[] = {"job-12-full",
                                         "job-12-plain-split",
                                         "job-12-tapped-split",
                                         "job-12-resistor-split",
                                         "job-12-capacitor-split",
                                         "job-12-parallel",
                                         "job-12-short-cable",
                                         "job-12-long-cable",
                                         "bright-coil",
                                         "dark-coil",
                                         "job-12-tone-down",
                                         "job-12-volume-down",
                                         "job-12-volume-down-bleed",
                                         "compare-full-tapped-split",
                                         "compare-plain-tapped-split",
                                         "compare-tapped-resistor-split",
                                         "compare-series-parallel",
                                         "compare-cables",
                                         "compare-coils",
                                         "compare-tone",
                                         "compare-treble-bleed"};
enum { DEMO_FILES = sizeof demo_files / sizeof demo_files[0] };

struct request {
    const char *di, *output;
    long channel;
    bool demo, force, files, is_float, live;
    struct cw_sources sources;
    char **names;   /* of the command line, or of the demonstration */
    size_t owned;   /* how many of them are ours to free */
    char *recorded; /* ours to free, or NULL */
    struct cw_journal_request journal;
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_CHANNEL: return cw_args_count(args, 1, 1024, &request->channel);
    case OPT_DEMO: return request->demo = true;
    case OPT_DI: request->di = args->value; return true;
    case OPT_FILES: return request->files = true;
    case OPT_FLOAT: return request->is_float = true;
    case OPT_FORCE: return request->force = true;
    case OPT_LIVE: return request->live = true;
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_RECORDED: request->sources.recorded = args->value; return true;
    case OPT_SET:
        return cw_args_edit(args, &request->sources.edits,
                            1u << CW_G_BOOST_LIMIT | 1u << CW_G_UNDO_RECORDING | 1u << CW_G_MAINS |
                                1u << CW_G_STRING_PLACES);
    default: return cw_journal_take(args, id, &request->journal);
    }
}

static bool sensible(const struct request *request, size_t operands)
{
    const char *trouble = NULL;
    if (request->demo && (request->di || operands || request->sources.recorded || request->channel)) {
        trouble = "--demo brings its own recording and candidates: expected no --di, --channel, --recorded or FILE";
    } else if (!request->demo && !request->di) {
        trouble = "expected a recording (--di FILE) or --demo, found neither";
    } else if (!request->demo && operands == 0) {
        trouble = "expected at least one candidate FILE, found none";
    } else if (request->is_float && !request->files) {
        trouble = "--float is the kind of the sound files: expected --files with it";
    } else if (!request->output) {
        trouble = "expected a directory to write (-o DIR), found none";
    }
    if (trouble) {
        cw_bad_usage(&usage, "%s", trouble);
    }
    return !trouble;
}

/* \return -1 to go on, else the exit status */
static int read_arguments(int argc, char **argv, struct request *request)
{
    size_t *count = &request->sources.count;
    int status = cw_args_read(&usage, argc, argv, take_option, request, request->names, count);
    return status >= 0 ? status : sensible(request, *count) ? -1 : CW_BAD_USAGE;
}

static char *bundled(const struct cw_host *host, const char *name)
{
    size_t size = strlen(cw_host_bundle(host)) + strlen(name) + sizeof "/.ttl";
    char *path = malloc(size);
    if (path) {
        snprintf(path, size, "%s/%s.ttl", cw_host_bundle(host), name);
    } else {
        cw_error_memory();
    }
    return path;
}

static bool name_demo_files(struct request *request, const struct cw_host *host)
{
    for (size_t i = 0; i < DEMO_FILES; i++) {
        request->names[i] = bundled(host, demo_files[i]);
        if (!request->names[i]) {
            return false;
        }
        request->owned++;
    }
    request->sources.count = DEMO_FILES;
    request->recorded = bundled(host, demo_recorded);
    request->sources.recorded = request->recorded;
    return request->recorded != NULL;
}

static bool write_live(const struct cw_audition *audition, const struct request *request, const char *di,
                       struct cw_folder *folder)
{
    struct cw_live_take take = {0};
    struct cw_output output;
    const char *path = cw_folder_file(folder, "live.html");
    bool good =
        path && cw_live_take_read(audition, di, (int)request->channel, &take) && cw_output_open(&output, path, true);
    if (good) {
        cw_live_page_write(output.stream, audition, &take);
        good = cw_output_commit(&output);
    }
    cw_live_take_free(&take);
    return good;
}

static bool fill_folder(struct cw_audition *audition, const struct request *request, struct cw_host *host,
                        struct cw_folder *folder, double *worst_tone)
{
    const char *di = request->di, *tone = NULL;
    if (request->demo && !cw_audition_write_demo(audition, folder, &di, &tone)) {
        return false;
    }
    return cw_audition_fill(audition, host, di, (int)request->channel, tone, folder, worst_tone) &&
           (!request->live || write_live(audition, request, di, folder));
}

/* What most mail carries, bytes (common practice, no source). */
static const double MAIL_BYTES = 20e6;

static void report_size(const struct cw_audition *audition)
{
    double bytes = 0.0;
    for (size_t i = 0; i < audition->count; i++) {
        bytes += 4.0 / 3.0 * (double)audition->sound[i].clip.count;
    }
    if (bytes > MAIL_BYTES) {
        printf("The page has some %.0f MB: most mail carries less. Take fewer candidates or a shorter recording, or "
               "--live\n",
               bytes / 1e6);
    }
}

static void report_levels(const struct cw_audition *audition)
{
    if (cw_audition_footings(audition) == 2) {
        puts("True level: one scale on two footings. Windings have the EMF of their turns, core and magnet, measured\n"
             "values that of the square root of their inductance: for the usual coils within 1 dB of each other.");
    }
    char lost[CW_LOSS_TEXT];
    if (cw_audition_loss(audition, lost)) {
        puts(lost);
    }
    if (audition->true_lowered < 0.0 || audition->page_lowered < 0.0) {
        printf("All at true level lowered alike by %.1f dB so that none clips\n",
               -fmin(audition->true_lowered, audition->page_lowered));
    }
    if (audition->matched_lowered < 0.0) {
        printf("All level-matched files lowered alike by %.1f dB so that none clips\n", -audition->matched_lowered);
    }
}

static void report_sounds(const struct cw_audition *audition)
{
    for (size_t i = 0; i < audition->count; i++) {
        if (!isfinite(audition->sound[i].levels.rms)) {
            fputs("Silent, so not matched: ", stdout);
            cw_print_shown(stdout, audition->sound[i].label);
            putchar('\n');
        }
        if (i > 0) {
            cw_turns_note_print(audition->sound[i].label, &audition->sound[i].setup, stdout);
        }
    }
}

/* What is to be known of the recording. */
static void report_recording(const struct cw_audition *audition, bool demo)
{
    if (audition->has_recorded) {
        fputs("Divided out of the recording: ", stdout);
        cw_print_shown(stdout, audition->recorded_label);
        putchar('\n');
    } else {
        puts("Nothing divided out: name what the recording went through with --recorded");
    }
    struct cw_take_figures figures;
    cw_take_check_figures(&audition->check, &figures);
    if (!demo) {
        cw_take_words_print(stdout, "The recording", &figures, audition->bits);
    }
    if (audition->page_frames < audition->frames) {
        printf("The page holds the first %.1f s of %.1f s%s\n", (double)audition->page_frames / audition->rate,
               (double)audition->frames / audition->rate, audition->files ? "" : "; --files writes all of it");
    }
}

static void report(const struct cw_audition *audition, const struct request *request, double worst_tone)
{
    char *whole = realpath(request->output, NULL), shown[CW_SHOWN_BYTES];
    printf("%zu candidate%s, at true level and matched %s, in %s\n", audition->count - 1,
           audition->count == 2 ? "" : "s",
           audition->by_loudness ? "in loudness"
                                 : "in mean power (too short or quiet "
                                   "for loudness)",
           cw_show(request->output, shown, sizeof shown));
    report_recording(audition, request->demo);
    report_sounds(audition);
    report_levels(audition);
    report_size(audition);
    if (request->demo) {
        printf("Test tone of %.0f Hz: at most %.2g dB from what the circuit predicts\n", CW_TONE_HZ, worst_tone);
    }
    if (request->live) {
        fputs("Move the values yourself: ", stdout);
        cw_print_address(stdout, whole ? whole : request->output);
        puts("/live.html");
    }
    /* Last, where it is looked for. */
    fputs("Listen and compare (volume low first): ", stdout);
    cw_print_address(stdout, whole ? whole : request->output);
    puts("/index.html");
    free(whole);
}

static bool note(const struct request *request, const struct cw_audition *audition)
{
    struct cw_entry entry;
    if (!cw_entry_begin(&entry, &request->journal, "audition")) {
        return false;
    }
    cw_entry_add_file(&entry, "recording", request->di);
    if (audition->has_recorded) {
        cw_entry_add_setup(&entry, "recorded", audition->recorded_label, &audition->sound[0].setup);
    }
    for (size_t i = 1; i < audition->count; i++) {
        cw_entry_add_setup(&entry, "candidate", audition->sound[i].label, &audition->sound[i].setup);
    }
    cw_entry_add(&entry, "output", "%s", request->output);
    return cw_entry_finish(&entry, stdout);
}

static const char *title_of(const struct request *request)
{
    const char *slash = request->di ? strrchr(request->di, '/') : NULL;
    return request->demo ? "demonstration phrase" : slash ? slash + 1 : request->di;
}

static int run(struct request *request, struct cw_host *host, struct cw_audition *audition)
{
    if (!cw_journal_ready(&request->journal) || (request->live && !cw_live_page_can()) ||
        (request->demo && !name_demo_files(request, host))) {
        return CW_FAILED;
    }
    request->sources.file = request->names;
    int status = cw_audition_load(audition, &request->sources);
    if (status != CW_DONE) {
        return status;
    }
    audition->title = title_of(request);
    audition->files = request->files;
    audition->is_float = request->is_float;
    struct cw_folder folder;
    double worst_tone = 0.0;
    if (!cw_folder_open(&folder, request->output, request->force)) {
        return CW_FAILED;
    }
    bool good = fill_folder(audition, request, host, &folder, &worst_tone);
    cw_progress_end();
    if (cw_folder_interrupted()) {
        cw_error_at(request->output, 0, "interrupted, nothing written");
        good = false;
    }
    if (!good) {
        cw_folder_abandon(&folder);
    }
    if (!good || !cw_folder_commit(&folder)) {
        return CW_FAILED;
    }
    report(audition, request, worst_tone);
    return note(request, audition) && cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

static void free_request(struct request *request)
{
    for (size_t i = 0; i < request->owned; i++) {
        free(request->names[i]);
    }
    free(request->names);
    free(request->recorded);
    cw_edits_free(&request->sources.edits);
}

const struct cw_usage *cw_usage_audition(void) { return &usage; }

int cw_cmd_audition(int argc, char **argv)
{
    struct request request = {0};
    struct cw_audition audition = {0};
    request.names = calloc((size_t)argc + DEMO_FILES, sizeof *request.names);
    if (!request.names) {
        cw_error_memory();
        return CW_FAILED;
    }
    int status = read_arguments(argc, argv, &request);
    if (status < 0) {
        struct cw_host *host = cw_host_open();
        status = host ? run(&request, host, &audition) : CW_FAILED;
        cw_audition_free(&audition);
        cw_host_close(host);
    }
    free_request(&request);
    return status;
}
