/* SPDX-License-Identifier: ISC */
/* coilwright match: windable specs that come near a target. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arguments.h"
#include "candidate.h"
#include "command.h"
#include "edits.h"
#include "escape.h"
#include "known.h"
#include "leads_table.h"
#include "match_page.h"
#include "match_report.h"
#include "match_run.h"
#include "match_takes.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "quantity.h"
#include "setup.h"
#include "take_tone.h"
#include "wind_search.h"

enum option {
    OPT_BASE = 1,
    OPT_CHANNEL,
    OPT_CSV,
    OPT_DI,
    OPT_EACH,
    OPT_FORCE,
    OPT_LIST,
    OPT_OUTPUT,
    OPT_RECORDED,
    OPT_SECOND,
    OPT_SET,
    OPT_TAKES,
    OPT_TARGET_ERROR,
    OPT_TURNS,
    OPT_WISH,
    OPT_AXIS = OPT_WISH + CW_WISHES
};

#define LIMIT_HELP " separated by commas; default "

static const struct cw_option options[] = {
    CW_HEADING("What is sought"),
    {OPT_WISH + CW_WISH_RESONANCE, "resonance", 0, "HZ", "A loaded resonance, 200 to 20000 Hz; default no wish."},
    {OPT_WISH + CW_WISH_PEAK, "peak", 0, "DB", "Height of its peak, 0 to 30 dB; default no wish."},
    {OPT_WISH + CW_WISH_LEVEL, "level", 0, "DB",
     "Level below 630 Hz, -40 to 40 dB, against TARGET, or against the reference coil's EMF; default no wish."},
    {OPT_WISH + CW_WISH_RESISTANCE, "dc-resistance", 0, "OHM",
     "DC resistance at the leads, 100 ohm to 100 kohm; default no wish."},
    {OPT_TARGET_ERROR, "target-error", 0, "DB",
     "How far the target may be off, two standard deviations, 0 to 20 dB; default 0."},
    {OPT_TAKES, "takes", 0, NULL,
     "MINE.wav and THEIRS.wav in place of TARGET: one phrase on both; mine is the pickup of --base."},
    {OPT_SET, "set", 0, "SYMBOL=VALUE", "Change a control of target and specs; may be repeated."},
    CW_HEADING("What may be wound"),
    {OPT_BASE, "base", 0, "FILE", "Vary this winding; default the target where it is one, else the table's defaults."},
    {OPT_TURNS, "turns", 0, "LOW..HIGH", "Turns of coil one, 500 to 15000; one number holds them; default all."},
    {OPT_SECOND, "second-turns", 0, "LOW..HIGH",
     "Turns of coil two, 50 to 150 % of coil one's; default those of the base."},
    {OPT_AXIS + CW_AXIS_GAUGE, "gauge", 0, "LIST", "Wire gauges, 38 to 46, as in 42,43," LIMIT_HELP "all."},
    {OPT_AXIS + CW_AXIS_INSULATION, "insulation", 0, "WORDS", "Builds of enamel," LIMIT_HELP "all."},
    {OPT_AXIS + CW_AXIS_FORMER, "former", 0, "WORDS", "Formers," LIMIT_HELP "all."},
    {OPT_AXIS + CW_AXIS_CORE, "core", 0, "WORDS", "Cores," LIMIT_HELP "all."},
    {OPT_AXIS + CW_AXIS_MAGNET, "magnet", 0, "WORDS", "Magnets," LIMIT_HELP "all."},
    {OPT_AXIS + CW_AXIS_POTTING, "potting", 0, "WORDS", "Pottings," LIMIT_HELP "all."},
    {OPT_AXIS + CW_AXIS_COVER, "cover", 0, "WORDS", "Covers," LIMIT_HELP "all but by values."},
    {OPT_AXIS + CW_AXIS_COILS, "coils", 0, "WORDS", "One coil, or two in series or parallel," LIMIT_HELP "the base's."},
    {OPT_AXIS + CW_AXIS_SPLIT, "split", 0, "WORDS", "Split off, on or both," LIMIT_HELP "the base's."},
    {OPT_AXIS + CW_AXIS_SPLIT_BY, "split-by", 0, "WORDS", "Kinds of split," LIMIT_HELP "the base's."},
    CW_HEADING("What is written"),
    {OPT_LIST, "list", 0, "N", "Rows of the list, 1 to 200; default 20."},
    {OPT_EACH, "each", 0, NULL, "List every insulation, potting and magnet, not the nearest of a row only."},
    {OPT_CSV, "csv", 0, NULL, "Print the list as CSV."},
    {OPT_OUTPUT, "output", 'o', "DIR", "Write presets and a page to hear them to the directory DIR; default nothing."},
    {OPT_DI, "di", 0, "FILE", "With -o: the recording to hear them through; default a phrase of our own."},
    {OPT_CHANNEL, "channel", 0, "N", "Take channel N, 1 to 1024, of a recording with several; default the only one."},
    {OPT_RECORDED, "recorded", 0, "FILE", "With --di: divide out the recorded-through setup of FILE; default nothing."},
    {OPT_FORCE, "force", 'f', NULL, "Replace the results that are there already."},
};

static const struct cw_usage usage = {
    "match",
    "[TARGET | MINE.wav THEIRS.wav]",
    "Windable specs that come near a target: a preset, as of a measured instrument, or wishes, or both. Every wire,\n"
    "former, core, magnet, potting and cover is tried, the turns solved for each within the former's room, and the\n"
    "nearest are listed, each with what the model leaves open; those that cannot be told apart as equal.",
    options,
    sizeof options / sizeof options[0],
    "Near is the largest difference of an auditory band once levels are matched, in times just noticeable, as in\n"
    "compare; a wish counts by what is just noticed of it (resonance and resistance 5 %, peak 1.4 dB, level 1 dB), "
    "and\n"
    "the worst of all is made least. Controls, cable and split are the target's, without one the base's.\n"
    "With --takes the target is what two recordings of one phrase say of the other's pickup: little, and the\n"
    "interval says how little; --base and --set are then the pickup, guitar and cable of mine.\n"
    "Of a base that is calibrated on a measured coil (new --from-measured) only wire and turns vary, unless\n"
    "other choices are named. The list is of a model: wind one, measure it, calibrate, and ask again.",
};

struct request {
    struct cw_edits edits;
    const char *base, *output;
    const char *limit[CW_AXES];
    double turns[2], second[2];
    bool has_turns, has_second, csv, force, takes;
    long list, channel;
    struct cw_wind_target wishes;
    struct cw_match_sound play;
};

/* ---- the command line ------------------------------------------------------------------------------ */

static const struct {
    enum cw_unit unit;
    double scale, low, high; /* of the unit to SI; limits in SI */
    const char *range;
} wish_info[CW_WISHES] = {
    [CW_WISH_RESONANCE] = {CW_UNIT_HZ, 1.0, 200.0, 20000.0, "200 to 20000 Hz"},
    [CW_WISH_PEAK] = {CW_UNIT_DB, 1.0, 0.0, 30.0, "0 to 30 dB"},
    [CW_WISH_LEVEL] = {CW_UNIT_DB, 1.0, -40.0, 40.0, "-40 to 40 dB"},
    [CW_WISH_RESISTANCE] = {CW_UNIT_KOHM, 1000.0, 100.0, 100e3, "100 ohm to 100 kohm"},
};

static bool take_wish(struct cw_args *args, enum cw_wish_id id, struct cw_wind_target *wishes)
{
    double value = 0.0;
    bool good = cw_quantity_parse(args->value, wish_info[id].unit, &value);
    value *= wish_info[id].scale;
    if (!good || !(value >= wish_info[id].low && value <= wish_info[id].high)) {
        cw_bad_usage(args->usage, "--%s: expected %s, found '%s'", args->option->name, wish_info[id].range,
                     args->value);
        return false;
    }
    wishes->wish[id] = value;
    return wishes->wished[id] = true;
}

/* LOW..HIGH, or one number for both. */
static bool take_range(struct cw_args *args, enum cw_param_id id, double range[2])
{
    const struct cw_param_info *info = &cw_param_info[id];
    const char *dots = strstr(args->value, "..");
    char text[2][32];
    snprintf(text[0], sizeof text[0], "%.*s", dots ? (int)(dots - args->value) : 31, args->value);
    snprintf(text[1], sizeof text[1], "%s", dots ? dots + 2 : args->value);
    for (int i = 0; i < 2; i++) {
        char why[CW_WHY_SIZE];
        if (!cw_value_parse(info, text[i], &range[i], why)) {
            cw_bad_usage(args->usage, "--%s: %s", args->option->name, why);
            return false;
        }
    }
    if (range[0] > range[1]) {
        cw_bad_usage(args->usage, "--%s: expected the lower limit first, found '%s'", args->option->name, args->value);
        return false;
    }
    return true;
}

static bool take_target_error(struct cw_args *args, double *told)
{
    if (cw_quantity_parse(args->value, CW_UNIT_DB, told) && *told >= 0.0 && *told <= 20.0) {
        return true;
    }
    cw_bad_usage(args->usage, "--target-error: expected 0 to 20 dB, found '%s'", args->value);
    return false;
}

struct taking {
    struct request request;
    struct cw_match *match;
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct taking *taking = to;
    struct request *request = &taking->request;
    switch (id) {
    case OPT_BASE: request->base = args->value; return true;
    case OPT_CHANNEL: return cw_args_count(args, 1, 1024, &request->channel);
    case OPT_CSV: return request->csv = true;
    case OPT_DI: request->play.di = args->value; return true;
    case OPT_EACH: return taking->match->each = true;
    case OPT_FORCE: return request->force = true;
    case OPT_LIST: return cw_args_count(args, 1, CW_MATCH_ROWS_MAX, &request->list);
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_RECORDED: request->play.recorded = args->value; return true;
    case OPT_SECOND: return request->has_second = take_range(args, CW_P_SECOND_TURNS, request->second);
    case OPT_SET: return cw_args_edit(args, &request->edits, 0);
    case OPT_TAKES: return request->takes = true;
    case OPT_TARGET_ERROR: return take_target_error(args, &taking->match->told);
    case OPT_TURNS: return request->has_turns = take_range(args, CW_P_TURNS, request->turns);
    default: break;
    }
    if (id >= OPT_AXIS) {
        request->limit[id - OPT_AXIS] = args->value;
        return true;
    }
    return take_wish(args, (enum cw_wish_id)(id - OPT_WISH), &request->wishes);
}

static bool wishes_any(const struct cw_wind_target *wishes)
{
    bool any = false;
    for (int i = 0; i < CW_WISHES; i++) {
        any = any || wishes->wished[i];
    }
    return any;
}

static int sensible(const struct request *request, size_t operands)
{
    if (request->takes && operands != 2) {
        return cw_bad_usage(&usage, "--takes: expected MINE.wav and THEIRS.wav, found %zu files", operands);
    }
    if (!request->takes && operands > 1) {
        return cw_bad_usage(&usage, "expected one TARGET, found %zu", operands);
    }
    if (operands == 0 && !wishes_any(&request->wishes)) {
        return cw_bad_usage(&usage, "expected a TARGET or a wish such as --resonance 3.1k, found neither");
    }
    if (!request->output && (request->play.di || request->play.recorded || (request->channel && !request->takes))) {
        return cw_bad_usage(&usage, "--di, --recorded and --channel are for the page: expected -o DIR with them");
    }
    if (!request->play.di && (request->play.recorded || (request->channel && !request->takes))) {
        return cw_bad_usage(&usage, "--recorded and --channel are of a recording: expected --di FILE with them");
    }
    return -1;
}

/* ---- the search ------------------------------------------------------------------------------------- */

/* The values of one axis as they were named. */
static bool limit_axis(const char *name, const struct cw_param_info *info, const char *text, struct cw_wind_axis *axis)
{
    axis->count = 0;
    while (text) {
        const char *comma = strchr(text, ',');
        char word[64], why[CW_WHY_SIZE];
        double value = 0.0;
        snprintf(word, sizeof word, "%.*s", comma ? (int)(comma - text) : 63, text);
        if (!cw_value_parse(info, word, &value, why)) {
            cw_bad_usage(&usage, "--%s: %s", name, why);
            return false;
        }
        bool there = false;
        for (int i = 0; i < axis->count; i++) {
            there = there || axis->value[i] == value;
        }
        if (!there && axis->count < CW_AXIS_MOST) {
            axis->value[axis->count++] = value;
        }
        text = comma ? comma + 1 : NULL;
    }
    return true;
}

static const char *option_name(int id)
{
    const char *name = "";
    for (size_t i = 0; i < usage.option_count; i++) {
        name = options[i].id == id ? options[i].name : name;
    }
    return name;
}

static int limit_search(const struct request *request, struct cw_wind_search *search)
{
    for (int i = 0; i < CW_AXES; i++) {
        const struct cw_param_info *info = &cw_param_info[cw_wind_axis_param((enum cw_wind_axis_id)i)];
        if (request->limit[i] && !limit_axis(option_name(OPT_AXIS + i), info, request->limit[i], &search->axis[i])) {
            return CW_BAD_USAGE;
        }
    }
    if (request->has_turns) {
        search->turns_low = request->turns[0];
        search->turns_high = request->turns[1];
    }
    if (request->has_second) {
        search->second_low = request->second[0];
        search->second_high = request->second[1];
    }
    if (cw_wind_kinds(search) > CW_MATCH_KINDS_MAX) {
        return cw_bad_usage(&usage, "expected at most %d combinations, found %zu: name fewer of --coils or --split-by",
                            CW_MATCH_KINDS_MAX, cw_wind_kinds(search));
    }
    return -1;
}

/* One candidate of a file. */
static bool load_one(const char *name, const struct cw_edits *edits, struct cw_candidates *list)
{
    if (!cw_candidates_add(list, name, edits)) {
        return false;
    }
    if (list->count != 1) {
        cw_error_at(name, 0, "expected one candidate, found %zu: name one as FILE#a or FILE#b", list->count);
        return false;
    }
    return cw_turns_fit(name, &list->item[0].setup);
}

static bool of_guitar(enum cw_param_id id)
{
    switch (cw_param_info[id].group) {
    case CW_GROUP_CONTROLS:
    case CW_GROUP_CABLE:
    case CW_GROUP_SPLIT:
    case CW_GROUP_STRING: return true;
    default: return id == CW_P_COILS;
    }
}

/* What is varied: the base's winding in the target's guitar. */
static bool load_base(const struct request *request, const struct cw_candidate *target, struct cw_setup *base,
                      struct cw_known *known)
{
    struct cw_candidates list = {0};
    bool good = true;
    cw_setup_defaults(base);
    if (request->base) {
        good = load_one(request->base, &request->edits, &list);
        *base = good ? list.item[0].setup : *base;
        *known = good ? list.item[0].known : *known;
        if (good && base->value[CW_P_COIL_FROM] != CW_FROM_WINDING && !request->takes) {
            cw_error_at(request->base, 0, "expected a winding to vary (coil_from), found measured values");
            good = false;
        }
    } else if (target && target->setup.value[CW_P_COIL_FROM] == CW_FROM_WINDING) {
        *base = target->setup;
        *known = target->known;
    } else if (!target) {
        cw_edits_apply(&request->edits, 1u << CW_A | CW_AS_CANDIDATE, base);
    }
    const struct cw_setup found = *base;
    for (int i = 0; target && i < CW_PARAMS; i++) {
        if (of_guitar((enum cw_param_id)i) && !(request->base && i == CW_P_COILS)) {
            base->value[i] = target->setup.value[i];
        }
    }
    cw_known_follow(known, &found, base);
    cw_candidates_free(&list);
    return good;
}

/* Why nothing fits, by the combination with the most room. */
static void tell_no_room(const struct cw_wind_search *search)
{
    double most = -1.0;
    char gauge[32], former[40];
    struct cw_setup setup, best = search->base;
    for (size_t kind = 0; kind < cw_wind_kinds(search); kind++) {
        cw_wind_kind(search, kind, &setup);
        double room = cw_wind_room(search, &setup);
        if (room > most) {
            most = room;
            best = setup;
        }
    }
    cw_error("expected turns that fit a former, found at least %.0f: of what may be wound, %s on a %s has the most "
             "room, %.0f turns",
             search->turns_low, cw_value_print(&cw_param_info[CW_P_GAUGE], best.value[CW_P_GAUGE], gauge, sizeof gauge),
             cw_value_print(&cw_param_info[CW_P_FORMER], best.value[CW_P_FORMER], former, sizeof former), most);
}

static int report(const struct request *request, const struct cw_match *match, const struct cw_candidate *target)
{
    if (!cw_match_print(stdout, match, target ? target->label : NULL, request->csv)) {
        return CW_FAILED;
    }
    if (request->output) {
        if (!cw_match_write(match, target, &request->play, request->output, request->force)) {
            return CW_FAILED;
        }
        if (!request->csv) {
            char shown[CW_SHOWN_BYTES];
            printf("To hear them (volume low first): %s/index.html\n", cw_show(request->output, shown, sizeof shown));
        }
    }
    return cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

/* The other's pickup from two recordings, and how unsure it is. */
static bool load_takes(const struct request *request, char **names, struct cw_match *match, struct cw_candidates *list)
{
    struct cw_tone tone;
    const char *base = request->base;
    struct cw_setup mine;
    if (base && !load_one(base, &request->edits, list)) {
        return false;
    }
    cw_setup_defaults(&mine);
    cw_edits_apply(&request->edits, 1u << CW_A | CW_AS_CANDIDATE, &mine);
    mine = base ? list->item[0].setup : mine;
    if (!cw_match_takes(names[0], names[1], (int)request->channel, &mine, &tone)) {
        return false;
    }
    if (!request->csv) {
        cw_match_takes_print(stdout, &tone);
    }
    cw_candidates_free(list);
    *list = (struct cw_candidates){.item = calloc(1, sizeof *list->item)};
    if (!list->item) {
        cw_error_memory();
        return false;
    }
    list->count = 1;
    list->item[0] = (struct cw_candidate){.label = strdup("theirs, by its recording"), .setup = tone.setup};
    match->told = fmax(match->told, tone.unsure);
    return list->item[0].label != NULL;
}

static int run(struct request *request, struct cw_match *match, const struct cw_candidate *target)
{
    struct cw_setup base;
    struct cw_known known = {.given = false};
    if (!load_base(request, target, &base, &known)) {
        return CW_FAILED;
    }
    cw_wind_search_init(&match->search, &base);
    match->search.known = known;
    int status = limit_search(request, &match->search);
    if (status >= 0) {
        return status;
    }
    match->search.target = request->wishes;
    if (target) {
        cw_wind_target_bands(&match->search.target, &target->setup);
    }
    match->list = (size_t)request->list;
    request->play.channel = (int)request->channel;
    if (!cw_match_run(match)) {
        return CW_FAILED;
    }
    if (match->solved == 0) {
        tell_no_room(&match->search);
        return CW_FAILED;
    }
    return report(request, match, target);
}

const struct cw_usage *cw_usage_match(void) { return &usage; }

int cw_cmd_match(int argc, char **argv)
{
    struct taking taking = {.request = {.list = 20}};
    struct cw_candidates list = {0};
    char **names = calloc((size_t)argc, sizeof *names);
    size_t count = 0;
    int status = CW_FAILED;
    taking.match = calloc(1, sizeof *taking.match);
    if (names && taking.match) {
        status = cw_args_read(&usage, argc, argv, take_option, &taking, names, &count);
        status = status < 0 ? sensible(&taking.request, count) : status;
    } else {
        cw_error_memory();
    }
    if (status < 0) {
        bool good = taking.request.takes ? load_takes(&taking.request, names, taking.match, &list)
                                         : count == 0 || load_one(names[0], &taking.request.edits, &list);
        status = good ? run(&taking.request, taking.match, count ? &list.item[0] : NULL) : CW_FAILED;
    }
    cw_candidates_free(&list);
    cw_edits_free(&taking.request.edits);
    free(taking.match);
    free(names);
    return status;
}
