/* SPDX-License-Identifier: ISC */
#include "history_report.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "coil_limits.h"
#include "journal.h"
#include "message.h"
#include "table.h"

const char *const cw_history_by_word[CW_HISTORY_BYS] = {"spec", "spool", "winder", "date"};

enum { LEAST_DIGITS = 8, KEY = CW_RECORD_TITLE + 64 };

/* ---- which ---- */

static bool is(const char *wanted, const char *found) { return !wanted || strcmp(wanted, found) == 0; }

bool cw_history_fits(const struct cw_history_filter *filter, const struct cw_record *record)
{
    size_t digits = filter->spec ? strlen(filter->spec) : 0;
    bool spec = is(filter->spec, record->title) ||
                (digits >= LEAST_DIGITS && strncmp(record->fingerprint, filter->spec, digits) == 0);
    return spec && is(filter->spool, record->spool) && is(filter->winder, record->winder) &&
           is(filter->serial, record->serial);
}

bool cw_history_keep(struct cw_history *history, size_t number, const struct cw_record *record)
{
    if (history->count == history->room) {
        size_t room = history->room ? 2 * history->room : 64;
        void *more = realloc(history->item, room * sizeof *history->item);
        if (!more) {
            cw_error_memory();
            return false;
        }
        history->item = more;
        history->room = room;
    }
    history->item[history->count].number = number;
    history->item[history->count++].record = *record;
    return true;
}

void cw_history_free(struct cw_history *history)
{
    free(history->item);
    *history = (struct cw_history){0};
}

/* ---- by something ---- */

/* What a line adds up. */
struct group {
    char key[KEY];
    size_t coils, verdict[3], read[CW_BENCH_READINGS];
    double off[CW_BENCH_READINGS];
};

static const char *key_of(const struct cw_record *record, enum cw_history_by by, char key[KEY])
{
    const char *const word[CW_HISTORY_BYS] = {
        [CW_HISTORY_BY_SPEC] = "",
        [CW_HISTORY_BY_SPOOL] = record->spool,
        [CW_HISTORY_BY_WINDER] = record->winder,
        [CW_HISTORY_BY_DATE] = record->date,
    };
    if (by == CW_HISTORY_BY_SPEC) {
        snprintf(key, KEY, "%s, %s, %.8s", record->title, record->revision, record->fingerprint);
    } else {
        snprintf(key, KEY, "%s", *word[by] ? word[by] : "not said");
    }
    return key;
}

static void count_in(struct group *group, const struct cw_record *record)
{
    group->coils++;
    group->verdict[record->verdict]++;
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        double off = record->corrected[i] / record->predicted[i] - 1.0;
        if (isfinite(off)) {
            group->off[i] += off;
            group->read[i]++;
        }
    }
}

static size_t add_up(const struct cw_history *history, enum cw_history_by by, struct group *group)
{
    size_t groups = 0;
    for (size_t k = 0; k < history->count; k++) {
        char key[KEY];
        size_t at = 0;
        key_of(&history->item[k].record, by, key);
        while (at < groups && strcmp(group[at].key, key) != 0) {
            at++;
        }
        if (at == groups) {
            memcpy(group[groups++].key, key, sizeof key);
        }
        count_in(&group[at], &history->item[k].record);
    }
    return groups;
}

static bool finish(struct cw_table *table, FILE *stream, bool csv)
{
    bool good = cw_table_print(table, stream, csv);
    cw_table_free(table);
    return good;
}

static void begin(struct cw_table *table, const char *const *heading, size_t columns)
{
    cw_table_init(table, columns);
    for (size_t i = 0; i < columns; i++) {
        cw_table_add(table, "%s", heading[i]);
    }
}

bool cw_history_print_groups(FILE *stream, const struct cw_history *history, enum cw_history_by by)
{
    static const char *const first[CW_HISTORY_BYS] = {"Design, revision, fingerprint", "Spool", "Winder", "Date"};
    const char *const heading[] = {first[by], "coils",          "pass",           "too close",
                                   "fail",    "resistance off", "inductance off", "resonance off"};
    struct cw_table table;
    struct group *group = calloc(history->count + 1, sizeof *group);
    if (!group) {
        cw_error_memory();
        return false;
    }
    begin(&table, heading, sizeof heading / sizeof heading[0]);
    size_t groups = add_up(history, by, group);
    for (size_t g = 0; g < groups; g++) {
        cw_table_add(&table, "%s", group[g].key);
        cw_table_add(&table, "%zu", group[g].coils);
        for (int i = 0; i < 3; i++) {
            cw_table_add(&table, "%zu", group[g].verdict[i]);
        }
        for (int i = 0; i < CW_BENCH_READINGS; i++) {
            if (group[g].read[i]) {
                cw_table_add(&table, "%+.1f %%", 100.0 * group[g].off[i] / (double)group[g].read[i]);
            } else {
                cw_table_add(&table, "%s", "");
            }
        }
    }
    free(group);
    return finish(&table, stream, false);
}

/* ---- one by one ---- */

static void add_scaled(struct cw_table *table, double value, double scale)
{
    if (isnan(value)) {
        cw_table_add(table, "%s", "");
    } else {
        cw_table_add(table, "%.3f", value * scale);
    }
}

bool cw_history_print_coils(FILE *stream, const struct cw_history *history)
{
    static const char *const heading[] = {"No.",           "Date",           "Design", "Rev.",
                                          "Spool",         "Winder",         "Coil",   "Resistance, kΩ",
                                          "Inductance, H", "Resonance, kHz", "Verdict"};
    struct cw_table table;
    begin(&table, heading, sizeof heading / sizeof heading[0]);
    for (size_t k = 0; k < history->count; k++) {
        const struct cw_record *r = &history->item[k].record;
        const char *const text[] = {r->date, r->title, r->revision, r->spool, r->winder, r->serial};
        cw_table_add(&table, "%zu", history->item[k].number);
        for (size_t i = 0; i < sizeof text / sizeof text[0]; i++) {
            cw_table_add(&table, "%s", text[i]);
        }
        add_scaled(&table, r->corrected[CW_READING_RESISTANCE], 1e-3);
        add_scaled(&table, r->corrected[CW_READING_INDUCTANCE], 1.0);
        add_scaled(&table, r->corrected[CW_READING_RESONANCE], 1e-3);
        cw_table_add(&table, "%s", cw_verdict_word[r->verdict]);
    }
    return finish(&table, stream, false);
}

/* The columns are those of the line of a record, whose fields have their names in them. */
bool cw_history_print_csv(FILE *stream, const struct cw_history *history)
{
    enum { NAMED_FROM = 3, FIELDS = 24 };
    static char line[CW_RECORD_LINE];
    const struct cw_record none = {.recorded = ""};
    struct cw_table table;
    cw_table_init(&table, FIELDS);
    for (size_t row = 0; row <= history->count; row++) {
        cw_record_print(row ? &history->item[row - 1].record : &none, row ? history->item[row - 1].number : 1, line);
        char *field = line;
        for (int i = 0; field; i++) {
            static const char *const fixed[NAMED_FROM] = {"number", "recorded", NULL};
            char *tab = strchr(field, '\t'), *equals = i >= NAMED_FROM ? strchr(field, '=') : NULL;
            if (tab) {
                *tab = '\0';
            }
            if (equals) {
                *equals = '\0';
                cw_table_add(&table, "%s", row ? equals + 1 : field);
            } else if (i < NAMED_FROM && fixed[i]) {
                cw_table_add(&table, "%s", row ? field : fixed[i]);
            }
            field = tab ? tab + 1 : NULL;
        }
    }
    return finish(&table, stream, true);
}

void cw_history_print_text(FILE *stream, const struct cw_records *records, const struct cw_record *record)
{
    char line[CW_RECORD_LINE];
    size_t length = cw_record_print(record, records->count, line);
    fprintf(stream, "%s%.*s\tchain=%s\n", records->count == 1 ? CW_JOURNAL_FIRST : "", (int)length, line,
            records->head);
}
