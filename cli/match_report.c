/* SPDX-License-Identifier: ISC */
#include "match_report.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#include "escape.h"
#include "numbers.h"
#include "quantity.h"
#include "setup.h"
#include "table.h"
#include "wind_rank.h"
#include "wind_search.h"
#include "wrap.h"

/* ---- words ---------------------------------------------------------------------------------------- */

/* The label of a list's value; a capital that begins it is small. */
static const char *label_of(const struct cw_setup *setup, enum cw_param_id id, char *text, size_t size)
{
    cw_value_print(&cw_param_info[id], setup->value[id], text, size);
    if (isupper((unsigned char)text[0]) && islower((unsigned char)text[1])) {
        text[0] = (char)tolower((unsigned char)text[0]);
    }
    return text;
}

/* The first word of it. */
static const char *short_label(const struct cw_setup *setup, enum cw_param_id id, char *text, size_t size)
{
    label_of(setup, id, text, size);
    text[strcspn(text, " ")] = '\0';
    return text;
}

static const char *turns_of(const struct cw_setup *setup, char *text, size_t size)
{
    double one = setup->value[CW_P_TURNS], two = round(one * 0.01 * setup->value[CW_P_SECOND_TURNS]);
    bool differ = setup->value[CW_P_COILS] != CW_COILS_ONE && two != one;
    snprintf(text, size, differ ? "%.0f and %.0f" : "%.0f", one, two);
    return text;
}

static const char *wire_of(const struct cw_setup *setup, char *text, size_t size)
{
    char insulation[32];
    snprintf(text, size, "%g %s", setup->value[CW_P_GAUGE],
             short_label(setup, CW_P_INSULATION, insulation, sizeof insulation));
    return text;
}

const char *cw_match_label(const struct cw_wind_candidate *row, char *text, size_t size)
{
    char turns[48], gauge[32], former[40], core[40];
    snprintf(text, size, "%s turns of %s, %s, %s", turns_of(&row->setup, turns, sizeof turns),
             label_of(&row->setup, CW_P_GAUGE, gauge, sizeof gauge),
             label_of(&row->setup, CW_P_FORMER, former, sizeof former),
             label_of(&row->setup, CW_P_CORE, core, sizeof core));
    return text;
}

/* ---- the list for people --------------------------------------------------------------------------- */

static bool has(const struct cw_match *match, enum cw_wind_axis_id axis) { return match->search.axis[axis].count > 1; }

static void add_heading(struct cw_table *table, const struct cw_match *match, bool bands)
{
    static const char *const always[] = {"Turns",   "Wire",    "Former",    "Core", "Cover", "Magnet",
                                         "Potting", "DC res.", "Resonance", "Peak", "Level"};
    cw_table_add(table, "%s", "No.");
    cw_table_add(table, "%s", "Place");
    cw_table_add(table, "%s", bands ? "Apart" : "Misses");
    cw_table_add(table, "%s", "As wound");
    for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
        cw_table_add(table, "%s", always[i]);
    }
    if (has(match, CW_AXIS_COILS)) {
        cw_table_add(table, "%s", "Coils");
    }
    if (has(match, CW_AXIS_SPLIT) || has(match, CW_AXIS_SPLIT_BY)) {
        cw_table_add(table, "%s", "Split");
    }
}

/* What a pickup wound so is apart from the target by, with what the model leaves open. */
static void add_interval(struct cw_table *table, const struct cw_wind_candidate *row, bool bands)
{
    double least = fmax(0.0, fabs(row->apart.worst) - row->uncertainty);
    if (bands) {
        cw_table_add(table, "%.1f..%.1f", least, fabs(row->apart.worst) + row->uncertainty);
    } else {
        cw_table_add(table, "±%.1f dB", row->uncertainty);
    }
}

static void add_spec(struct cw_table *table, const struct cw_setup *setup)
{
    char text[48];
    cw_table_add(table, "%s", turns_of(setup, text, sizeof text));
    cw_table_add(table, "%s", wire_of(setup, text, sizeof text));
    cw_table_add(table, "%s", short_label(setup, CW_P_FORMER, text, sizeof text));
    cw_table_add(table, "%s", label_of(setup, CW_P_CORE, text, sizeof text));
    cw_table_add(table, "%s", label_of(setup, CW_P_COVER, text, sizeof text));
    cw_table_add(table, "%s", label_of(setup, CW_P_MAGNET, text, sizeof text));
    cw_table_add(table, "%s", label_of(setup, CW_P_POTTING, text, sizeof text));
}

static void add_figures(struct cw_table *table, const struct cw_wind_candidate *row, bool bands)
{
    char text[48];
    double level = bands ? row->apart.level : row->figure[CW_WISH_LEVEL];
    cw_table_add(table, "%s", cw_print_ohms(round(row->figure[CW_WISH_RESISTANCE] / 10.0) / 100.0, text, sizeof text));
    cw_table_add(table, "%s", cw_print_resonance(row->figure[CW_WISH_RESONANCE], text, sizeof text));
    cw_table_add(table, "%s", cw_print_db(row->figure[CW_WISH_PEAK], 1, text, sizeof text));
    cw_table_add(table, "%s", cw_print_db(level, 1, text, sizeof text));
}

static void add_row(struct cw_table *table, const struct cw_match *match, size_t i, bool bands)
{
    const struct cw_wind_candidate *row = &match->row[i];
    char text[48];
    cw_table_add(table, "%zu", i + 1);
    cw_table_add(table, i > 0 && match->row[i - 1].place == row->place ? "=" : "%d", row->place);
    cw_table_add(table, bands ? "%.2f dB" : "%.2f", bands ? fabs(row->apart.worst) : row->found.times);
    add_interval(table, row, bands);
    add_spec(table, &row->setup);
    add_figures(table, row, bands);
    if (has(match, CW_AXIS_COILS)) {
        cw_table_add(table, "%s", label_of(&row->setup, CW_P_COILS, text, sizeof text));
    }
    if (has(match, CW_AXIS_SPLIT) || has(match, CW_AXIS_SPLIT_BY)) {
        cw_table_add(table, "%s",
                     row->setup.value[CW_P_SPLIT] > 0.0 ? label_of(&row->setup, CW_P_SPLIT_BY, text, sizeof text)
                                                        : "off");
    }
}

/* ---- notes ------------------------------------------------------------------------------------------ */

static void say_how_near(FILE *stream, const struct cw_match *match)
{
    static const char *const wish[CW_WISHES + 1] = {"the resonance", "the peak", "the level", "the resistance",
                                                    "the response"};
    enum cw_wish_id by;
    double times = cw_wind_judge(&match->search.target, &match->row[0], &by);
    if (times < 1.0) {
        return;
    }
    cw_wrap_format(
        stream, CW_TABLE_WIDTH,
        "Not reached: of all that fits, the nearest still misses %s by %.1f times what is just noticed. Wishes that "
        "contradict one another, or limits that leave too little, are shared out so that the worst miss is least.",
        wish[by], times);
}

static void say_notes(FILE *stream, const struct cw_match *match, const char *target)
{
    double equal = fmax(match->told, CW_WIND_EQUAL_DB);
    bool bands = match->search.target.has_bands;
    char shown[CW_SHOWN_BYTES];
    fputc('\n', stream);
    say_how_near(stream, match);
    cw_wrap_format(
        stream, CW_TABLE_WIDTH,
        "%zu combinations were tried; of %zu solved, %zu come within %.1f dB of the first. Those with one place (=) "
        "differ from one another by no more: take what is at hand.%s",
        match->kinds, match->solved, match->near, equal,
        match->each ? "" : " Insulation, potting and magnet are the nearest ones of each row.");
    if (bands) {
        cw_wrap_format(
            stream, CW_TABLE_WIDTH,
            "Apart: the largest difference of an auditory band from %s once levels are matched; 1.4 dB is just "
            "noticed. "
            "As wound: where that may lie by what the winding's model is unsure of (about 95 %%); one coil on the "
            "bench makes it smaller (new --from-measured, then --base). Level: against it, below 630 Hz.",
            cw_show(target, shown, sizeof shown));
    } else {
        cw_wrap_format(stream, CW_TABLE_WIDTH,
                       "Misses: the largest miss of a wish, in times what is just noticed of it. As wound: what the "
                       "winding's model is unsure of, in the band that moves most (about 95 %%). Level: below 630 Hz, "
                       "against the EMF of the reference coil.");
    }
    if (cw_wind_is_calibrated(&match->search.base)) {
        cw_wrap_format(
            stream, CW_TABLE_WIDTH,
            "The base is calibrated on a measured coil: its factors hold for coils like it, so that only wire "
            "and turns were varied but for what was asked for.");
    }
}

/* ---- the list for programs -------------------------------------------------------------------------- */

static void add_csv_number(struct cw_table *table, double number, double grain)
{
    char text[40];
    cw_table_add(table, "%s", cw_print_csv_number(number, grain, text, sizeof text));
}

static void add_csv_label(struct cw_table *table, const struct cw_setup *setup, enum cw_param_id id)
{
    char text[64];
    cw_table_add(table, "%s", cw_value_print(&cw_param_info[id], setup->value[id], text, sizeof text));
}

static const enum cw_param_id csv_param[] = {CW_P_COILS, CW_P_GAUGE,  CW_P_INSULATION, CW_P_FORMER, CW_P_CORE,
                                             CW_P_COVER, CW_P_MAGNET, CW_P_POTTING,    CW_P_SPLIT,  CW_P_SPLIT_BY};
enum { CSV_PARAMS = sizeof csv_param / sizeof csv_param[0], CSV_NUMBERS = 13 };

static void add_csv_heading(struct cw_table *table)
{
    static const char *const heading[CSV_NUMBERS] = {"number",
                                                     "place",
                                                     "times just noticeable",
                                                     "apart, dB",
                                                     "in the band at, Hz",
                                                     "uncertainty as wound, dB",
                                                     "level, dB",
                                                     "DC resistance, ohm",
                                                     "resonance, Hz",
                                                     "peak, dB",
                                                     "turns of coil one",
                                                     "turns of coil two, %",
                                                     "level below 630 Hz against the reference coil, dB"};
    for (int i = 0; i < CSV_NUMBERS; i++) {
        cw_table_add(table, "%s", heading[i]);
    }
    for (int i = 0; i < CSV_PARAMS; i++) {
        cw_table_add(table, "%s", cw_param_info[csv_param[i]].symbol);
    }
}

static void add_csv_row(struct cw_table *table, size_t i, const struct cw_wind_candidate *row)
{
    const double number[CSV_NUMBERS] = {(double)i + 1.0,
                                        row->place,
                                        row->found.times,
                                        row->apart.worst,
                                        row->apart.hz,
                                        row->uncertainty,
                                        row->apart.level,
                                        row->figure[CW_WISH_RESISTANCE],
                                        row->figure[CW_WISH_RESONANCE],
                                        row->figure[CW_WISH_PEAK],
                                        row->found.turns,
                                        row->found.second,
                                        row->figure[CW_WISH_LEVEL]};
    for (int k = 0; k < CSV_NUMBERS; k++) {
        add_csv_number(table, number[k], 1.0);
    }
    for (int k = 0; k < CSV_PARAMS; k++) {
        add_csv_label(table, &row->setup, csv_param[k]);
    }
}

bool cw_match_print(FILE *stream, const struct cw_match *match, const char *target, bool csv)
{
    bool bands = match->search.target.has_bands;
    struct cw_table table;
    size_t extra =
        (has(match, CW_AXIS_COILS) ? 1u : 0u) + (has(match, CW_AXIS_SPLIT) || has(match, CW_AXIS_SPLIT_BY) ? 1u : 0u);
    cw_table_init(&table, csv ? CSV_NUMBERS + CSV_PARAMS : 15 + extra);
    table.fold = csv ? 0 : 2;
    if (csv) {
        add_csv_heading(&table);
    } else {
        add_heading(&table, match, bands);
    }
    for (size_t i = 0; i < match->rows; i++) {
        if (csv) {
            add_csv_row(&table, i, &match->row[i]);
        } else {
            add_row(&table, match, i, bands);
        }
    }
    bool good = cw_table_print(&table, stream, csv);
    cw_table_free(&table);
    if (good && !csv) {
        say_notes(stream, match, target);
    }
    return good;
}
