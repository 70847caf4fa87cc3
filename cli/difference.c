/* SPDX-License-Identifier: ISC */
#include "difference.h"

#include <string.h>

#include "acts.h"
#include "audible.h"
#include "circuit.h"
#include "coil.h"
#include "fingerprint.h"
#include "numbers.h"
#include "quantity.h"
#include "seal.h"
#include "table.h"
#include "transfer.h"

static bool differs(const struct cw_setup *from, const struct cw_setup *to, int id)
{
    return (float)from->value[id] != (float)to->value[id];
}

int cw_differences(const struct cw_setup *from, const struct cw_setup *to)
{
    int count = 0;
    for (int i = 0; i < CW_PARAMS; i++) {
        count += differs(from, to, i);
    }
    return count;
}

/* With all digits that it has. */
static void print_whole(const struct cw_param_info *info, double value, char *text, size_t size)
{
    char number[CW_VALUE_TEXT];
    const char *unit = cw_unit_symbol(info->unit);
    cw_canonical_value(value, number);
    snprintf(text, size, "%s%s%s", number, *unit ? " " : "", unit);
}

/* A change too small for the digits that people read is shown by all that it has. */
static void add_change(struct cw_table *table, const struct cw_setup *from, const struct cw_setup *to, int id)
{
    const struct cw_param_info *info = &cw_param_info[id];
    char before[96], after[96];
    cw_value_print(info, from->value[id], before, sizeof before);
    cw_value_print(info, to->value[id], after, sizeof after);
    if (strcmp(before, after) == 0) {
        print_whole(info, from->value[id], before, sizeof before);
        print_whole(info, to->value[id], after, sizeof after);
    }
    bool idle = !cw_param_acts(from, (enum cw_param_id)id) && !cw_param_acts(to, (enum cw_param_id)id);
    cw_table_add(table, "%s", info->name);
    cw_table_add(table, "%s", before);
    cw_table_add(table, "%s", after);
    cw_table_add(table, "%s", idle ? "does nothing here" : "");
}

static bool finish(struct cw_table *table, FILE *stream)
{
    bool good = cw_table_print(table, stream, false);
    cw_table_free(table);
    return good;
}

static bool print_controls(FILE *stream, const struct cw_setup *from, const struct cw_setup *to)
{
    struct cw_table table;
    cw_table_init(&table, 4);
    cw_table_add(&table, "Control");
    cw_table_add(&table, "From");
    cw_table_add(&table, "To");
    cw_table_add(&table, "%s", "");
    for (int i = 0; i < CW_PARAMS; i++) {
        if (differs(from, to, i)) {
            add_change(&table, from, to, i);
        }
    }
    return finish(&table, stream);
}

/* A figure as people read it; the unit is the one of the seal. */
static const char *in_words(const char *unit, double value, char *text, size_t size)
{
    switch (*unit) {
    case 'o': return cw_print_ohms(1e-3 * value, text, size);
    case 'F': return cw_print_farads(1e9 * value, text, size);
    case 'd': return cw_print_db(value, 2, text, size);
    default: return strcmp(unit, "Hz") == 0 ? cw_print_resonance(value, text, size) : cw_print_henry(value, text, size);
    }
}

static bool print_figures(FILE *stream, const struct cw_setup *from, const struct cw_setup *to)
{
    double before[CW_SEAL_FIGURES], after[CW_SEAL_FIGURES];
    struct cw_table table;
    cw_table_init(&table, 4);
    cw_table_add(&table, "Figure");
    cw_table_add(&table, "From");
    cw_table_add(&table, "To");
    cw_table_add(&table, "Change");
    cw_seal_figures(from, before);
    cw_seal_figures(to, after);
    for (int i = 0; i < CW_SEAL_FIGURES; i++) {
        const struct cw_seal_figure_info *info = &cw_seal_figure_info[i];
        bool db = strcmp(info->unit, "dB") == 0, comparable = before[i] != 0.0 && after[i] != 0.0;
        char text[40], change[40];
        cw_table_add(&table, "%s", info->words);
        cw_table_add(&table, "%s", in_words(info->unit, before[i], text, sizeof text));
        cw_table_add(&table, "%s", in_words(info->unit, after[i], text, sizeof text));
        if (db) {
            cw_table_add(&table, "%s", cw_print_db(after[i] - before[i], 2, change, sizeof change));
        } else if (comparable) {
            cw_print_percent_change(100.0 * (after[i] / before[i] - 1.0), 2, change, sizeof change);
            cw_table_add(&table, "%s", change);
        } else {
            cw_table_add(&table, "%s", "");
        }
    }
    return finish(&table, stream);
}

static bool splits(const struct cw_setup *setup)
{
    return setup->value[CW_P_SPLIT] > 0.0 && cw_param_acts(setup, CW_P_SPLIT);
}

static void transfer_of(const struct cw_setup *setup, struct cw_transfer *h)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, h);
}

bool cw_difference_print(FILE *stream, const struct cw_setup *from, const struct cw_setup *to)
{
    struct cw_transfer before, after;
    char words[160];
    if (cw_differences(from, to) == 0) {
        fputs("Every control is the same.\n", stream);
        return true;
    }
    if (!print_controls(stream, from, to)) {
        return false;
    }
    fputc('\n', stream);
    if (!print_figures(stream, from, to)) {
        return false;
    }
    if (splits(from) || splits(to)) {
        fputs("Where a split is on, figures are of what it leaves; limits and readings are of the whole pickup.\n",
              stream);
    }
    transfer_of(from, &before);
    transfer_of(to, &after);
    struct cw_audible audible = cw_audible_between(&after, &before);
    fprintf(stream, "\nHeard? %s.\n", cw_audible_words(&audible, words, sizeof words));
    return true;
}
