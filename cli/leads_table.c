/* SPDX-License-Identifier: ISC */
#include "leads_table.h"

#include <math.h>

#include "coil.h"
#include "escape.h"
#include "message.h"
#include "quantity.h"
#include "setup.h"
#include "wire.h"

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
    if (csv) {
        cw_table_add(table, "%.6g", value);
    } else if (is_frequency(id) && value <= 0.0) {
        cw_table_add(table, "%s", id == CW_LEAD_PEAK_HZ ? "flat" : "none");
    } else if (id == CW_LEAD_PEAK && values->value[CW_LEAD_PEAK_HZ] <= 0.0) {
        cw_table_add(table, "%s", "");
    } else if (spread <= 0.0) {
        cw_table_add(table, "%.*f %s", form->decimals, value * form->scale, form->unit);
    } else if (in_db(id)) {
        cw_table_add(table, "%.1f dB ±%.1f", fabs(value) < 0.05 ? 0.0 : value, spread);
    } else {
        cw_table_add(table, "%.*f %s ±%.0f %%", form->decimals, value * form->scale, form->unit,
                     100.0 * spread / value);
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

static void print_winding(const struct cw_candidate *candidate, int coil, FILE *stream)
{
    const struct cw_setup *setup = &candidate->setup;
    struct cw_winding w;
    char shown[CW_SHOWN_BYTES], gauge[32], insulation[32], former[40], core[40], magnet[32], potting[32];
    cw_coil_winding(setup, coil, &w);
    bool alike = setup->value[CW_P_COILS] != CW_COILS_ONE && setup->value[CW_P_SECOND_TURNS] == 100.0;
    double mass = w.wire_length * cw_wire_mass_per_metre(cw_wire_bare(setup->value[CW_P_GAUGE]).nominal);
    fprintf(stream,
            "%s: %s%.0f turns, %s, %s; %s, %.0f %% full, wound %.1f mm deep; core %s, magnet %s, potting %s; "
            "%.0f m of wire, %.0f g of copper",
            cw_show(candidate->label, shown, sizeof shown),
            coil    ? "coil two, "
            : alike ? "each coil "
                    : "",
            w.turns, label_of(setup, CW_P_GAUGE, gauge, sizeof gauge),
            label_of(setup, CW_P_INSULATION, insulation, sizeof insulation),
            label_of(setup, CW_P_FORMER, former, sizeof former), 100.0 * w.fill, 1e3 * w.build,
            label_of(setup, CW_P_CORE, core, sizeof core), label_of(setup, CW_P_MAGNET, magnet, sizeof magnet),
            label_of(setup, CW_P_POTTING, potting, sizeof potting), w.wire_length, 1e3 * mass);
    struct cw_wire_need all = cw_wire_need_of(setup);
    if (all.coils == 2 && (alike || coil == 1)) {
        fprintf(stream, "; in all %.0f m, %.0f g", all.length, 1e3 * all.copper);
    }
    fputc('\n', stream);
}

void cw_turns_note_print(const char *label, const struct cw_setup *setup, FILE *stream)
{
    int coils = setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING ? 0 : setup->value[CW_P_COILS] == CW_COILS_ONE ? 1 : 2;
    char shown[CW_SHOWN_BYTES];
    for (int coil = 0; coil < coils; coil++) {
        struct cw_winding w;
        cw_coil_winding(setup, coil, &w);
        if (w.turns < w.asked) {
            fprintf(stream, "%s: %s%.0f turns do not fit; the %.0f that do are taken\n",
                    cw_show(label, shown, sizeof shown), coil ? "coil two, " : "", w.asked, w.fits);
        }
    }
}

static void print_windings(const struct cw_candidates *candidates, FILE *stream)
{
    for (size_t i = 0; i < candidates->count; i++) {
        const struct cw_candidate *candidate = &candidates->item[i];
        if (candidate->setup.value[CW_P_COIL_FROM] != CW_FROM_WINDING) {
            continue;
        }
        print_winding(candidate, 0, stream);
        if (candidate->setup.value[CW_P_COILS] != CW_COILS_ONE && candidate->setup.value[CW_P_SECOND_TURNS] != 100.0) {
            print_winding(candidate, 1, stream);
        }
        cw_turns_note_print(candidate->label, &candidate->setup, stream);
    }
}

void cw_level_note_print(const struct cw_candidates *candidates, FILE *stream)
{
    size_t wound = 0;
    for (size_t i = 0; i < candidates->count; i++) {
        wound += candidates->item[i].setup.value[CW_P_COIL_FROM] == CW_FROM_WINDING;
    }
    if (wound > 0 && wound < candidates->count) {
        fputs("Level: one scale, the reference coil 0 dB. Windings have the EMF of their turns, core and magnet, "
              "measured values\n"
              "that of the square root of their inductance; for the usual coils the two are within 1 dB.\n",
              stream);
    }
}

bool cw_lead_values_print(const struct cw_candidates *candidates, FILE *stream, bool csv)
{
    struct cw_table table;
    cw_table_init(&table, 2 + CW_LEADS * (csv ? 2 : 1));
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
        cw_lead_values_of(&candidates->item[i].setup, &values);
        cw_table_add(&table, "%zu", i + 1);
        cw_table_add(&table, "%s", candidates->item[i].label);
        for (int id = 0; id < CW_LEADS; id++) {
            cw_lead_add(&table, (enum cw_lead_id)id, &values, csv);
            if (csv) {
                cw_table_add(&table, "%.6g", values.spread[id]);
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

bool cw_turns_fit(const char *name, const struct cw_setup *setup)
{
    if (setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING) {
        return true;
    }
    int coils = setup->value[CW_P_COILS] == CW_COILS_ONE ? 1 : 2;
    for (int coil = 0; coil < coils; coil++) {
        struct cw_winding w;
        char gauge[32];
        cw_coil_winding(setup, coil, &w);
        if (w.turns < w.asked) {
            cw_error_at(name, 0, "expected turns that fit the former, found %.0f turns of %s%s: %.0f would fit",
                        w.asked, label_of(setup, CW_P_GAUGE, gauge, sizeof gauge), coil ? " on coil two" : "", w.fits);
            return false;
        }
    }
    return true;
}
