/* SPDX-License-Identifier: ISC */
#include "compare_table.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "acts.h"
#include "audible.h"
#include "circuit.h"
#include "coil.h"
#include "escape.h"
#include "leads.h"
#include "leads_table.h"
#include "loudness.h"
#include "message.h"
#include "numbers.h"
#include "setup.h"
#include "show.h"
#include "table.h"
#include "transfer.h"
#include "wrap.h"

enum { TEXT = 160 };

/* ---- what is compared ---- */

struct judged {
    struct cw_lead_values leads;
    struct cw_transfer response;
    double band[CW_AUDIBLE_BANDS]; /* level in auditory bands, dB */
};

static void judge(const struct cw_setup *setup, struct judged *judged)
{
    struct cw_pickup pickup;
    cw_lead_values_of(setup, NULL, &judged->leads); /* no uncertainty is told here */
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &judged->response);
    cw_audible_levels(&judged->response, judged->band);
}

/* One row at work. */
struct row {
    struct cw_table *table;
    enum cw_compare_form form;
    size_t name_columns;               /* longer names stand below the narrow table */
    const struct judged *base, *other; /* the same for the base's own row */
};

static bool is_base(const struct row *row) { return row->base == row->other; }
static bool is_csv(const struct row *row) { return row->form == CW_COMPARE_CSV; }

/* ---- cells ---- */

static const enum cw_lead_id all_leads[] = {CW_LEAD_RESISTANCE, CW_LEAD_INDUCTANCE, CW_LEAD_CAPACITANCE, CW_LEAD_LOSS,
                                            CW_LEAD_RESONANCE,  CW_LEAD_PEAK_HZ,    CW_LEAD_PEAK};
static const enum cw_lead_id narrow_leads[] = {CW_LEAD_RESONANCE};
enum { ALL_LEADS = sizeof all_leads / sizeof all_leads[0] };

static const enum cw_lead_id *leads_of(enum cw_compare_form form, size_t *count)
{
    *count = form == CW_COMPARE_NARROW ? sizeof narrow_leads / sizeof narrow_leads[0] : ALL_LEADS;
    return form == CW_COMPARE_NARROW ? narrow_leads : all_leads;
}

static void add_number(const struct row *row, double number, double grain)
{
    char text[40];
    cw_table_add(row->table, "%s", cw_print_csv_number(number, grain, text, sizeof text));
}

/* The change of a value, as it stands in brackets behind it; empty where there is none to tell. */
static void print_change(const struct row *row, enum cw_lead_id id, char *text, size_t size)
{
    double from = row->base->leads.value[id], to = row->other->leads.value[id];
    bool flat = row->base->leads.value[CW_LEAD_PEAK_HZ] <= 0.0 || row->other->leads.value[CW_LEAD_PEAK_HZ] <= 0.0;
    char change[40];
    text[0] = '\0';
    if (is_base(row) || from == to || (id == CW_LEAD_PEAK ? flat : from <= 0.0 || to <= 0.0)) {
        return;
    }
    if (id == CW_LEAD_PEAK) {
        cw_print_db(to - from, 1, change, sizeof change);
    } else {
        cw_print_percent_change(100.0 * (to / from - 1.0), 1, change, sizeof change);
    }
    snprintf(text, size, " (%s)", change);
}

/* A value as cw_lead_add() writes it, without its uncertainty, and its change. */
static void add_lead(const struct row *row, enum cw_lead_id id)
{
    if (is_csv(row)) {
        bool db = id == CW_LEAD_PEAK || id == CW_LEAD_EMF;
        double from = row->base->leads.value[id], to = row->other->leads.value[id];
        add_number(row, to, db ? 1.0 : to);
        add_number(row, to - from, db ? 1.0 : from);
        return;
    }
    struct cw_table cell;
    struct cw_lead_values plain = row->other->leads;
    char change[48];
    plain.spread[id] = 0.0;
    cw_table_init(&cell, 1);
    cw_lead_add(&cell, id, &plain, false);
    print_change(row, id, change, sizeof change);
    cw_table_add(row->table, "%s%s", cell.count ? cell.cell[0] : "", change);
    row->table->failed = row->table->failed || cell.failed;
    cw_table_free(&cell);
}

static void add_peak(const struct row *row)
{
    char text[64];
    const double *v = row->other->leads.value;
    cw_table_add(row->table, "%s", cw_print_peak(v[CW_LEAD_PEAK_HZ], v[CW_LEAD_PEAK], text, sizeof text));
}

/* Silence has a number in cw_loudness_of(). */
static double level_of(const struct row *row)
{
    bool silent = cw_loudness_of(&row->other->response, NULL) <= -200.0;
    return silent ? -HUGE_VAL : cw_loudness_against(&row->other->response, &row->base->response);
}

static void add_db(const struct row *row, double db, int decimals)
{
    char text[40];
    if (is_csv(row)) {
        add_number(row, db, 1.0);
    } else {
        cw_table_add(row->table, "%s", cw_print_db(db, decimals, text, sizeof text));
    }
}

/* ---- rows ---- */

static size_t columns_of(enum cw_compare_form form)
{
    return form == CW_COMPARE_NARROW ? 5 : form == CW_COMPARE_CSV ? 2 * ALL_LEADS + 7 : ALL_LEADS + 4;
}

static void add_heading(struct cw_table *table, enum cw_compare_form form)
{
    bool csv = form == CW_COMPARE_CSV;
    size_t count;
    const enum cw_lead_id *leads = leads_of(form, &count);
    cw_table_add(table, "%s", csv ? "candidate" : "Candidate");
    for (size_t i = 0; i < count; i++) {
        cw_table_add(table, "%s", cw_lead_heading(leads[i], csv));
        if (csv) {
            cw_table_add(table, "change of %s", cw_lead_heading(leads[i], csv));
        }
    }
    cw_table_add(table, "%s", csv ? "change of EMF, dB" : form == CW_COMPARE_NARROW ? "Peak" : "EMF");
    cw_table_add(table, "%s", csv ? "change of level, dB" : "Level");
    if (csv) {
        cw_table_add(table, "%s", "difference of the band that differs most, dB");
        cw_table_add(table, "%s", "centre of that band, Hz");
        cw_table_add(table, "%s", "times just noticeable");
    }
    cw_table_add(table, "%s", csv ? "heard" : "Heard?");
}

static void add_figures(const struct row *row, const struct cw_audible *audible)
{
    size_t count;
    const enum cw_lead_id *leads = leads_of(row->form, &count);
    for (size_t i = 0; i < count; i++) {
        add_lead(row, leads[i]);
    }
    if (row->form == CW_COMPARE_NARROW) {
        add_peak(row);
    } else {
        add_db(row, row->other->leads.value[CW_LEAD_EMF] - row->base->leads.value[CW_LEAD_EMF], 1);
    }
    add_db(row, level_of(row), 2);
    if (is_csv(row)) {
        add_number(row, audible->worst, 1.0);
        add_number(row, audible->hz, 1.0);
        add_number(row, audible->times, 1.0);
    }
}

/* Why there is no verdict: in full, and in brief for the narrow table. */
struct reason {
    char full[TEXT];
    const char *brief;
};

static bool find_reason(const struct cw_candidate *candidate, struct reason *reason)
{
    char turns[TEXT / 2];
    if (cw_turns_missing(&candidate->setup, turns, sizeof turns)) {
        snprintf(reason->full, TEXT, "does not fit: %s", turns);
        reason->brief = "does not fit";
    } else if (candidate->idle != CW_ACTS) {
        snprintf(reason->full, TEXT, "does nothing here: %s", cw_idle_words(candidate->idle));
        reason->brief = "does nothing here";
    } else {
        reason->brief = NULL;
    }
    return reason->brief != NULL;
}

/* The name in the table; by its number where the narrow table has no room for it. */
static void add_name(const struct row *row, const struct cw_candidate *candidate, size_t number)
{
    if (row->form == CW_COMPARE_NARROW && cw_text_width(candidate->label) > row->name_columns) {
        cw_table_add(row->table, "%zu: see below", number);
    } else if (row->form == CW_COMPARE_NARROW) {
        cw_table_add(row->table, "%zu: %s", number, candidate->label);
    } else {
        cw_table_add(row->table, "%s", candidate->label);
    }
}

static void add_row(struct row *row, const struct cw_candidate *candidate, size_t number)
{
    struct cw_audible audible = {0};
    struct reason reason;
    char words[TEXT];
    bool because = find_reason(candidate, &reason);
    add_name(row, candidate, number);
    if (because && strncmp(reason.full, "does not fit", 12) == 0) {
        for (size_t i = 2; i < columns_of(row->form); i++) {
            cw_table_add(row->table, "%s", "");
        }
    } else {
        audible = cw_audible_of(row->other->band, row->base->band);
        add_figures(row, &audible);
    }
    const char *verdict = is_base(row)                                ? ""
                          : because && row->form == CW_COMPARE_NARROW ? reason.brief
                          : because                                   ? reason.full
                                                                      : cw_audible_words(&audible, words, sizeof words);
    cw_table_add(row->table, "%s", verdict);
}

/* ---- output ---- */

static void print_markdown(const struct cw_table *table, FILE *stream)
{
    for (size_t i = 0; i < table->count; i++) {
        fputs("| ", stream);
        cw_print_markdown(stream, table->cell[i]);
        fputs((i + 1) % table->columns == 0 ? " |\n" : " ", stream);
        if (i + 1 == table->columns) {
            for (size_t c = 0; c < table->columns; c++) {
                fputs("|---", stream);
            }
            fputs("|\n", stream);
        }
    }
}

/* What the narrow table had no room for. */
static void print_below(FILE *stream, const struct cw_candidates *candidates, size_t name_columns)
{
    for (size_t i = 0; i < candidates->count; i++) {
        const struct cw_candidate *candidate = &candidates->item[i];
        struct reason reason;
        bool long_name = cw_text_width(candidate->label) > name_columns, because = find_reason(candidate, &reason);
        char line[TEXT + CW_SHOWN_BYTES + 40], shown[CW_SHOWN_BYTES];
        if (long_name || because) {
            snprintf(line, sizeof line, "%zu: %s%s%s", i + 1,
                     long_name ? cw_show(candidate->label, shown, sizeof shown) : "", long_name && because ? ": " : "",
                     because ? reason.full : "");
            cw_wrap(stream, line, 0, 3, CW_TABLE_WIDTH);
        }
    }
}

/* All candidates as they were judged, and the order of their rows. */
struct sheet {
    const struct cw_candidates *candidates;
    size_t against;
    enum cw_compare_form form;
    struct judged *judged;
    size_t *order;
};

/* How far a row is from the first in rank: the base leads, what cannot be wound ends. */
static double distance(const struct sheet *sheet, size_t index)
{
    char missing[TEXT / 2];
    if (index == sheet->against) {
        return -1.0;
    }
    if (cw_turns_missing(&sheet->candidates->item[index].setup, missing, sizeof missing)) {
        return HUGE_VAL;
    }
    return fmin(cw_audible_of(sheet->judged[index].band, sheet->judged[sheet->against].band).times, DBL_MAX);
}

static void rank_rows(struct sheet *sheet)
{
    for (size_t i = 1; i < sheet->candidates->count; i++) {
        size_t moved = sheet->order[i], at = i;
        double far = distance(sheet, moved);
        for (; at > 0 && distance(sheet, sheet->order[at - 1]) > far; at--) {
            sheet->order[at] = sheet->order[at - 1];
        }
        sheet->order[at] = moved;
    }
}

static bool open_sheet(struct sheet *sheet, bool ranked)
{
    size_t count = sheet->candidates->count;
    sheet->judged = malloc(count * sizeof *sheet->judged);
    sheet->order = malloc(count * sizeof *sheet->order);
    if (!sheet->judged || !sheet->order) {
        cw_error_memory();
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        judge(&sheet->candidates->item[i].setup, &sheet->judged[i]);
        sheet->order[i] = i;
    }
    if (ranked) {
        rank_rows(sheet);
    }
    return true;
}

static void fill(struct cw_table *table, const struct sheet *sheet, size_t name_columns)
{
    cw_table_init(table, columns_of(sheet->form));
    add_heading(table, sheet->form);
    for (size_t i = 0; i < sheet->candidates->count; i++) {
        size_t index = sheet->order[i];
        struct row row = {table, sheet->form, name_columns, &sheet->judged[sheet->against], &sheet->judged[index]};
        add_row(&row, &sheet->candidates->item[index], index + 1);
    }
}

static bool print_sheet(FILE *stream, const struct sheet *sheet)
{
    static const size_t room[] = {60, 32, 24, 16, 0};
    const struct cw_candidates *candidates = sheet->candidates;
    enum cw_compare_form form = sheet->form;
    struct cw_table table;
    bool good = true, narrow = form == CW_COMPARE_NARROW;
    size_t try = 0;
    fill(&table, sheet, room[0]);
    while (narrow && room[try] > 0 && cw_table_width(&table) > CW_TABLE_WIDTH) {
        cw_table_free(&table);
        fill(&table, sheet, room[++try]);
    }
    if (form == CW_COMPARE_MARKDOWN && !table.failed) {
        print_markdown(&table, stream);
    } else {
        good = cw_table_print(&table, stream, form == CW_COMPARE_CSV);
    }
    if (good && narrow) {
        print_below(stream, candidates, room[try]);
    }
    if (good && (narrow || form == CW_COMPARE_WIDE)) {
        cw_level_note_print(candidates, stream);
    }
    cw_table_free(&table);
    return good;
}

bool cw_compare_print(FILE *stream, const struct cw_candidates *candidates, size_t against, enum cw_compare_form form,
                      bool ranked)
{
    struct sheet sheet = {.candidates = candidates, .against = against, .form = form};
    bool good = open_sheet(&sheet, ranked) && print_sheet(stream, &sheet);
    free(sheet.judged);
    free(sheet.order);
    return good;
}
