/* SPDX-License-Identifier: ISC */
#include "setup.h"

#include <math.h>
#include <string.h>

static const struct cw_point points_LISTEN[] = {
    {CW_LISTEN_RECORDED, "As recorded"}, {CW_LISTEN_A, "Candidate A"}, {CW_LISTEN_B, "Candidate B"}};
static const struct cw_point points_MAINS[] = {{50, "50 Hz"}, {60, "60 Hz"}};
static const struct cw_point points_COIL_FROM[] = {{CW_FROM_MEASURED, "Measured values"}, {CW_FROM_WINDING, "Winding"}};
static const struct cw_point points_COILS[] = {
    {CW_COILS_ONE, "One"}, {CW_COILS_SERIES, "Two in series"}, {CW_COILS_PARALLEL, "Two in parallel"}};
static const struct cw_point points_GAUGE[] = {
    {38, "AWG 38"}, {38.5, "AWG 38.5"}, {39, "AWG 39"}, {39.5, "AWG 39.5"}, {40, "AWG 40"}, {40.5, "AWG 40.5"},
    {41, "AWG 41"}, {41.5, "AWG 41.5"}, {42, "AWG 42"}, {42.5, "AWG 42.5"}, {43, "AWG 43"}, {43.5, "AWG 43.5"},
    {44, "AWG 44"}, {44.5, "AWG 44.5"}, {45, "AWG 45"}, {45.5, "AWG 45.5"}, {46, "AWG 46"}};
static const struct cw_point points_INSULATION[] = {{CW_INSULATION_SINGLE, "Single build"},
                                                    {CW_INSULATION_HEAVY, "Heavy build"}};
static const struct cw_point points_FORMER[] = {{CW_FORMER_DUAL, "Dual-coil bobbin"},
                                                {CW_FORMER_TALL, "Tall narrow bobbin"},
                                                {CW_FORMER_WIDE, "Wide flat bobbin"},
                                                {CW_FORMER_SHORT, "Short slim bobbin"}};
static const struct cw_point points_CORE[] = {{CW_CORE_STEEL_SLUGS, "Steel slugs"},
                                              {CW_CORE_STEEL_SCREWS, "Steel screws"},
                                              {CW_CORE_MAGNET_RODS, "Magnet rods"},
                                              {CW_CORE_FERRITE, "Ferrite"},
                                              {CW_CORE_AIR, "Air"}};
static const struct cw_point points_MAGNET[] = {{CW_MAGNET_ALNICO_2, "Alnico 2"}, {CW_MAGNET_ALNICO_3, "Alnico 3"},
                                                {CW_MAGNET_ALNICO_4, "Alnico 4"}, {CW_MAGNET_ALNICO_5, "Alnico 5"},
                                                {CW_MAGNET_ALNICO_8, "Alnico 8"}, {CW_MAGNET_CERAMIC, "Ceramic"}};
static const struct cw_point points_POTTING[] = {{CW_POTTING_NONE, "None"},
                                                 {CW_POTTING_PARAFFIN, "Paraffin"},
                                                 {CW_POTTING_BEESWAX, "Beeswax"},
                                                 {CW_POTTING_MIXED, "Paraffin with beeswax"}};
static const struct cw_point points_COVER[] = {{CW_COVER_NONE, "None"},
                                               {CW_COVER_NICKEL_SILVER, "Nickel silver"},
                                               {CW_COVER_BRASS, "Brass"},
                                               {CW_COVER_STEEL, "Steel"},
                                               {CW_COVER_BY_VALUES, "By values"}};
static const struct cw_point points_SPLIT_BY[] = {
#define CW_SPLIT_KIND(ID, word, label, ...) {CW_SPLIT_##ID, label},
#include "split_kinds.def"
};
static const struct cw_point points_TRACK[] = {{CW_TRACK_TWO_PIECES, "Two pieces"},
                                               {CW_TRACK_EXPONENTIAL, "Exponential"}};
static const struct cw_point points_SPLIT_COIL[] = {{CW_SPLIT_COIL_TWO, "Coil two"}, {CW_SPLIT_COIL_ONE, "Coil one"}};

static const struct cw_point points_NEAR_COIL[] = {{CW_NEAR_COIL_ONE, "Coil one"}, {CW_NEAR_COIL_TWO, "Coil two"}};
static const struct cw_point points_STRING[] = {{0, "Mean of six"}, {1, "E4, 330 Hz"}, {2, "B3, 247 Hz"},
                                                {3, "G3, 196 Hz"},  {4, "D3, 147 Hz"}, {5, "A2, 110 Hz"},
                                                {6, "E2, 82 Hz"}};

static const struct cw_point points_MATCH_BY[] = {{CW_MATCH_BY_ASSUMED, "Assumed spectrum"},
                                                  {CW_MATCH_BY_PLAYED, "What was played"}};

#define POINTS_NONE NULL, 0
#define POINTS_MATCH_BY LIST(MATCH_BY)
#define POINTS_NEAR_COIL LIST(NEAR_COIL)
#define POINTS_STRING LIST(STRING)
#define LIST(name) points_##name, sizeof points_##name / sizeof points_##name[0]
#define POINTS_LISTEN LIST(LISTEN)
#define POINTS_MAINS LIST(MAINS)
#define POINTS_COIL_FROM LIST(COIL_FROM)
#define POINTS_COILS LIST(COILS)
#define POINTS_GAUGE LIST(GAUGE)
#define POINTS_INSULATION LIST(INSULATION)
#define POINTS_FORMER LIST(FORMER)
#define POINTS_CORE LIST(CORE)
#define POINTS_MAGNET LIST(MAGNET)
#define POINTS_POTTING LIST(POTTING)
#define POINTS_COVER LIST(COVER)
#define POINTS_SPLIT_BY LIST(SPLIT_BY)
#define POINTS_SPLIT_COIL LIST(SPLIT_COIL)
#define POINTS_TRACK LIST(TRACK)

const struct cw_param_info cw_global_info[CW_GLOBALS] = {
#define CW_GLOBAL(ID, symbol, name, unit, lo, hi, preset, flags, points, meaning)                                      \
    {symbol, name, unit, lo, hi, preset, flags, POINTS_##points, CW_GROUP_COIL, meaning},
#include "parameters.def"
};

const struct cw_param_info cw_param_info[CW_PARAMS] = {
#define CW_PARAM(ID, symbol, name, unit, lo, hi, preset, flags, points, group, meaning)                                \
    {symbol, name, unit, lo, hi, preset, flags, POINTS_##points, CW_GROUP_##group, meaning},
#include "parameters.def"
};

const struct cw_param_info cw_meter_info[CW_METERS] = {
#define CW_METER(ID, symbol, name, unit, lo, hi, flags, meaning)                                                       \
    {symbol, name, unit, lo, hi, lo, flags, NULL, 0, CW_GROUP_COIL, meaning},
#include "parameters.def"
};

const struct cw_param_info cw_status_info[CW_STATUSES] = {
#define CW_STATUS(ID, symbol, name, unit, lo, hi, flags, points, meaning)                                              \
    {symbol, name, unit, lo, hi, lo, flags, POINTS_##points, CW_GROUP_COIL, meaning},
#include "parameters.def"
};

const char *const cw_setup_prefix[CW_SETUPS] = {"rec_", "a_", "b_"};
const char *const cw_setup_name[CW_SETUPS] = {"Recorded through", "Candidate A", "Candidate B"};
const char *const cw_group_name[CW_GROUPS] = {"coil", "winding", "split", "controls", "cable and input", "string"};

const char *cw_unit_symbol(enum cw_unit unit)
{
    static const char *const symbol[CW_UNITS] = {"", "dB", "Hz", "%", "H", "kΩ", "MΩ", "pF", "nF", "pF/m", "m", "mm"};
    return (unsigned)unit < CW_UNITS ? symbol[unit] : "";
}

bool cw_setup_equal(const struct cw_setup *a, const struct cw_setup *b)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        if (a->value[i] != b->value[i]) {
            return false;
        }
    }
    return true;
}

void cw_setup_defaults(struct cw_setup *setup)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        setup->value[i] = cw_param_info[i].preset;
    }
}

void cw_controls_defaults(struct cw_controls *controls)
{
    for (int i = 0; i < CW_GLOBALS; i++) {
        controls->global[i] = cw_global_info[i].preset;
    }
    for (int i = 0; i < CW_SETUPS; i++) {
        cw_setup_defaults(&controls->setup[i]);
    }
}

static double nearest_point(const struct cw_param_info *info, double value)
{
    double best = info->points[0].value;
    for (size_t i = 1; i < info->point_count; i++) {
        if (fabs(info->points[i].value - value) < fabs(best - value)) {
            best = info->points[i].value;
        }
    }
    return best;
}

double cw_param_clean(const struct cw_param_info *info, double value, double last)
{
    if (isnan(value)) {
        return last;
    }
    if (info->flags & CW_TOGGLE) {
        return value > 0.0 ? 1.0 : 0.0;
    }
    if (value < info->minimum) {
        value = info->minimum;
    } else if (value > info->maximum) {
        value = info->maximum;
    }
    if (info->flags & CW_ENUM) {
        return nearest_point(info, value);
    }
    return info->flags & CW_INTEGER ? floor(value + 0.5) : value;
}

int cw_param_find(const char *symbol)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        if (cw_param_info[i].symbol[0] == symbol[0] && strcmp(cw_param_info[i].symbol, symbol) == 0) {
            return i;
        }
    }
    return -1;
}

struct cw_place cw_place_find(const char *symbol)
{
    struct cw_place place = {false, false, CW_REC, -1};
    for (int i = 0; i < CW_GLOBALS; i++) {
        if (strcmp(cw_global_info[i].symbol, symbol) == 0) {
            place.found = place.global = true;
            place.index = i;
            return place;
        }
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        size_t length = strlen(cw_setup_prefix[which]);
        if (strncmp(symbol, cw_setup_prefix[which], length) == 0) {
            place.index = cw_param_find(symbol + length);
            place.which = (enum cw_which)which;
            place.found = place.index >= 0;
        }
    }
    return place;
}
