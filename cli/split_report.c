/* SPDX-License-Identifier: ISC */
#include "split_report.h"

#include <math.h>
#include <string.h>

#include "plot.h"
#include "table.h"

/* ---- names --------------------------------------------------------------------------------- */

const char *cw_split_name(enum cw_split_by by)
{
    static const char *const names[CW_SPLIT_KINDS] = {"Tapped winding", "Resistor", "Capacitor", "R and C in series",
                                                      "R and C in parallel"};
    return names[by];
}

const char *cw_split_word(enum cw_split_by by)
{
    static const char *const words[CW_SPLIT_KINDS] = {"tap", "resistor", "capacitor", "series", "parallel"};
    return words[by];
}

static const char *print_scaled(double value, const char *const units[3], char *text, size_t size)
{
    int at = value < 0.9995 ? 0 : value < 999.5 ? 1 : 2;
    snprintf(text, size, "%.3g %s", value * (at == 0 ? 1e3 : at == 1 ? 1.0 : 1e-3), units[at]);
    return text;
}

const char *cw_print_ohms(double kilohm, char *text, size_t size)
{
    static const char *const units[3] = {"Ω", "kΩ", "MΩ"};
    return print_scaled(kilohm, units, text, size);
}

const char *cw_print_farads(double nanofarad, char *text, size_t size)
{
    static const char *const units[3] = {"pF", "nF", "µF"};
    return print_scaled(nanofarad, units, text, size);
}

static const char *coil_name(enum cw_split_coil coil) { return coil == CW_SPLIT_COIL_ONE ? "coil one" : "coil two"; }

static enum cw_split_coil reduced_coil(const struct cw_setup *setup)
{
    return setup->value[CW_P_SPLIT_COIL] > 0.0 ? CW_SPLIT_COIL_ONE : CW_SPLIT_COIL_TWO;
}

const char *cw_split_parts(const struct cw_setup *setup, double turns_kept, double turns, char *text, size_t size)
{
    char ohms[32], farads[32];
    cw_print_ohms(setup->value[CW_P_SPLIT_RESISTOR], ohms, sizeof ohms);
    cw_print_farads(setup->value[CW_P_SPLIT_CAPACITOR], farads, sizeof farads);
    switch ((enum cw_split_by)(int)setup->value[CW_P_SPLIT_BY]) {
    case CW_SPLIT_TAPPED:
        if (turns > 0.0) {
            snprintf(text, size, "%.0f of %.0f turns", turns_kept, turns);
        } else {
            snprintf(text, size, "%.3g %% of the turns", setup->value[CW_P_SPLIT_KEEP]);
        }
        break;
    case CW_SPLIT_R: snprintf(text, size, "%s", ohms); break;
    case CW_SPLIT_C: snprintf(text, size, "%s", farads); break;
    case CW_SPLIT_RC_SERIES:
    case CW_SPLIT_RC_PARALLEL: snprintf(text, size, "%s + %s", ohms, farads); break;
    }
    return text;
}

const char *cw_measure_name(const struct cw_measure *measure, char *text, size_t size)
{
    char low[32], high[32];
    cw_plot_print_hz(measure->low, low, sizeof low);
    cw_plot_print_hz(measure->high, high, sizeof high);
    switch (measure->kind) {
    case CW_MEASURE_LOUDNESS: snprintf(text, size, "weighted loudness, assumed guitar spectrum"); break;
    case CW_MEASURE_FLAT: snprintf(text, size, "mean level from %s to %s", low, high); break;
    case CW_MEASURE_AT: snprintf(text, size, "level at %s", low); break;
    case CW_MEASURE_TAKE: snprintf(text, size, "integrated loudness of the recording"); break;
    }
    return text;
}

const char *cw_split_file_name(const struct cw_split_answer *answer, int index, char *text, size_t size)
{
    const struct cw_split_solution *solution = &answer->solution[index];
    snprintf(text, size, "%02d-%s%s", index + 1, cw_split_word(solution->by),
             solution->reduced == CW_SPLIT_COIL_ONE ? "-coil-one" : "");
    return text;
}

/* ---- words --------------------------------------------------------------------------------- */

/* Text that grows; what does not fit is cut. */
static void add(char text[CW_SPLIT_TEXT], const char *format, ...) CW_PRINTF(2, 3);
static void add(char text[CW_SPLIT_TEXT], const char *format, ...)
{
    size_t used = strlen(text);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text + used, CW_SPLIT_TEXT - used, format, arguments);
    va_end(arguments);
}

static const char *brightness_words(double balance)
{
    return balance < -4.0   ? "Much darker than full"
           : balance < -1.5 ? "Darker than full"
           : balance < -0.5 ? "A little darker than full"
           : balance <= 0.5 ? "As bright as full"
           : balance <= 1.5 ? "A little brighter than full"
           : balance <= 4.0 ? "Brighter than full"
                            : "Much brighter than full";
}

static const char *against_one_coil(double difference)
{
    return difference < -0.5   ? "not as bright as one coil alone"
           : difference <= 0.5 ? "as bright as one coil alone"
                               : "brighter than one coil alone";
}

static void add_noise(char text[CW_SPLIT_TEXT], const char *what, double db)
{
    if (db < -40.0) {
        add(text, "%s practically gone", what);
    } else if (db < -0.5) {
        add(text, "%s %.1f dB below one coil", what, -db);
    } else if (db <= 0.5) {
        add(text, "%s as of one coil", what);
    } else {
        add(text, "%s %.1f dB above one coil", what, db);
    }
}

static void add_wiring(char text[CW_SPLIT_TEXT], const struct cw_split_solution *solution)
{
    char parts[96];
    const char *coil = coil_name(solution->reduced);
    cw_split_parts(&solution->rounded, solution->turns_kept, solution->turns, parts, sizeof parts);
    switch (solution->by) {
    case CW_SPLIT_TAPPED:
        if (solution->rounded.value[CW_P_SPLIT_KEEP] <= 0.0) {
            add(text, "All of %s left out.", coil);
            break;
        }
        add(text, "A tap that leaves %s of %s, from the junction.", parts, coil);
        break;
    case CW_SPLIT_R:
    case CW_SPLIT_C: add(text, "%s across %s.", parts, coil); break;
    case CW_SPLIT_RC_SERIES: add(text, "%s in series across %s.", parts, coil); break;
    case CW_SPLIT_RC_PARALLEL: add(text, "%s in parallel across %s.", parts, coil); break;
    }
}

const char *cw_split_words(const struct cw_split_answer *answer, const struct cw_split_solution *solution,
                           char text[CW_SPLIT_TEXT])
{
    const struct cw_split_figures *f = &solution->after;
    char hz[32];
    text[0] = '\0';
    add_wiring(text, solution);
    add(text, " %s and %s", brightness_words(f->balance), against_one_coil(f->balance - answer->plain_figures.balance));
    if (f->lift_db > 1.0) {
        add(text, ", %.1f dB over full at %s", f->lift_db, cw_plot_print_hz(f->lift_hz, hz, sizeof hz));
    }
    add(text, "; ");
    add_noise(text, "mains hum", f->hum);
    add(text, ", ");
    add_noise(text, "buzz", f->buzz);
    add(text, ".");
    return text;
}

/* The parts before rounding, where rounding changed them. */
static void add_rounding(char text[CW_SPLIT_TEXT], const struct cw_split_solution *solution)
{
    double level = solution->after.level - solution->before.level;
    double balance = solution->after.balance - solution->before.balance;
    char exact[96];
    double kept = solution->exact.value[CW_P_SPLIT_KEEP] * 0.01 * solution->turns;
    if (solution->by == CW_SPLIT_TAPPED && solution->turns > 0.0) {
        snprintf(exact, sizeof exact, "%.1f turns", kept);
    } else {
        cw_split_parts(&solution->exact, 0.0, 0.0, exact, sizeof exact);
    }
    if (fabs(level) < 0.005 && fabs(balance) < 0.005) {
        add(text, " Exact would be %s; rounding changes nothing.", exact);
        return;
    }
    add(text, " Exact would be %s; rounding changes the level by %+.2f dB, the treble by %+.2f dB.", exact, level,
        balance);
}

static void add_tone_miss(char text[CW_SPLIT_TEXT], const struct cw_split_wish *wish,
                          const struct cw_split_figures *figures)
{
    char hz[32];
    if (wish->tone == CW_TONE_BALANCE) {
        double miss = cw_split_tone_error(wish, figures);
        add(text, " %.1f dB %s than asked.", fabs(miss), miss > 0.0 ? "brighter" : "darker");
    } else if (figures->resonance > 0.0) {
        add(text, " The nearest resonance at this level is %s.", cw_plot_print_hz(figures->resonance, hz, sizeof hz));
    } else {
        add(text, " Has no resonance in the treble.");
    }
}

/* A pair of which one part does next to nothing is said to be what it is. */
static const char *idle_part(const struct cw_split_solution *solution)
{
    double ohm = solution->exact.value[CW_P_SPLIT_RESISTOR] * 1e3;
    double farad = solution->exact.value[CW_P_SPLIT_CAPACITOR] * 1e-9;
    double corner = 1.0 / (6.283185307179586 * ohm * farad);
    bool series = solution->by == CW_SPLIT_RC_SERIES;
    if (!series && solution->by != CW_SPLIT_RC_PARALLEL) {
        return NULL;
    }
    if (series ? corner < 30.0 : corner > 20000.0) {
        return "capacitor";
    }
    return (series ? corner > 20000.0 : corner < 30.0) ? "resistor" : NULL;
}

const char *cw_split_remark(const struct cw_split_wish *wish, const struct cw_split_solution *solution,
                            char text[CW_SPLIT_TEXT])
{
    text[0] = '\0';
    if (!solution->reached) {
        add(text, " Cannot reach %+.2f dB: the nearest is %+.2f dB.", wish->level, solution->before.level);
    }
    if (!solution->tone_met) {
        add_tone_miss(text, wish, &solution->before);
    }
    const char *idle = idle_part(solution);
    if (idle) {
        add(text, " The %s does next to nothing here.", idle);
    }
    add_rounding(text, solution);
    return text + 1;
}

/* ---- tables -------------------------------------------------------------------------------- */

static void add_resonance(struct cw_table *table, double hz, double full)
{
    char text[32];
    if (hz > 0.0) {
        cw_table_add(table, "%s", cw_plot_print_hz(hz, text, sizeof text));
    } else {
        cw_table_add(table, "none");
    }
    if (hz > 0.0 && full > 0.0) {
        cw_table_add(table, "%+.0f %%", 100.0 * (hz / full - 1.0));
    } else {
        cw_table_add(table, "none");
    }
}

static void add_figures(struct cw_table *table, const struct cw_split_figures *f, double full_resonance)
{
    cw_table_add(table, "%+.2f dB", f->level);
    cw_table_add(table, "%.0f %%", 100.0 * pow(10.0, f->level / 20.0));
    cw_table_add(table, "%+.1f dB", f->balance);
    add_resonance(table, f->resonance, full_resonance);
    if (f->hum < -40.0) {
        cw_table_add(table, "none");
    } else {
        cw_table_add(table, "%+.1f dB", f->hum);
    }
    if (f->buzz < -40.0) {
        cw_table_add(table, "none");
    } else {
        cw_table_add(table, "%+.1f dB", f->buzz);
    }
}

static void add_row(struct cw_table *table, const struct cw_split_answer *answer, int index)
{
    const struct cw_split_solution *solution = &answer->solution[index];
    char parts[96];
    cw_table_add(table, "%d", index + 1);
    cw_table_add(table, "%s%s", cw_split_name(solution->by), solution->reached ? "" : " (nearest)");
    cw_table_add(table, "%s",
                 cw_split_parts(&solution->rounded, solution->turns_kept, solution->turns, parts, sizeof parts));
    cw_table_add(table, "%s", coil_name(solution->reduced));
    add_figures(table, &solution->after, answer->full_figures.resonance);
}

static bool print_table(FILE *stream, const struct cw_split_answer *answer)
{
    static const char *const headings[] = {"",       "Split",     "Parts", "Reduced", "Level", "",
                                           "Treble", "Resonance", "Shift", "Hum",     "Buzz"};
    enum { COLUMNS = sizeof headings / sizeof headings[0] };
    struct cw_table table;
    cw_table_init(&table, COLUMNS);
    for (int i = 0; i < COLUMNS; i++) {
        cw_table_add(&table, "%s", headings[i]);
    }
    double full = answer->full_figures.resonance;
    const char *const references[2][2] = {{"Full", ""}, {"One coil alone", coil_name(reduced_coil(&answer->plain))}};
    for (int i = 0; i < 2; i++) {
        cw_table_add(&table, "%s", "");
        cw_table_add(&table, "%s", references[i][0]);
        cw_table_add(&table, "%s", "");
        cw_table_add(&table, "%s", references[i][1]);
        add_figures(&table, i == 0 ? &answer->full_figures : &answer->plain_figures, full);
    }
    for (int i = 0; i < answer->count; i++) {
        add_row(&table, answer, i);
    }
    bool good = cw_table_print(&table, stream, false);
    cw_table_free(&table);
    return good;
}

/* A sentence over lines of at most 96 characters, from the fifth on. */
static void print_wrapped(FILE *stream, const char *text)
{
    int column = 4;
    while (*text) {
        size_t length = strcspn(text, " ");
        int width = 0;
        for (size_t i = 0; i < length; i++) {
            width += ((unsigned char)text[i] & 0xc0) != 0x80;
        }
        if (column > 4 && column + 1 + width > 96) {
            fputs("\n    ", stream);
            column = 4;
        } else if (column > 4) {
            fputc(' ', stream);
            column++;
        }
        fprintf(stream, "%.*s", (int)length, text);
        column += width;
        text += length + strspn(text + length, " ");
    }
    fputc('\n', stream);
}

static void print_wish(FILE *stream, const char *label, const struct cw_split_wish *wish)
{
    char measure[96], hz[32];
    fprintf(stream, "%s: wanted %+.2f dB (%.1f %%) by %s", label, wish->level, 100.0 * pow(10.0, wish->level / 20.0),
            cw_measure_name(&wish->measure, measure, sizeof measure));
    const char *how = wish->tone_at_most ? "at most " : "";
    if (wish->tone == CW_TONE_BALANCE) {
        fprintf(stream, ", treble %s%+.1f dB", how, wish->tone_value);
    } else if (wish->tone == CW_TONE_RESONANCE) {
        fprintf(stream, ", resonance %s%s", how, cw_plot_print_hz(wish->tone_value, hz, sizeof hz));
    }
    fputs("\n\n", stream);
}

bool cw_split_print(FILE *stream, const char *label, const struct cw_split_wish *wish,
                    const struct cw_split_answer *answer)
{
    char text[CW_SPLIT_TEXT];
    print_wish(stream, label, wish);
    if (!print_table(stream, answer)) {
        return false;
    }
    for (int i = 0; i < answer->count; i++) {
        fprintf(stream, "\n%2d  ", i + 1);
        print_wrapped(stream, cw_split_words(answer, &answer->solution[i], text));
        fputs("    ", stream);
        print_wrapped(stream, cw_split_remark(wish, &answer->solution[i], text));
    }
    fputs("\nLevel, treble (2 to 6 kHz over 100 to 500 Hz) and resonance are against the full pickup, hum (mains)\n"
          "and buzz (its harmonics 2 to 20) against one coil alone.\n",
          stream);
    return true;
}

static void csv_figures(struct cw_table *table, const struct cw_split_figures *f, double full)
{
    cw_table_add(table, "%.4f", f->level);
    cw_table_add(table, "%.4f", f->balance);
    cw_table_add(table, "%.2f", f->resonance);
    cw_table_add(table, "%.4f", f->resonance > 0.0 && full > 0.0 ? 100.0 * (f->resonance / full - 1.0) : 0.0);
    cw_table_add(table, "%.4f", f->peak);
    cw_table_add(table, "%.4f", f->hum);
    cw_table_add(table, "%.4f", f->buzz);
    cw_table_add(table, "%.4f", f->lift_db);
    cw_table_add(table, "%.1f", f->lift_hz);
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
    csv_part(table, by == CW_SPLIT_TAPPED, setup->value[CW_P_SPLIT_KEEP]);
    csv_part(table, by != CW_SPLIT_TAPPED && by != CW_SPLIT_C, setup->value[CW_P_SPLIT_RESISTOR]);
    csv_part(table, by != CW_SPLIT_TAPPED && by != CW_SPLIT_R, setup->value[CW_P_SPLIT_CAPACITOR]);
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
                                           "peak, dB",
                                           "hum, dB",
                                           "buzz, dB",
                                           "highest over unsplit, dB",
                                           "at, Hz",
                                           "share kept before rounding, %",
                                           "resistor before rounding, kΩ",
                                           "capacitor before rounding, nF",
                                           "level before rounding, dB",
                                           "treble balance before rounding, dB",
                                           "in words"};
enum { CSV_COLUMNS = sizeof csv_headings / sizeof csv_headings[0] };

static void csv_reference(struct cw_table *table, const char *file, const char *name, const struct cw_setup *setup,
                          const struct cw_split_figures *figures, double full)
{
    bool split = setup->value[CW_P_SPLIT] > 0.0;
    cw_table_add(table, "%s", file);
    cw_table_add(table, "%s", name);
    cw_table_add(table, "%s", split ? coil_name(reduced_coil(setup)) : "");
    for (int i = 0; i < 7; i++) {
        cw_table_add(table, "%s", "");
    }
    csv_figures(table, figures, full);
    for (int i = 0; i < 6; i++) {
        cw_table_add(table, "%s", "");
    }
}

static void csv_solution(struct cw_table *table, const struct cw_split_answer *answer, int index)
{
    const struct cw_split_solution *solution = &answer->solution[index];
    char text[CW_SPLIT_TEXT];
    cw_table_add(table, "%s", cw_split_file_name(answer, index, text, sizeof text));
    cw_table_add(table, "%s", cw_split_name(solution->by));
    cw_table_add(table, "%s", coil_name(solution->reduced));
    cw_table_add(table, "%s", solution->reached ? "yes" : "no");
    cw_table_add(table, "%s", solution->tone_met ? "yes" : "no");
    csv_parts(table, solution->by, &solution->rounded);
    csv_part(table, solution->turns > 0.0, solution->turns_kept);
    csv_part(table, solution->turns > 0.0, solution->turns);
    csv_figures(table, &solution->after, answer->full_figures.resonance);
    csv_parts(table, solution->by, &solution->exact);
    cw_table_add(table, "%.4f", solution->before.level);
    cw_table_add(table, "%.4f", solution->before.balance);
    cw_table_add(table, "%s", cw_split_words(answer, solution, text));
}

bool cw_split_print_csv(FILE *stream, const struct cw_split_answer *answer)
{
    struct cw_table table;
    cw_table_init(&table, CSV_COLUMNS);
    for (int i = 0; i < CSV_COLUMNS; i++) {
        cw_table_add(&table, "%s", csv_headings[i]);
    }
    double full = answer->full_figures.resonance;
    csv_reference(&table, "00-full", "Full", &answer->full, &answer->full_figures, full);
    csv_reference(&table, "00-one-coil", "One coil alone", &answer->plain, &answer->plain_figures, full);
    for (int i = 0; i < answer->count; i++) {
        csv_solution(&table, answer, i);
    }
    bool good = cw_table_print(&table, stream, true);
    cw_table_free(&table);
    return good;
}
