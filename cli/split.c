/* SPDX-License-Identifier: ISC */
/* coilwright split: which split, and which parts, give a wanted level. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "candidate.h"
#include "command.h"
#include "edits.h"
#include "ending.h"
#include "folder.h"
#include "curve.h"
#include "escape.h"
#include "journal_entry.h"
#include "known.h"
#include "leads.h"
#include "leads_table.h"
#include "message.h"
#include "near.h"
#include "numbers.h"
#include "options.h"
#include "output.h"
#include "plot_curve.h"
#include "plot_file.h"
#include "plot_model.h"
#include "preset_save.h"
#include "preset_text.h"
#include "quantity.h"
#include "schematic_file.h"
#include "series.h"
#include "setup.h"
#include "show.h"
#include "sources.h"
#include "split_kind.h"
#include "split_measure.h"
#include "split_report.h"
#include "split_schematic.h"
#include "split_solve.h"
#include "split_words.h"
#include "take.h"
#include "take_load.h"
#include "turtle.h"

enum option {
    OPT_AT_MOST = 1,
    OPT_BAND,
    OPT_BRIGHTNESS,
    OPT_BY,
    OPT_CAPACITORS,
    OPT_CHANNEL,
    OPT_CSV,
    OPT_DI,
    OPT_FORCE,
    OPT_LEVEL,
    OPT_MEASURE,
    OPT_OUTPUT,
    OPT_RECORDED,
    OPT_REDUCE,
    OPT_RESONANCE,
    OPT_SERIES,
    OPT_SET,
    OPT_WIDE
};

/* The words of the table of kinds, each with a comma before it. */
static const char kind_words[] =
#define CW_SPLIT_KIND(ID, word, ...) ", " word
#include "split_kinds.def"
    ;

/* The same as choices. */
static const char by_argument[] =
#define CW_SPLIT_KIND(ID, word, ...) "|" word
#include "split_kinds.def"
    ;

static const struct cw_option options[] = {
    CW_HEADING("What is wanted"),
    {OPT_LEVEL, "level", 0, "LEVEL", "Level against the full pickup: 75% (or 75), or -2.5dB; 0.1 to 1000 %; needed."},
    {OPT_MEASURE, "measure", 0, "loudness|flat|HZ",
     "Level by loudness, flat over --band, or at a frequency from 20 Hz "
     "to 20 kHz such as 1kHz; default loudness."},
    {OPT_BAND, "band", 0, "LOW,HIGH", "Band of --measure flat, 20 Hz to 20 kHz; default 80,1k."},
    {OPT_DI, "di", 0, "FILE", "Level by the loudness of this recording; default an assumed spectrum."},
    {OPT_CHANNEL, "channel", 0, "N", "Take channel N, 1 to 1024, of a recording with several; default the only one."},
    {OPT_RECORDED, "recorded", 0, "FILE",
     "Divide the recorded-through setup of FILE out of the recording; default "
     "nothing."},
    {OPT_BRIGHTNESS, "brightness", 0, "DB",
     "Treble against the full pickup as well, -40 to 40 dB, as in +2dB; "
     "default any."},
    {OPT_RESONANCE, "resonance", 0, "HZ", "Resonance as well, 700 Hz to 20 kHz, as in 3.5kHz; default any."},
    {OPT_AT_MOST, "at-most", 0, NULL, "No brighter than --brightness or --resonance; darker will do."},
    CW_HEADING("With which parts"),
    {OPT_BY, "by", 0, by_argument + 1, "Only this kind; may be repeated; default all."},
    {OPT_REDUCE, "reduce", 0, "one|two|either", "The coil to reduce; default as the candidate has it."},
    {OPT_SERIES, "series", 0, "E12|E24|E96", "Preferred values of parts; default E12."},
    {OPT_CAPACITORS, "capacitor-series", 0, "E12|E24|E96", "The same for capacitors alone; default as --series."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of the candidate; may be repeated."},
    CW_HEADING("What is written"),
    {OPT_CSV, "csv", 0, NULL, "Print the table as CSV."},
    {OPT_WIDE, "wide", 0, NULL, "The table in one piece; else one over 100 columns is folded."},
    {OPT_OUTPUT, "output", 'o', "DIR",
     "Write presets, schematics, a plot and the table to the directory DIR; default "
     "none."},
    {OPT_FORCE, "force", 'f', NULL, "Replace the results that are there already."},
    CW_JOURNAL_OPTION,
    CW_BECAUSE_OPTION,
};

static const struct cw_usage usage = {
    "split",
    "CANDIDATE",
    "Find the tap or the parts that bring a split of two coils in series to a wanted level, and say\n"
    "what each costs in tone and hum. CANDIDATE is a preset; FILE#a or FILE#b names one side of a\n"
    "comparison. Its controls, cable and input stay as they are.",
    options,
    sizeof options / sizeof options[0],
    "Loudness is that of an assumed guitar spectrum, K-weighted (ITU-R BS.1770); with --di it is the\n"
    "integrated loudness of that recording, so that a rendering keeps the promise. Flat is the mean\n"
    "power of the response over the band. Treble is 2 to 6 kHz over 80 to 500 Hz, under real strings.\n"
    "Hum is for 50 Hz mains; --set mains=60 for 60 Hz. Of two parts that meet the level in many ways,\n"
    "those are given that have equal impedance nearest to 200 Hz. What reaches the level is ranked by\n"
    "ear, nearest to the full pickup first (by --brightness or --resonance where one is asked), with\n"
    "each coil in its place under the strings; which coil to keep is told at the end.\n"
    "Exit status 1 where no split reaches the level: the nearest are printed, and no files are written.",
};

struct request {
    const char *level, *di, *output;
    long channel;
    bool csv, wide, force, band_given, measure_given, capacitors_given;
    struct cw_split_wish wish;
    struct cw_sources sources;
    struct cw_journal_request journal;
};

/* ---- the command line ---------------------------------------------------------------------- */

/* A share in per cent or a level in dB; a bare number is per cent, unless it may well be a share of one or
 * a level. */
static bool take_level(struct cw_args *args, struct request *request)
{
    double value;
    request->level = args->value;
    bool percent = cw_ends_in(args->value, "%");
    if (cw_quantity_parse(args->value, CW_UNIT_PERCENT, &value) && value >= (percent ? 0.1 : 2.0) && value <= 1000.0) {
        request->wish.level = 20.0 * log10(value / 100.0);
        return true;
    }
    if (cw_ends_in(args->value, "dB") && cw_quantity_parse(args->value, CW_UNIT_DB, &value) && value >= -60.0 &&
        value <= 20.0) {
        request->wish.level = value;
        return true;
    }
    double number;
    char hint[64] = "";
    if (cw_quantity_parse(args->value, CW_UNIT_NONE, &number) && number > 0.0 && number < 2.0) {
        snprintf(hint, sizeof hint, ": did you mean %.4g%%, or %.4gdB?", 100.0 * number, number);
    } else if (cw_quantity_parse(args->value, CW_UNIT_NONE, &number) && number < 0.0 && number >= -60.0) {
        snprintf(hint, sizeof hint, ": did you mean %.4gdB?", number);
    }
    cw_bad_usage(&usage, "--level: expected a level such as 75%% or -2.5dB (0.1%% to 1000%%), found '%s'%s",
                 args->value, hint);
    return false;
}

static bool take_measure(struct cw_args *args, struct request *request)
{
    struct cw_measure *measure = &request->wish.measure;
    double hz;
    request->measure_given = true;
    if (strcmp(args->value, "loudness") == 0) {
        measure->kind = CW_MEASURE_LOUDNESS;
    } else if (strcmp(args->value, "flat") == 0) {
        measure->kind = CW_MEASURE_FLAT;
    } else if (cw_quantity_parse(args->value, CW_UNIT_HZ, &hz) && hz >= 20.0 && hz <= 20000.0) {
        measure->kind = CW_MEASURE_AT;
        measure->low = hz;
    } else {
        cw_bad_usage(&usage, "--measure: expected loudness, flat or a frequency from 20 Hz to 20 kHz, found '%s'",
                     args->value);
        return false;
    }
    return true;
}

static bool take_band(struct cw_args *args, struct request *request)
{
    char low[32];
    const char *comma = strchr(args->value, ',');
    struct cw_measure *measure = &request->wish.measure;
    request->band_given = true;
    if (comma && (size_t)(comma - args->value) < sizeof low) {
        snprintf(low, sizeof low, "%.*s", (int)(comma - args->value), args->value);
        if (cw_quantity_parse(low, CW_UNIT_HZ, &measure->low) &&
            cw_quantity_parse(comma + 1, CW_UNIT_HZ, &measure->high) && measure->low >= 20.0 &&
            measure->high > measure->low && measure->high <= 20000.0) {
            return true;
        }
    }
    cw_bad_usage(&usage, "--band: expected two rising frequencies from 20 Hz to 20 kHz such as 80,1k, found '%s'",
                 args->value);
    return false;
}

static bool take_tone(struct cw_args *args, int id, struct request *request)
{
    struct cw_split_wish *wish = &request->wish;
    bool balance = id == OPT_BRIGHTNESS;
    if (wish->tone != CW_TONE_ANY) {
        cw_bad_usage(&usage, "--brightness and --resonance: expected one of them, once");
        return false;
    }
    wish->tone = balance ? CW_TONE_BALANCE : CW_TONE_RESONANCE;
    double low = balance ? -40.0 : 700.0, high = balance ? 40.0 : 20000.0;
    if (cw_quantity_parse(args->value, balance ? CW_UNIT_DB : CW_UNIT_HZ, &wish->tone_value) &&
        wish->tone_value >= low && wish->tone_value <= high) {
        return true;
    }
    cw_bad_usage(&usage, "--%s: expected %s, found '%s'", args->option->name,
                 balance ? "a change of treble from -40dB to 40dB" : "a frequency from 700 Hz to 20 kHz", args->value);
    return false;
}

static bool take_kind(struct cw_args *args, struct request *request)
{
    for (int by = 0; by < CW_SPLIT_KINDS; by++) {
        if (strcmp(args->value, cw_split_kind[by].word) == 0) {
            request->wish.kinds |= 1u << by;
            return true;
        }
    }
    char what[200];
    struct cw_nearest nearest = {0};
    for (int by = 0; by < CW_SPLIT_KINDS; by++) {
        cw_nearest_try(&nearest, args->value, cw_split_kind[by].word);
    }
    snprintf(what, sizeof what, "one of %s", kind_words + 2);
    cw_bad_word(args, what, nearest.word);
    return false;
}

static bool take_coil(struct cw_args *args, struct request *request)
{
    static const struct {
        const char *word;
        unsigned coils;
    } row[] = {{"one", 1u << CW_SPLIT_COIL_ONE},
               {"two", 1u << CW_SPLIT_COIL_TWO},
               {"either", 1u << CW_SPLIT_COIL_ONE | 1u << CW_SPLIT_COIL_TWO}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        if (strcmp(args->value, row[i].word) == 0) {
            request->wish.coils = row[i].coils;
            return true;
        }
    }
    cw_bad_usage(&usage, "--reduce: expected one, two or either, found '%s'", args->value);
    return false;
}

static bool take_series(struct cw_args *args, enum cw_series *series)
{
    if (cw_series_parse(args->value, series)) {
        return true;
    }
    cw_bad_usage(&usage, "--%s: expected E12, E24 or E96, found '%s'", args->option->name, args->value);
    return false;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_AT_MOST: return request->wish.tone_at_most = true;
    case OPT_BAND: return take_band(args, request);
    case OPT_BRIGHTNESS:
    case OPT_RESONANCE: return take_tone(args, id, request);
    case OPT_BY: return take_kind(args, request);
    case OPT_CAPACITORS: request->capacitors_given = true; return take_series(args, &request->wish.capacitors);
    case OPT_CHANNEL: return cw_args_count(args, 1, 1024, &request->channel);
    case OPT_CSV: return request->csv = true;
    case OPT_WIDE: return request->wide = true;
    case OPT_DI: request->di = args->value; return true;
    case OPT_FORCE: return request->force = true;
    case OPT_LEVEL: return take_level(args, request);
    case OPT_MEASURE: return take_measure(args, request);
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_RECORDED: request->sources.recorded = args->value; return true;
    case OPT_REDUCE: return take_coil(args, request);
    case OPT_SERIES: return take_series(args, &request->wish.resistors);
    case OPT_SET: return cw_args_edit(args, &request->sources.edits, 1u << CW_G_MAINS);
    default: return cw_journal_take(args, id, &request->journal);
    }
}

static bool sensible(const struct request *request)
{
    const char *trouble = NULL;
    if (request->sources.count != 1) {
        trouble = request->sources.count ? "expected one CANDIDATE, found several" : "expected a CANDIDATE, found none";
    } else if (!request->level) {
        trouble = "expected a wanted level (--level 75%), found none";
    } else if (request->di && request->measure_given) {
        trouble = "--di is a measure of its own: expected no --measure beside it";
    } else if (request->band_given && (request->di || request->wish.measure.kind != CW_MEASURE_FLAT)) {
        trouble = "--band belongs to --measure flat";
    } else if (!request->di && (request->channel || request->sources.recorded)) {
        trouble = "--channel and --recorded belong to --di";
    } else if (request->wish.tone_at_most && request->wish.tone == CW_TONE_ANY) {
        trouble = "--at-most belongs to --brightness or --resonance";
    }
    if (trouble) {
        cw_bad_usage(&usage, "%s", trouble);
    }
    return !trouble;
}

/* What was not asked for stands at its default. */
static void fill_defaults(struct request *request)
{
    struct cw_split_wish *wish = &request->wish;
    struct cw_controls defaults;
    cw_controls_defaults(&defaults);
    cw_edits_apply_globals(&request->sources.edits, defaults.global);
    wish->mains = defaults.global[CW_G_MAINS];
    if (!wish->kinds) {
        wish->kinds = (1u << CW_SPLIT_KINDS) - 1;
    }
    if (!request->capacitors_given) {
        wish->capacitors = wish->resistors;
    }
    if (wish->measure.kind == CW_MEASURE_FLAT && !request->band_given) {
        wish->measure.low = 80.0;
        wish->measure.high = 1000.0;
    }
}

/* \return -1 to go on, else the exit status */
static int read_arguments(int argc, char **argv, struct request *request, char **names)
{
    int status = cw_args_read(&usage, argc, argv, take_option, request, names, &request->sources.count);
    request->sources.file = names;
    if (status >= 0) {
        return status;
    }
    if (!sensible(request)) {
        return CW_BAD_USAGE;
    }
    fill_defaults(request);
    return -1;
}

/* ---- the work ------------------------------------------------------------------------------ */

/* The one candidate that was named, fit to be split. */
static const struct cw_candidate *candidate_of(const struct cw_candidates *list, const char *name)
{
    if (list->count != 1) {
        cw_error_at(name, 0, "expected one candidate, found a comparison of two (#a or #b after the name chooses)");
        return NULL;
    }
    const struct cw_candidate *candidate = &list->item[0];
    enum cw_coils coils = (enum cw_coils)(int)candidate->setup.value[CW_P_COILS];
    if (coils != CW_COILS_SERIES) {
        cw_error_at(name, 0, "expected two coils in series, found %s: there is nothing to split",
                    coils == CW_COILS_ONE ? "one coil" : "two in parallel");
        return NULL;
    }
    if (candidate->setup.value[CW_P_VOLUME] <= 0.0) {
        cw_error_at(name, 0, "expected a candidate that is heard, found its volume at 0");
        return NULL;
    }
    return cw_turns_fit(name, &candidate->setup) ? candidate : NULL;
}

static bool load_take(const struct request *request, const struct cw_loaded *loaded, struct cw_take *take)
{
    struct cw_curve recorded, full;
    struct cw_setup setup = loaded->list.item[0].setup;
    setup.value[CW_P_SPLIT] = 0.0;
    cw_curve_init(&full, &setup, NULL);
    cw_curve_init(&recorded, &setup, loaded->has_recorded ? &loaded->recorded.setup : NULL);
    if (!cw_take_load(take, request->di, (int)request->channel, recorded.divided ? &recorded.recorded : NULL)) {
        return false;
    }
    if (!isfinite(cw_take_loudness(take, &full.response))) {
        cw_error_at(request->di, 0,
                    "expected a recording louder than -70 LUFS through the candidate, found it quieter");
        return false;
    }
    return true;
}

static bool nothing_reached(const struct cw_split_wish *wish, const struct cw_split_answer *answer)
{
    const struct cw_split_solution *nearest = NULL;
    for (int i = 0; i < answer->count; i++) {
        const struct cw_split_solution *s = &answer->solution[i];
        if (s->reached) {
            return false;
        }
        if (!nearest ||
            fabs(cw_split_level_error(wish, &s->before)) < fabs(cw_split_level_error(wish, &nearest->before))) {
            nearest = s;
        }
    }
    char parts[96], wanted[32], got[32];
    cw_error("no split reaches %s; the nearest is %s (%s, %s)", cw_print_db(wish->level, 2, wanted, sizeof wanted),
             cw_print_db(nearest->before.level, 2, got, sizeof got), cw_split_kind[nearest->by].brief,
             cw_split_parts(&nearest->rounded, nearest->turns_kept, nearest->turns, parts, sizeof parts));
    return true;
}

/* ---- the directory ------------------------------------------------------------------------- */

static bool save_preset(struct cw_folder *folder, const char *name, const char *label, const char *comment,
                        const struct cw_candidate *candidate, const struct cw_setup *setup)
{
    const struct cw_setup *const setups[CW_SETUPS] = {[CW_A] = setup};
    struct cw_known known = candidate->known;
    const struct cw_preset_words words = {.known = {[CW_A] = &known}};
    char file[64];
    snprintf(file, sizeof file, "%s.ttl", name);
    const char *path = cw_folder_file(folder, file);
    cw_known_follow(&known, &candidate->setup, setup);
    return path && cw_worded_save(path, label, comment, setups, &words, true);
}

static bool save_solution(struct cw_folder *folder, const struct cw_candidate *candidate,
                          const struct cw_split_answer *answer, int index)
{
    const struct cw_split_solution *s = &answer->solution[index];
    char name[40], file[48], parts[96], title[160], own[90], whole[400], full_label[CW_LABEL_BYTES_MAX + 1],
        words[CW_SPLIT_TEXT], note[CW_SPLIT_TEXT];
    cw_split_file_name(answer, index, name, sizeof name);
    cw_split_parts(&s->rounded, s->turns_kept, s->turns, parts, sizeof parts);
    snprintf(title, sizeof title, "%s, %s", cw_split_kind[s->by].brief, parts);
    snprintf(whole, sizeof whole, "%s, split: %s", cw_text_fit(candidate->label, own, sizeof own), title);
    cw_text_fit(whole, full_label, sizeof full_label);
    cw_split_words(answer, s, words);
    char level[32], treble[32], hum[32], buzz[32];
    snprintf(note, sizeof note, "Level %s, treble %s, hum %s and buzz %s against one coil. %s",
             cw_print_db(s->after.level, 2, level, sizeof level),
             cw_print_db(s->after.balance, 1, treble, sizeof treble), cw_print_noise(s->after.hum, hum, sizeof hum),
             cw_print_noise(s->after.buzz, buzz, sizeof buzz), own);
    if (!save_preset(folder, name, full_label, words, candidate, &s->rounded)) {
        return false;
    }
    const struct cw_schematic schematic = {&s->rounded, title, note, s->turns_kept, s->turns};
    snprintf(file, sizeof file, "%s.svg", name);
    const char *path = cw_folder_file(folder, file);
    return path && cw_schematic_save(&schematic, path, true);
}

static void plot_setup(struct cw_plot *plot, const char *label, const struct cw_setup *setup, bool faint)
{
    struct cw_curve curve;
    cw_curve_init(&curve, setup, NULL);
    cw_plot_curve_add(plot, label, &curve, faint);
}

/* What each split changes against the full pickup: a hole in the middle is seen at once. */
static void plot_differences(struct cw_plot *plot, const struct cw_plot *levels)
{
    cw_plot_clear(plot);
    plot->axis = CW_PLOT_DIFFERENCE;
    cw_plot_text(plot->title, "Against the full pickup");
    const struct cw_plot_curve *full = &levels->curve[0];
    for (size_t i = 1; i < levels->count; i++) {
        const struct cw_plot_curve *level = &levels->curve[i];
        struct cw_plot_curve *curve = cw_plot_add(plot, level->label);
        curve->style = level->style;
        curve->faint = level->faint;
        for (int k = 0; k < CW_PLOT_POINTS; k++) {
            curve->value[k] = level->value[k] - full->value[k];
        }
    }
}

static void plot_levels(struct cw_plot *plot, const char *label, const struct cw_split_answer *answer)
{
    cw_plot_clear(plot);
    cw_plot_text(plot->title, label);
    plot_setup(plot, "Full", &answer->full, true);
    plot_setup(plot, "One coil alone", &answer->plain, true);
    for (int i = 0; i < answer->count; i++) {
        const struct cw_split_solution *s = &answer->solution[i];
        char parts[96], name[160];
        cw_split_parts(&s->rounded, s->turns_kept, s->turns, parts, sizeof parts);
        snprintf(name, sizeof name, "%d: %s, %s", i + 1, cw_split_kind[s->by].brief, parts);
        plot_setup(plot, name, &s->rounded, false);
    }
}

static bool save_plot(struct cw_folder *folder, const char *label, const struct cw_split_answer *answer)
{
    struct cw_plot *plot = malloc(2 * sizeof *plot);
    if (!plot) {
        cw_error_memory();
        return false;
    }
    plot_levels(&plot[0], label, answer);
    plot_differences(&plot[1], &plot[0]);
    const struct cw_plot *pages[2] = {&plot[0], &plot[1]};
    const struct cw_plot_size size = {1000.0, 1000.0, 1.0};
    const char *path = cw_folder_file(folder, "response.svg");
    bool good = path && cw_plot_save(pages, 2, path, size, true);
    free(plot);
    return good;
}

static bool save_table(struct cw_folder *folder, const struct cw_split_answer *answer)
{
    struct cw_output output;
    const char *path = cw_folder_file(folder, "split.csv");
    if (!path || !cw_output_open(&output, path, true)) {
        return false;
    }
    if (!cw_split_print_csv(output.stream, answer)) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

static bool fill_folder(struct cw_folder *folder, const struct cw_candidate *candidate,
                        const struct cw_split_answer *answer)
{
    char own[160], full[CW_LABEL_BYTES_MAX + 1], plain[CW_LABEL_BYTES_MAX + 1];
    cw_text_fit(candidate->label, own, sizeof own);
    snprintf(full, sizeof full, "%s, full", own);
    snprintf(plain, sizeof plain, "%s, one coil alone", own);
    bool good =
        save_preset(folder, "00-full", full, "Both coils, for comparison with the splits.", candidate, &answer->full) &&
        save_preset(folder, "00-one-coil", plain, "One coil alone, for comparison with the splits.", candidate,
                    &answer->plain);
    for (int i = 0; good && i < answer->count; i++) {
        good = save_solution(folder, candidate, answer, i);
    }
    return good && save_plot(folder, candidate->label, answer) && save_table(folder, answer);
}

static bool write_folder(const struct request *request, const struct cw_candidate *candidate,
                         const struct cw_split_answer *answer)
{
    struct cw_folder folder;
    if (!cw_folder_open(&folder, request->output, request->force)) {
        return false;
    }
    if (!fill_folder(&folder, candidate, answer) || cw_folder_interrupted()) {
        cw_folder_abandon(&folder);
        return false;
    }
    return cw_folder_commit(&folder);
}

static void print_next_step(const struct request *request)
{
    fputs("\nPresets, schematics, response.svg and split.csv are in ", stdout);
    cw_print_shown(stdout, request->output);
    fputs(". To hear them:\n  coilwright audition --di ", stdout);
    cw_print_word(stdout, request->di ? request->di : "RECORDING.wav");
    fputs(" --recorded ", stdout);
    cw_print_word(stdout, request->sources.recorded ? request->sources.recorded : "THROUGH.ttl");
    fputs(" -o ", stdout);
    cw_print_word(stdout, request->output);
    fputs("-sound ", stdout);
    cw_print_word(stdout, request->output);
    puts("/*.ttl");
}

static bool note(const struct request *request, const struct cw_candidate *candidate,
                 const struct cw_split_answer *answer)
{
    struct cw_entry entry;
    if (!cw_entry_begin(&entry, &request->journal, "split")) {
        return false;
    }
    cw_entry_add_setup(&entry, "candidate", candidate->label, &candidate->setup);
    cw_entry_add(&entry, "level", "%s", request->level);
    cw_entry_add_file(&entry, "recording", request->di);
    for (int i = 0; i < answer->count; i++) {
        const struct cw_split_solution *s = &answer->solution[i];
        char parts[96], level[32];
        cw_split_parts(&s->rounded, s->turns_kept, s->turns, parts, sizeof parts);
        cw_entry_add(&entry, "split", "%s, %s: %s", cw_split_kind[s->by].brief, parts,
                     cw_print_db(s->after.level, 2, level, sizeof level));
    }
    if (request->output) {
        cw_entry_add(&entry, "output", "%s", request->output);
    }
    return cw_entry_finish(&entry, request->csv ? NULL : stdout);
}

static int solve(struct request *request, const struct cw_loaded *loaded, struct cw_take *take,
                 struct cw_split_answer *answer)
{
    const struct cw_candidate *candidate = candidate_of(&loaded->list, request->sources.file[0]);
    struct cw_split_wish *wish = &request->wish;
    if (!candidate || !cw_journal_ready(&request->journal) || (request->di && !load_take(request, loaded, take))) {
        return CW_FAILED;
    }
    if (request->di) {
        wish->measure.kind = CW_MEASURE_TAKE;
        wish->measure.take = take;
    }
    if (!wish->coils) {
        wish->coils = 1u << (int)candidate->setup.value[CW_P_SPLIT_COIL];
    }
    cw_split_solve(&candidate->setup, wish, answer);
    bool printed = request->csv ? cw_split_print_csv(stdout, answer)
                                : cw_split_print(stdout, candidate->label, wish, answer, request->wide);
    if (!printed || !cw_stdout_finish() || nothing_reached(wish, answer)) {
        return CW_FAILED;
    }
    if (request->output && !write_folder(request, candidate, answer)) {
        return CW_FAILED;
    }
    if (request->output && !request->csv) {
        print_next_step(request);
    }
    return note(request, candidate, answer) && cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

const struct cw_usage *cw_usage_split(void) { return &usage; }

int cw_cmd_split(int argc, char **argv)
{
    struct request request = {.wish = {.measure = {.kind = CW_MEASURE_LOUDNESS}}};
    struct cw_loaded loaded = {0};
    struct cw_take take = {0};
    char **names = calloc((size_t)argc, sizeof *names);
    struct cw_split_answer *answer = malloc(sizeof *answer);
    int status = CW_FAILED;
    if (names && answer) {
        status = read_arguments(argc, argv, &request, names);
    } else {
        cw_error_memory();
    }
    if (status < 0) {
        status = cw_sources_load(&request.sources, &loaded);
        if (status == CW_DONE) {
            status = solve(&request, &loaded, &take, answer);
        }
    }
    cw_take_free(&take);
    cw_loaded_free(&loaded);
    cw_edits_free(&request.sources.edits);
    free(names);
    free(answer);
    return status;
}
