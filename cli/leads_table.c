/* SPDX-License-Identifier: ISC */
#include "leads_table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "coil.h"
#include "escape.h"
#include "message.h"
#include "numbers.h"
#include "quantity.h"
#include "setup.h"
#include "wire.h"
#include "wrap.h"

/* How a value is written: in which unit, with how many decimals. */
static const struct form {
    const char *heading, *csv_heading, *unit;
    double scale;
    int decimals;
} forms[CW_LEADS] = {
    [CW_LEAD_RESISTANCE] = {"DC res.", "DC resistance, ohm", "kΩ", 1e-3, 2},
    [CW_LEAD_INDUCTANCE] = {"Inductance", "inductance, H", "H", 1, 2},
    [CW_LEAD_CAPACITANCE] = {"Capacitance", "capacitance, F", "pF", 1e12, 0},
    [CW_LEAD_LOSS] = {"Eddy loss", "eddy loss, ohm", "kΩ", 1e-3, 0},
    [CW_LEAD_EMF] = {"EMF", "EMF, dB", "dB", 1, 1},
    [CW_LEAD_UNLOADED] = {"Unloaded", "unloaded resonance, Hz", "kHz", 1e-3, 2},
    [CW_LEAD_RESONANCE] = {"Resonance", "resonance, Hz", "kHz", 1e-3, 2},
    [CW_LEAD_PEAK_HZ] = {"Peak at", "peak frequency, Hz", "kHz", 1e-3, 2},
    [CW_LEAD_PEAK] = {"Peak", "peak height, dB", "dB", 1, 1},
};

static bool in_db(enum cw_lead_id id) { return id == CW_LEAD_EMF || id == CW_LEAD_PEAK; }

static bool is_frequency(enum cw_lead_id id)
{
    return id == CW_LEAD_UNLOADED || id == CW_LEAD_RESONANCE || id == CW_LEAD_PEAK_HZ;
}

const char *cw_lead_heading(enum cw_lead_id id, bool csv) { return csv ? forms[id].csv_heading : forms[id].heading; }

void cw_lead_add(struct cw_table *table, enum cw_lead_id id, const struct cw_lead_values *values, bool csv)
{
    const struct form *form = &forms[id];
    double value = values->value[id], spread = values->spread[id];
    char text[40], range[40];
    if (csv) {
        cw_table_add(table, "%s", cw_print_csv_number(value, in_db(id) ? 1.0 : value, text, sizeof text));
    } else if (is_frequency(id) && value <= 0.0) {
        cw_table_add(table, "%s",
                     id == CW_LEAD_PEAK_HZ ? cw_print_peak_hz(value, text, sizeof text)
                                           : cw_print_resonance(value, text, sizeof text));
    } else if (id == CW_LEAD_PEAK && values->value[CW_LEAD_PEAK_HZ] <= 0.0) {
        cw_table_add(table, "%s", "");
    } else if (in_db(id)) {
        cw_print_db(value, form->decimals, text, sizeof text);
        cw_table_add(table, spread > 0.0 ? "%s ±%s" : "%s", text, cw_print_plain(spread, 1, range, sizeof range));
    } else {
        cw_print_plain(value * form->scale, form->decimals, text, sizeof text);
        cw_print_percent_out(100.0 * spread / value, range, sizeof range);
        cw_table_add(table, spread > 0.0 ? "%s %s ±%s" : "%s %s", text, form->unit, range);
    }
}

bool cw_any_wound(const struct cw_candidates *candidates)
{
    for (size_t i = 0; i < candidates->count; i++) {
        if (candidates->item[i].setup.value[CW_P_COIL_FROM] == CW_FROM_WINDING) {
            return true;
        }
    }
    return false;
}

static const char *label_of(const struct cw_setup *setup, enum cw_param_id id, char *text, size_t size)
{
    return cw_value_print(&cw_param_info[id], setup->value[id], text, size);
}

/* How many coils there are, and how they are connected. */
static const char *coils_of(const struct cw_setup *setup)
{
    switch ((enum cw_coils)(int)setup->value[CW_P_COILS]) {
    case CW_COILS_SERIES: return "two coils in series";
    case CW_COILS_PARALLEL: return "two coils in parallel";
    case CW_COILS_ONE:
    default: return "one coil";
    }
}

static void print_turns(const struct cw_setup *setup, int coil, const char *which, FILE *stream)
{
    struct cw_winding w;
    cw_coil_winding(setup, coil, &w);
    double mass = w.wire_length * cw_wire_mass_per_metre(cw_wire_bare(setup->value[CW_P_GAUGE]).nominal);
    fprintf(stream, "%s%.0f turns, %.0f %% full, wound %.1f mm deep, %.0f m of wire, %.0f g of copper; ", which,
            w.turns, 100.0 * w.fill, 1e3 * w.build, w.wire_length, 1e3 * mass);
}

static void print_winding(const struct cw_candidate *candidate, FILE *stream)
{
    const struct cw_setup *setup = &candidate->setup;
    char shown[CW_SHOWN_BYTES];
    char gauge[32], insulation[32], former[40], core[40], magnet[32], potting[32];
    bool two = setup->value[CW_P_COILS] != CW_COILS_ONE, equal = setup->value[CW_P_SECOND_TURNS] == 100.0;
    fprintf(stream, "%s: %s; ", cw_show(candidate->label, shown, sizeof shown), coils_of(setup));
    print_turns(setup, 0, !two ? "" : equal ? "each coil " : "coil one ", stream);
    if (two && !equal) {
        print_turns(setup, 1, "coil two ", stream);
    }
    struct cw_wire_need all = cw_wire_need_of(setup);
    if (two) {
        fprintf(stream, "in all %.0f m, %.0f g; ", all.length, 1e3 * all.copper);
    }
    fprintf(stream, "%s, %s; %s, core %s, magnet %s, potting %s\n", label_of(setup, CW_P_GAUGE, gauge, sizeof gauge),
            label_of(setup, CW_P_INSULATION, insulation, sizeof insulation),
            label_of(setup, CW_P_FORMER, former, sizeof former), label_of(setup, CW_P_CORE, core, sizeof core),
            label_of(setup, CW_P_MAGNET, magnet, sizeof magnet),
            label_of(setup, CW_P_POTTING, potting, sizeof potting));
}

static int wound_coils(const struct cw_setup *setup)
{
    return setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING ? 0 : setup->value[CW_P_COILS] == CW_COILS_ONE ? 1 : 2;
}

void cw_turns_note_print(const char *label, const struct cw_setup *setup, FILE *stream)
{
    char shown[CW_SHOWN_BYTES];
    for (int coil = 0; coil < wound_coils(setup); coil++) {
        struct cw_winding w;
        cw_coil_winding(setup, coil, &w);
        if (w.turns < w.asked) {
            fprintf(stream, "%s: %s%.0f turns do not fit; the %.0f that do are taken\n",
                    cw_show(label, shown, sizeof shown), coil ? "coil two, " : "", w.asked, w.fits);
        }
    }
}

/* The line of a winding, broken where the terminal ends. */
static void print_winding_wrapped(const struct cw_candidate *candidate, FILE *stream)
{
    char *text = NULL;
    size_t size = 0;
    FILE *line = open_memstream(&text, &size);
    if (!line) {
        print_winding(candidate, stream);
        return;
    }
    print_winding(candidate, line);
    if (fclose(line) == 0) {
        text[strcspn(text, "\n")] = '\0';
        cw_wrap(stream, text, 0, 4, CW_TABLE_WIDTH);
    }
    free(text);
}

static void print_windings(const struct cw_candidates *candidates, FILE *stream)
{
    for (size_t i = 0; i < candidates->count; i++) {
        const struct cw_candidate *candidate = &candidates->item[i];
        if (wound_coils(&candidate->setup) > 0) {
            print_winding_wrapped(candidate, stream);
            cw_turns_note_print(candidate->label, &candidate->setup, stream);
        } else {
            char shown[CW_SHOWN_BYTES];
            fprintf(stream, "%s: %s, values as measured\n", cw_show(candidate->label, shown, sizeof shown),
                    coils_of(&candidate->setup));
        }
    }
}

void cw_level_note_print(const struct cw_candidates *candidates, FILE *stream)
{
    size_t wound = 0;
    for (size_t i = 0; i < candidates->count; i++) {
        wound += candidates->item[i].setup.value[CW_P_COIL_FROM] == CW_FROM_WINDING;
    }
    if (wound > 0 && wound < candidates->count) {
        cw_wrap(
            stream,
            "True level: one scale, the reference coil 0 dB. Windings have the EMF of their turns, core and magnet, "
            "measured values that of the square root of their inductance; for the usual coils the two are within "
            "1 dB.",
            0, 0, CW_TABLE_WIDTH);
    }
}

bool cw_lead_values_print(const struct cw_candidates *candidates, FILE *stream, bool csv, bool wide)
{
    struct cw_table table;
    cw_table_init(&table, 2 + CW_LEADS * (csv ? 2 : 1));
    table.fold = wide ? 0 : 2;
    cw_table_add(&table, "%s", csv ? "number" : "");
    cw_table_add(&table, "%s", csv ? "candidate" : "At the leads");
    for (int id = 0; id < CW_LEADS; id++) {
        cw_table_add(&table, "%s", cw_lead_heading((enum cw_lead_id)id, csv));
        if (csv) {
            cw_table_add(&table, "uncertainty of %s", cw_lead_heading((enum cw_lead_id)id, csv));
        }
    }
    for (size_t i = 0; i < candidates->count; i++) {
        struct cw_lead_values values;
        cw_lead_values_of(&candidates->item[i].setup, &candidates->item[i].known, &values);
        cw_table_add(&table, "%zu", i + 1);
        cw_table_add(&table, "%s", candidates->item[i].label);
        for (int id = 0; id < CW_LEADS; id++) {
            cw_lead_add(&table, (enum cw_lead_id)id, &values, csv);
            if (csv) {
                char text[40];
                cw_table_add(&table, "%s", cw_print_csv_number(values.spread[id], values.value[id], text, sizeof text));
            }
        }
    }
    bool good = cw_table_print(&table, stream, csv);
    cw_table_free(&table);
    if (good && !csv) {
        print_windings(candidates, stream);
        cw_level_note_print(candidates, stream);
    }
    return good;
}

bool cw_turns_missing(const struct cw_setup *setup, char *text, size_t size)
{
    for (int coil = 0; coil < wound_coils(setup); coil++) {
        struct cw_winding w;
        char gauge[32];
        cw_coil_winding(setup, coil, &w);
        if (w.turns < w.asked) {
            snprintf(text, size, "%.0f turns of %s%s: %.0f would fit", w.asked,
                     label_of(setup, CW_P_GAUGE, gauge, sizeof gauge), coil ? " on coil two" : "", w.fits);
            return true;
        }
    }
    return false;
}

bool cw_turns_fit(const char *name, const struct cw_setup *setup)
{
    char text[120];
    if (!cw_turns_missing(setup, text, sizeof text)) {
        return true;
    }
    cw_error_at(name, 0,
                "expected turns that fit the former, found %s (more with a higher packing, of %.0f %% now, or a larger "
                "former_build)",
                text, setup->value[CW_P_PACKING]);
    return false;
}
