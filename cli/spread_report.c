/* SPDX-License-Identifier: ISC */
#include "spread_report.h"

#include <math.h>

#include "audible.h"
#include "escape.h"
#include "numbers.h"
#include "plot_file.h"
#include "plot_model.h"
#include "scatter.h"
#include "show.h"
#include "spread.h"
#include "spread_pair.h"
#include "table.h"
#include "wrap.h"

/* What is shown, in this order; how full the former is becomes a sentence. */
static const struct {
    const char *name, *word, *unit;
    double scale;
    int decimals;
} shown[] = {
    [CW_SPREAD_RESISTANCE] = {"DC resistance", "DC resistance", "kΩ", 1e-3, 2},
    [CW_SPREAD_INDUCTANCE] = {"Inductance", "inductance", "H", 1.0, 3},
    [CW_SPREAD_RESONANCE] = {"Resonance", "resonance", "kHz", 1e-3, 3},
    [CW_SPREAD_LEVEL] = {"Level", "level", "dB", 1.0, 2},
};
enum { SHOWN = sizeof shown / sizeof shown[0], TEXT = 64 };

/* "7.40 .. 8.61" */
static void add_between(struct cw_table *table, int figure, double low, double high)
{
    char from[TEXT], to[TEXT];
    double scale = shown[figure].scale;
    int decimals = shown[figure].decimals;
    cw_table_add(table, "%s .. %s", cw_print_plain(low * scale, decimals, from, sizeof from),
                 cw_print_plain(high * scale, decimals, to, sizeof to));
}

static void add_name(struct cw_table *table, int figure)
{
    cw_table_add(table, "%s, %s", shown[figure].name, shown[figure].unit);
}

static void add_number(struct cw_table *table, int figure, double value)
{
    char text[TEXT];
    if (figure == CW_SPREAD_RESONANCE && value == 0.0) {
        cw_table_add(table, "none");
        return;
    }
    cw_table_add(table, "%s", cw_print_plain(value * shown[figure].scale, shown[figure].decimals, text, sizeof text));
}

static bool finish(struct cw_table *table, FILE *stream, bool csv)
{
    bool good = cw_table_print(table, stream, csv);
    cw_table_free(table);
    return good;
}

static void print_title(FILE *stream, const char *label)
{
    cw_print_shown(stream, label);
    fputc('\n', stream);
}

/* ---- one design ---- */

static bool print_figures(FILE *stream, const struct cw_spread_run *run, int design,
                          const struct cw_spread_estimate estimate[SHOWN])
{
    static const char *const heading[] = {"", "As designed", "95 % of draws", "Root sum square", "Worst case"};
    struct cw_table table;
    cw_table_init(&table, sizeof heading / sizeof heading[0]);
    for (size_t i = 0; i < sizeof heading / sizeof heading[0]; i++) {
        cw_table_add(&table, "%s", heading[i]);
    }
    for (int f = 0; f < SHOWN; f++) {
        const struct cw_spread_found *found = &run->found[design][f];
        const struct cw_spread_estimate *e = &estimate[f];
        add_name(&table, f);
        add_number(&table, f, e->nominal);
        add_between(&table, f, found->low, found->high);
        add_between(&table, f, e->nominal - 2.0 * e->standard, e->nominal + 2.0 * e->standard);
        add_between(&table, f, e->worst_low, e->worst_high);
    }
    return finish(&table, stream, false);
}

static bool print_causes(FILE *stream, const struct cw_spread *spread, const struct cw_spread_estimate estimate[SHOWN])
{
    struct cw_table table;
    cw_table_init(&table, SHOWN + 2);
    cw_table_add(&table, "Cause");
    cw_table_add(&table, "Scatter");
    for (int f = 0; f < SHOWN; f++) {
        cw_table_add(&table, "%s", shown[f].name);
    }
    for (int i = 0; i < CW_SCATTERS; i++) {
        const struct cw_scatter_info *info = &cw_scatter_info[i];
        cw_table_add(&table, "%s", info->name);
        cw_table_add(&table, "±%.3g %s", spread->scatter.half[i], info->unit);
        for (int f = 0; f < SHOWN; f++) {
            cw_table_add(&table, "%.0f %%", 100.0 * estimate[f].share[i]);
        }
    }
    return finish(&table, stream, false);
}

/* "Most of it: DC resistance by wire (95 %), ..." */
static void print_most(FILE *stream, const struct cw_spread_estimate estimate[SHOWN])
{
    int told = 0;
    fputs("Most of it: ", stream);
    for (int f = 0; f < SHOWN; f++) {
        int most = 0;
        for (int i = 1; i < CW_SCATTERS; i++) {
            most = estimate[f].share[i] > estimate[f].share[most] ? i : most;
        }
        if (estimate[f].share[most] == 0.0) {
            continue; /* nothing moves it */
        }
        fprintf(stream, "%s%s by %s (%.0f %%)", told++ ? ", " : "", shown[f].word, cw_scatter_info[most].word,
                100.0 * estimate[f].share[most]);
    }
    fputs(told ? ".\n" : "nothing varies.\n", stream);
}

static bool print_design(FILE *stream, const struct cw_spread_run *run, int design, const char *label)
{
    struct cw_spread_estimate estimate[SHOWN];
    for (int f = 0; f < SHOWN; f++) {
        cw_spread_estimate(&run->design[design], (enum cw_spread_figure)f, &estimate[f]);
    }
    print_title(stream, label);
    if (!print_figures(stream, run, design, estimate)) {
        return false;
    }
    fputs("\nShare of the variance, by first order:\n", stream);
    if (!print_causes(stream, &run->design[design], estimate)) {
        return false;
    }
    print_most(stream, estimate);
    if (run->too_full[design] > 0.0005) {
        fprintf(stream, "The turns do not fit the former in %.1f %% of the draws.\n", 100.0 * run->too_full[design]);
    }
    fputc('\n', stream);
    return true;
}

/* ---- two designs ---- */

static bool print_differences(FILE *stream, const struct cw_spread_run *run)
{
    static const char *const heading[] = {"", "Middle", "95 % of pairs", "This way round"};
    struct cw_table table;
    cw_table_init(&table, sizeof heading / sizeof heading[0]);
    for (size_t i = 0; i < sizeof heading / sizeof heading[0]; i++) {
        cw_table_add(&table, "%s", heading[i]);
    }
    for (int f = 0; f < SHOWN; f++) {
        const struct cw_spread_found *found = &run->found[CW_SPREAD_DIFFERENCE][f];
        add_name(&table, f);
        add_number(&table, f, found->middle);
        add_between(&table, f, found->low, found->high);
        cw_table_add(&table, "%.1f %%", 100.0 * run->same_way[f]);
    }
    return finish(&table, stream, false);
}

static bool print_pair(FILE *stream, const struct cw_spread_run *run, const char *const label[2])
{
    char words[160];
    struct cw_audible audible = cw_audible_between(&run->design[1].response, &run->design[0].response);
    fputs("Difference of ", stream);
    cw_print_shown(stream, label[1]);
    fputs(" from ", stream);
    cw_print_shown(stream, label[0]);
    fputs(", each made anew, in one guitar\n", stream);
    if (!print_differences(stream, run)) {
        return false;
    }
    fprintf(stream, "\nHeard as designed? %s.\n", cw_audible_words(&audible, words, sizeof words));
    fprintf(stream,
            "Of %d pairs as made %.0f %% can be told apart; of pairs of one design %.0f %%. %.0f %% are further apart "
            "than 95 %% of the latter.\n",
            CW_SPREAD_PAIRS, 100.0 * run->pairs.heard, 100.0 * run->pairs.same_heard, 100.0 * run->pairs.beyond);
    fprintf(stream, "Verdict: %s.\n\n", cw_pairs_words(&run->pairs));
    return true;
}

/* Where the scatter is from; of what was given instead, nothing. */
static void print_sources(FILE *stream, const struct cw_spread *spread)
{
    struct cw_scatter usual;
    cw_scatter_usual(&spread->setup, &usual);
    fputs("Where the scatter is from:\n", stream);
    for (int i = 0; i < CW_SCATTERS; i++) {
        bool given = usual.half[i] != spread->scatter.half[i];
        fprintf(stream, "  %s: %s.\n", cw_scatter_info[i].word, given ? "as given" : cw_scatter_info[i].source);
    }
}

bool cw_spread_print(FILE *stream, const struct cw_spread_run *run, const char *const label[2])
{
    for (int d = 0; d < run->designs; d++) {
        if (!print_design(stream, run, d, label[d])) {
            return false;
        }
    }
    if (run->designs == 2 && !print_pair(stream, run, label)) {
        return false;
    }
    print_sources(stream, &run->design[0]);
    fprintf(stream, "\n%zu draws, seed %llu: Philox4x32-10.\n", run->draws, (unsigned long long)run->seed);
    cw_wrap(stream,
            "Scatter of making alone: what the model itself is good for stands in coilwright response --leads. Limits "
            "are drawn evenly, others as normal with two standard deviations at the figure given.",
            0, 0, CW_TABLE_WIDTH);
    return true;
}

/* ---- CSV ---- */

static void add_csv_number(struct cw_table *table, double value)
{
    char text[TEXT];
    cw_table_add(table, "%s", cw_print_csv_number(value, 1.0, text, sizeof text));
}

static void add_csv_heading(struct cw_table *table)
{
    static const char *const heading[] = {"candidate",  "figure",         "unit",   "mean",        "standard deviation",
                                          "2.5 %",      "50 %",           "97.5 %", "as designed", "worst low",
                                          "worst high", "first order sd", "draws",  "seed"};
    for (size_t i = 0; i < sizeof heading / sizeof heading[0]; i++) {
        cw_table_add(table, "%s", heading[i]);
    }
    for (int i = 0; i < CW_SCATTERS; i++) {
        cw_table_add(table, "share of %s", cw_scatter_info[i].word);
    }
}

/* Of a difference there are draws alone. */
static void add_csv_row(struct cw_table *table, const struct cw_spread_run *run, int set, int figure, const char *label)
{
    static const char *const unit[] = {"ohm", "H", "Hz", "dB"};
    const struct cw_spread_found *found = &run->found[set][figure];
    const double drawn[] = {found->mean, found->standard, found->low, found->middle, found->high};
    struct cw_spread_estimate e;
    cw_table_add(table, "%s", label);
    cw_table_add(table, "%s", shown[figure].word);
    cw_table_add(table, "%s", unit[figure]);
    for (size_t i = 0; i < sizeof drawn / sizeof drawn[0]; i++) {
        add_csv_number(table, drawn[i]);
    }
    if (set != CW_SPREAD_DIFFERENCE) {
        cw_spread_estimate(&run->design[set], (enum cw_spread_figure)figure, &e);
        const double known[] = {e.nominal, e.worst_low, e.worst_high, e.standard};
        for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
            add_csv_number(table, known[i]);
        }
    } else {
        for (int i = 0; i < 4; i++) {
            cw_table_add(table, "%s", "");
        }
    }
    cw_table_add(table, "%zu", run->draws);
    cw_table_add(table, "%llu", (unsigned long long)run->seed);
    for (int i = 0; i < CW_SCATTERS; i++) {
        if (set != CW_SPREAD_DIFFERENCE) {
            add_csv_number(table, e.share[i]);
        } else {
            cw_table_add(table, "%s", "");
        }
    }
}

bool cw_spread_print_csv(FILE *stream, const struct cw_spread_run *run, const char *const label[2])
{
    struct cw_table table;
    cw_table_init(&table, 14 + CW_SCATTERS);
    add_csv_heading(&table);
    for (int set = 0; set < (run->designs == 2 ? CW_SPREAD_SETS : 1); set++) {
        for (int f = 0; f < SHOWN; f++) {
            add_csv_row(&table, run, set, f, set == CW_SPREAD_DIFFERENCE ? "difference" : label[set]);
        }
    }
    return finish(&table, stream, true);
}

/* ---- plot ---- */

static void add_band(struct cw_plot *plot, struct cw_spread_run *run, int design, const char *label)
{
    static const struct {
        double share;
        const char *name;
    } edge[] = {{0.5, ""}, {0.025, ", 2.5 %"}, {0.975, ", 97.5 %"}};
    for (size_t i = 0; i < sizeof edge / sizeof edge[0]; i++) {
        char own[CW_PLOT_TEXT - 16], name[CW_PLOT_TEXT];
        snprintf(name, sizeof name, "%s%s", cw_text_fit(label, own, sizeof own), edge[i].name);
        struct cw_plot_curve *curve = cw_plot_add(plot, name);
        curve->style = design;
        curve->faint = i > 0;
        cw_spread_band(run, design, edge[i].share, curve->value);
    }
}

bool cw_spread_plot(struct cw_spread_run *run, const char *const label[2], const char *path, bool force)
{
    struct cw_plot *plot = cw_plot_new(CW_PLOT_LEVEL, "Between the faint curves lie 95 %");
    if (!plot) {
        return false;
    }
    for (int d = 0; d < run->designs; d++) {
        add_band(plot, run, d, label[d]);
    }
    return cw_plot_save_one(plot, path, (struct cw_plot_size){1000.0, 560.0, 1.0}, force);
}
