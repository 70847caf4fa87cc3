/* SPDX-License-Identifier: ISC */
#include "split_report.h"

#include <math.h>
#include <string.h>

#include "numbers.h"
#include "plot_model.h"
#include "setup.h"
#include "show.h"
#include "split_ear.h"
#include "split_kind.h"
#include "split_words.h"
#include "table.h"
#include "wrap.h"

/* ---- tables -------------------------------------------------------------------------------- */

static enum cw_split_coil reduced_coil(const struct cw_setup *setup)
{
    return setup->value[CW_P_SPLIT_COIL] > 0.0 ? CW_SPLIT_COIL_ONE : CW_SPLIT_COIL_TWO;
}

static void add_figures(struct cw_table *table, const struct cw_split_figures *f, const char *ear)
{
    char text[64];
    cw_table_add(table, "%s", cw_print_db(f->level, 2, text, sizeof text));
    cw_table_add(table, "%s", cw_print_percent(100.0 * pow(10.0, f->level / 20.0), 0, text, sizeof text));
    cw_table_add(table, "%s", cw_print_db(f->balance, 1, text, sizeof text));
    cw_table_add(table, "%s", ear);
    cw_table_add(table, "%s", cw_print_resonance(f->resonance, text, sizeof text));
    cw_table_add(table, "%s", cw_print_peak(f->peak_hz, f->peak_db, text, sizeof text));
    cw_table_add(table, "%s", cw_print_noise(f->hum, text, sizeof text));
    cw_table_add(table, "%s", cw_print_noise(f->buzz, text, sizeof text));
}

static void add_row(struct cw_table *table, const struct cw_split_answer *answer, int index)
{
    const struct cw_split_solution *solution = &answer->solution[index];
    char parts[96], ear[24];
    cw_table_add(table, "%d", index + 1);
    cw_table_add(table, "%s%s", cw_split_kind[solution->by].brief, solution->reached ? "" : " (nearest)");
    cw_table_add(table, "%s",
                 cw_split_parts(&solution->rounded, solution->turns_kept, solution->turns, parts, sizeof parts));
    cw_table_add(table, "%s", cw_split_coil_name(solution->reduced));
    add_figures(table, &solution->after, cw_split_print_ear(&solution->ear.is, ear, sizeof ear));
}

static bool print_table(FILE *stream, const struct cw_split_answer *answer, bool wide)
{
    static const char *const headings[] = {"",       "Split",  "Parts",     "Reduced", "Level", "",
                                           "Treble", "By ear", "Resonance", "Peak",    "Hum",   "Buzz"};
    enum { COLUMNS = sizeof headings / sizeof headings[0] };
    struct cw_table table;
    cw_table_init(&table, COLUMNS);
    table.fold = wide ? 0 : 3;
    for (int i = 0; i < COLUMNS; i++) {
        cw_table_add(&table, "%s", headings[i]);
    }
    const char *const references[2][2] = {{"Full", ""},
                                          {"One coil alone", cw_split_coil_name(reduced_coil(&answer->plain))}};
    char ear[24];
    cw_split_print_ear(&answer->plain_ear.is, ear, sizeof ear);
    for (int i = 0; i < 2; i++) {
        cw_table_add(&table, "%s", "");
        cw_table_add(&table, "%s", references[i][0]);
        cw_table_add(&table, "%s", "");
        cw_table_add(&table, "%s", references[i][1]);
        add_figures(&table, i == 0 ? &answer->full_figures : &answer->plain_figures, i == 0 ? "" : ear);
    }
    for (int i = 0; i < answer->count; i++) {
        add_row(&table, answer, i);
    }
    bool good = cw_table_print(&table, stream, false);
    cw_table_free(&table);
    return good;
}

/* A sentence from the fifth column on. */
static void print_wrapped(FILE *stream, const char *text) { cw_wrap(stream, text, 4, 4, 96); }

static void print_wish(FILE *stream, const char *label, const struct cw_split_wish *wish)
{
    char measure[96], hz[32], db[32], share[32];
    cw_print_shown(stream, label);
    fprintf(stream, ": wanted %s (%s) by %s", cw_print_db(wish->level, 2, db, sizeof db),
            cw_print_percent(100.0 * pow(10.0, wish->level / 20.0), 1, share, sizeof share),
            cw_measure_name(&wish->measure, measure, sizeof measure));
    const char *how = wish->tone_at_most ? "at most " : "";
    if (wish->tone == CW_TONE_BALANCE) {
        fprintf(stream, ", treble %s%s", how, cw_print_db(wish->tone_value, 1, db, sizeof db));
    } else if (wish->tone == CW_TONE_RESONANCE) {
        fprintf(stream, ", resonance %s%s", how, cw_print_hz(wish->tone_value, hz, sizeof hz));
    }
    fputs("\n\n", stream);
}

/* What the columns are, and where the strings are heard. */
static void print_legend(FILE *stream, const struct cw_setup *setup)
{
    const double *v = setup->value;
    char text[1000], strings[32] = "the mean of six strings";
    if (v[CW_P_STRING] > 0.0) {
        snprintf(strings, sizeof strings, "string %.0f alone", v[CW_P_STRING]);
    }
    snprintf(
        text, sizeof text,
        "Level and treble are against the full pickup, hum (mains) and buzz (its harmonics 2 to 20) against one "
        "coil alone. Treble is the power of partials from 2 to 6 kHz over those from 80 to 500 Hz, each coil in its "
        "own place: %s nearer the bridge, %.0f mm apart, middle at %.0f mm, scale %.0f mm, %s. "
        "By ear is how many times just noticeable a split is from full in auditory bands, each coil in its place, at "
        "one level below 630 Hz. "
        "The peak is what a sweep shows, over the level at low frequency; the resonance, where the circuit rings, "
        "lies above it.",
        cw_split_coil_name(v[CW_P_NEAR_COIL] == CW_NEAR_COIL_ONE ? CW_SPLIT_COIL_ONE : CW_SPLIT_COIL_TWO),
        v[CW_P_COIL_DISTANCE], v[CW_P_BRIDGE_DISTANCE], v[CW_P_SCALE_LENGTH], strings);
    fputc('\n', stream);
    cw_wrap(stream, text, 0, 0, CW_TABLE_WIDTH);
    fputs(CW_CAUTIONS_LINE "\n", stream);
}

bool cw_split_print(FILE *stream, const char *label, const struct cw_split_wish *wish,
                    const struct cw_split_answer *answer, bool wide)
{
    char text[CW_SPLIT_TEXT];
    print_wish(stream, label, wish);
    if (!print_table(stream, answer, wide)) {
        return false;
    }
    for (int i = 0; i < answer->count; i++) {
        fprintf(stream, "\n%2d  ", i + 1);
        print_wrapped(stream, cw_split_words(answer, &answer->solution[i], text));
        fputs("    ", stream);
        print_wrapped(stream, cw_split_remark(wish, &answer->solution[i], text));
    }
    fputc('\n', stream);
    cw_wrap(stream, cw_split_keep_words(wish, answer, text), 0, 0, CW_TABLE_WIDTH);
    print_legend(stream, &answer->full);
    return true;
}

static void csv_number(struct cw_table *table, double number, int decimals)
{
    char text[40];
    cw_table_add(table, "%s", cw_print_plain(number, decimals, text, sizeof text));
}

static void csv_figures(struct cw_table *table, const struct cw_split_figures *f, double full)
{
    csv_number(table, f->level, 4);
    csv_number(table, f->balance, 4);
    csv_number(table, f->resonance, 2);
    csv_number(table, f->resonance > 0.0 && full > 0.0 ? 100.0 * (f->resonance / full - 1.0) : 0.0, 4);
    csv_number(table, f->split_resonance, 2);
    csv_number(table, f->peak_hz, 2);
    csv_number(table, f->peak_db, 4);
    csv_number(table, f->hum, 4);
    csv_number(table, f->buzz, 4);
    csv_number(table, f->lift_db, 4);
    csv_number(table, f->lift_hz, 1);
    csv_number(table, f->hole_db, 4);
    csv_number(table, f->hole_hz, 1);
}

/* A part's value where the kind has it, else an empty cell. */
static void csv_part(struct cw_table *table, bool has, double value)
{
    if (has) {
        cw_table_add(table, "%.6g", value);
    } else {
        cw_table_add(table, "%s", "");
    }
}

static void csv_parts(struct cw_table *table, enum cw_split_by by, const struct cw_setup *setup)
{
    unsigned parts = cw_split_parts_of(by);
    csv_part(table, parts & CW_PART_KEEP, setup->value[CW_P_SPLIT_KEEP]);
    csv_part(table, parts & CW_PART_RESISTOR, setup->value[CW_P_SPLIT_RESISTOR]);
    csv_part(table, parts & CW_PART_CAPACITOR, setup->value[CW_P_SPLIT_CAPACITOR]);
}

/* What the strings make of it, and what it is by ear. */
static void csv_strings(struct cw_table *table, const struct cw_split_figures *f, const struct cw_split_ear *ear)
{
    csv_number(table, f->balance_low, 4);
    csv_number(table, f->balance_high, 4);
    csv_number(table, f->balance_other, 4);
    csv_number(table, ear->is.times, 4);
    csv_number(table, ear->is.hz, 1);
    csv_number(table, ear->other.times, 4);
}

static const char *const csv_headings[] = {"file",
                                           "split",
                                           "coil reduced",
                                           "level reached",
                                           "tone met",
                                           "share kept, %",
                                           "resistor, kΩ",
                                           "capacitor, nF",
                                           "turns kept",
                                           "turns of the coil",
                                           "level, dB",
                                           "treble balance, dB",
                                           "resonance, Hz",
                                           "resonance shift, %",
                                           "resonance of the split, Hz",
                                           "peak frequency, Hz",
                                           "peak height, dB",
                                           "hum, dB",
                                           "buzz, dB",
                                           "highest over unsplit, dB",
                                           "at, Hz",
                                           "hole in the middle against unsplit, dB",
                                           "hole at, Hz",
                                           "share kept before rounding, %",
                                           "resistor before rounding, kΩ",
                                           "capacitor before rounding, nF",
                                           "level before rounding, dB",
                                           "treble balance before rounding, dB",
                                           "treble balance, least, dB",
                                           "treble balance, most, dB",
                                           "treble balance with the other coil reduced, dB",
                                           "by ear, times just noticeable",
                                           "by ear at, Hz",
                                           "by ear with the other coil reduced",
                                           "in words"};
enum { CSV_COLUMNS = sizeof csv_headings / sizeof csv_headings[0] };

static void csv_reference(struct cw_table *table, const char *file, const char *name, const struct cw_setup *setup,
                          const struct cw_split_figures *figures, const struct cw_split_ear *ear, double full)
{
    bool split = setup->value[CW_P_SPLIT] > 0.0;
    cw_table_add(table, "%s", file);
    cw_table_add(table, "%s", name);
    cw_table_add(table, "%s", split ? cw_split_coil_name(reduced_coil(setup)) : "");
    for (int i = 0; i < 7; i++) {
        cw_table_add(table, "%s", "");
    }
    csv_figures(table, figures, full);
    for (int i = 0; i < 5; i++) {
        cw_table_add(table, "%s", "");
    }
    csv_strings(table, figures, ear);
    cw_table_add(table, "%s", "");
}

static void csv_solution(struct cw_table *table, const struct cw_split_answer *answer, int index)
{
    const struct cw_split_solution *solution = &answer->solution[index];
    char text[CW_SPLIT_TEXT];
    cw_table_add(table, "%s", cw_split_file_name(answer, index, text, sizeof text));
    cw_table_add(table, "%s", cw_split_kind[solution->by].brief);
    cw_table_add(table, "%s", cw_split_coil_name(solution->reduced));
    cw_table_add(table, "%s", solution->reached ? "yes" : "no");
    cw_table_add(table, "%s", solution->tone_met ? "yes" : "no");
    csv_parts(table, solution->by, &solution->rounded);
    csv_part(table, solution->turns > 0.0, solution->turns_kept);
    csv_part(table, solution->turns > 0.0, solution->turns);
    csv_figures(table, &solution->after, answer->full_figures.resonance);
    csv_parts(table, solution->by, &solution->exact);
    csv_number(table, solution->before.level, 4);
    csv_number(table, solution->before.balance, 4);
    csv_strings(table, &solution->after, &solution->ear);
    cw_table_add(table, "%s", cw_split_words(answer, solution, text));
}

bool cw_split_print_csv(FILE *stream, const struct cw_split_answer *answer)
{
    struct cw_table table;
    cw_table_init(&table, CSV_COLUMNS);
    for (int i = 0; i < CSV_COLUMNS; i++) {
        cw_table_add(&table, "%s", csv_headings[i]);
    }
    static const struct cw_split_ear no_distance;
    double full = answer->full_figures.resonance;
    csv_reference(&table, "00-full", "Full", &answer->full, &answer->full_figures, &no_distance, full);
    csv_reference(&table, "00-one-coil", "One coil alone", &answer->plain, &answer->plain_figures, &answer->plain_ear,
                  full);
    for (int i = 0; i < answer->count; i++) {
        csv_solution(&table, answer, i);
    }
    bool good = cw_table_print(&table, stream, true);
    cw_table_free(&table);
    return good;
}
