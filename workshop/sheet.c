/* SPDX-License-Identifier: ISC */
#include "sheet.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "acceptance.h"
#include "acts.h"
#include "attributes.h"
#include "bench_load.h"
#include "circuit.h"
#include "coil.h"
#include "coil_limits.h"
#include "escape.h"
#include "numbers.h"
#include "quantity.h"
#include "setup.h"
#include "split_kind.h"
#include "split_words.h"
#include "wire.h"

const struct cw_sheet_heading cw_sheet_heading[CW_SHEET_SECTIONS] = {
    [CW_SHEET_TITLE] = {"", "", ""},
    [CW_SHEET_WINDING] = {"Winding", "metric", "inch"},
    [CW_SHEET_PARTS] = {"Parts that it was judged with", "", ""},
    [CW_SHEET_SPLIT] = {"Split", "", ""},
    [CW_SHEET_LIMITS] = {"Readings", "99 % of coils as designed", "accept if read"},
    [CW_SHEET_TEMPERATURE] = {"DC resistance by temperature", "as designed", "accept if read"},
    [CW_SHEET_CHECKS] = {"Checks", "", ""},
};

static void add(struct cw_sheet *sheet, enum cw_sheet_section section, const char *name, const char *second,
                const char *format, ...) CW_PRINTF(5, 6);

static void add(struct cw_sheet *sheet, enum cw_sheet_section section, const char *name, const char *second,
                const char *format, ...)
{
    if (sheet->count == CW_SHEET_ROWS) {
        return;
    }
    struct cw_sheet_row *row = &sheet->row[sheet->count++];
    va_list arguments;
    row->section = section;
    snprintf(row->name, sizeof row->name, "%s", name);
    snprintf(row->second, sizeof row->second, "%s", second);
    va_start(arguments, format);
    vsnprintf(row->first, sizeof row->first, format, arguments);
    va_end(arguments);
}

static void add_mm(struct cw_sheet *sheet, const char *name, double metre, int decimals)
{
    char inch[32];
    snprintf(inch, sizeof inch, "%.*f in", decimals + 1, metre / 0.0254);
    add(sheet, CW_SHEET_WINDING, name, inch, "%.*f mm", decimals, metre * 1e3);
}

/* A control by its name and value. */
static void add_control(struct cw_sheet *sheet, enum cw_sheet_section section, const struct cw_setup *setup, int id)
{
    char value[96];
    add(sheet, section, cw_param_info[id].name, "", "%s",
        cw_value_print(&cw_param_info[id], setup->value[id], value, sizeof value));
}

/* ---- sections ---- */

static void add_kept(struct cw_sheet *sheet, const struct cw_sheet_kept *kept)
{
    if (kept->journal_head) {
        add(sheet, CW_SHEET_TITLE, "Journal", "", "%zu entries, head %.32s", kept->entries, kept->journal_head);
    }
    if (kept->readings_head) {
        add(sheet, CW_SHEET_TITLE, "Readings", "", "%zu, head %.32s", kept->readings, kept->readings_head);
    }
}

static void add_title(struct cw_sheet *sheet, const struct cw_seal *seal, bool sealed)
{
    char reason[170];
    add(sheet, CW_SHEET_TITLE, "Title", "", "%s", seal->title);
    add(sheet, CW_SHEET_TITLE, "Revision", "", "%s, %s, %s", seal->revision, seal->date, cw_sheet_status(seal, sealed));
    cw_text_fit(seal->because, reason, sizeof reason);
    add(sheet, CW_SHEET_TITLE, "Reason", "", "%s%s", reason,
        strcmp(reason, seal->because) == 0 ? "" : " (the seal has all of it)");
    add(sheet, CW_SHEET_TITLE, "Before it", "", "%s", seal->before);
    add(sheet, CW_SHEET_TITLE, "Fingerprint", "", "%s", sealed ? seal->fingerprint : "none: not sealed");
    add(sheet, CW_SHEET_TITLE, "Approved by", "", "____________________  on ____________");
}

static void add_turns(struct cw_sheet *sheet, const struct cw_setup *setup)
{
    struct cw_winding one, two;
    cw_coil_winding(setup, 0, &one);
    add(sheet, CW_SHEET_WINDING, "Turns of coil one", "", "%.0f", one.turns);
    if (setup->value[CW_P_COILS] != CW_COILS_ONE) {
        cw_coil_winding(setup, 1, &two);
        add(sheet, CW_SHEET_WINDING, "Turns of coil two", "", "%.0f", two.turns);
        if (cw_param_acts(setup, CW_P_SPLIT_KEEP)) {
            bool is_two = setup->value[CW_P_SPLIT_COIL] == CW_SPLIT_COIL_TWO;
            add(sheet, CW_SHEET_WINDING, "Tap out after, from the end kept", "", "%.0f turns of %s",
                (is_two ? two.turns : one.turns) * setup->value[CW_P_SPLIT_KEEP] / 100.0,
                cw_split_coil_name(is_two ? CW_SPLIT_COIL_TWO : CW_SPLIT_COIL_ONE));
        }
    }
    add_mm(sheet, "Depth of the winding, coil one", one.build, 1);
    char feet[32];
    snprintf(feet, sizeof feet, "%.0f ft", one.wire_length / 0.3048);
    add(sheet, CW_SHEET_WINDING, "Wire of coil one, without leads", feet, "%.0f m", one.wire_length);
}

static void add_wire(struct cw_sheet *sheet, const struct cw_setup *setup)
{
    double gauge = setup->value[CW_P_GAUGE];
    struct cw_diameter bare = cw_wire_bare(gauge),
                       overall = cw_wire_overall(gauge, (enum cw_insulation)setup->value[CW_P_INSULATION]);
    char limits[48];
    snprintf(limits, sizeof limits, "%.5f .. %.5f in", bare.minimum / 0.0254, bare.maximum / 0.0254);
    add_control(sheet, CW_SHEET_WINDING, setup, CW_P_GAUGE);
    add(sheet, CW_SHEET_WINDING, "Wire, bare", limits, "%.4f mm, within %.4f .. %.4f mm", bare.nominal * 1e3,
        bare.minimum * 1e3, bare.maximum * 1e3);
    add_control(sheet, CW_SHEET_WINDING, setup, CW_P_INSULATION);
    add_mm(sheet, "Wire over the enamel, about", overall.nominal, 4);
}

static void add_former(struct cw_sheet *sheet, const struct cw_setup *setup)
{
    struct cw_former_size former = cw_coil_former(setup);
    add_control(sheet, CW_SHEET_WINDING, setup, CW_P_FORMER);
    add_mm(sheet, "Former: straight part of the winding", former.straight, 1);
    add_mm(sheet, "Former: inner width", 2.0 * former.inner_radius, 1);
    add_mm(sheet, "Former: height between flanges", former.height, 1);
    add_mm(sheet, "Former: depth of the window", former.build, 1);
}

static void add_winding(struct cw_sheet *sheet, const struct cw_setup *setup)
{
    static const int rest[] = {CW_P_PACKING, CW_P_CORE, CW_P_MAGNET, CW_P_POTTING, CW_P_COVER};
    if (setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING) {
        add(sheet, CW_SHEET_WINDING, "", "",
            "This coil is known by its values alone: turns, wire and former are the winder's choice, to meet the "
            "readings.");
        return;
    }
    add_control(sheet, CW_SHEET_WINDING, setup, CW_P_COILS);
    add_turns(sheet, setup);
    add_wire(sheet, setup);
    add_former(sheet, setup);
    for (size_t i = 0; i < sizeof rest / sizeof rest[0]; i++) {
        add_control(sheet, CW_SHEET_WINDING, setup, rest[i]);
    }
    add(sheet, CW_SHEET_WINDING, "Direction, seen from the top; start lead", "", "______________________________");
}

static void add_parts(struct cw_sheet *sheet, const struct cw_setup *setup)
{
    static const int id[] = {CW_P_VOLUME_POT,     CW_P_TONE_POT,     CW_P_TONE_CAP,          CW_P_BLEED_CAP,
                             CW_P_BLEED_RESISTOR, CW_P_CABLE_LENGTH, CW_P_CABLE_CAPACITANCE, CW_P_INPUT_RESISTANCE};
    for (size_t i = 0; i < sizeof id / sizeof id[0]; i++) {
        if (cw_param_acts(setup, (enum cw_param_id)id[i])) {
            add_control(sheet, CW_SHEET_PARTS, setup, id[i]);
        }
    }
}

static void add_split(struct cw_sheet *sheet, const struct cw_seal *seal)
{
    const struct cw_setup *setup = &seal->setup;
    char parts[96];
    if (!cw_split_acts(setup)) {
        return;
    }
    add_control(sheet, CW_SHEET_SPLIT, setup, CW_P_SPLIT_BY);
    add(sheet, CW_SHEET_SPLIT, "Parts", "", "%s", cw_split_parts(setup, 0.0, 0.0, parts, sizeof parts));
    add(sheet, CW_SHEET_SPLIT, "Coil reduced", "", "%s",
        cw_split_coil_name((enum cw_split_coil)setup->value[CW_P_SPLIT_COIL]));
    add(sheet, CW_SHEET_SPLIT, "", "",
        "Split on it reads %.3f kΩ at 20 °C as designed; all readings below are with the split off.",
        1e-3 * seal->figure[CW_SEAL_RESISTANCE]);
}

/* Five digits of what is read at the bench, in the unit a meter shows. */
static void add_limits(struct cw_sheet *sheet, const struct cw_seal *seal)
{
    static const struct {
        const char *name, *unit;
        double scale, meter;
    } row[CW_BENCH_READINGS] = {
        [CW_READING_RESISTANCE] = {"DC resistance at 20 °C", "kΩ", 1e-3, CW_METER_RESISTANCE},
        [CW_READING_INDUCTANCE] = {"Inductance, series mode, 120 Hz, 1 V or less", "H", 1.0, CW_METER_INDUCTANCE},
        [CW_READING_RESONANCE] = {"Resonance with 470 pF and 1 MΩ across", "kHz", 1e-3, CW_METER_RESONANCE},
    };
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        struct cw_limits limit = seal->limit[i];
        struct cw_limits accept = cw_guarded(limit, row[i].meter * 0.5 * (limit.low + limit.high));
        char second[48];
        snprintf(second, sizeof second, "%.3f .. %.3f %s", accept.low * row[i].scale, accept.high * row[i].scale,
                 row[i].unit);
        add(sheet, CW_SHEET_LIMITS, row[i].name, second, "%.3f .. %.3f %s", limit.low * row[i].scale,
            limit.high * row[i].scale, row[i].unit);
    }
    add(sheet, CW_SHEET_LIMITS, "", "",
        "Accepted inside the limits by what meters are good for: 0.5 %%, 1 %%, 1 %% (ISO 14253-1). Limits: %s.",
        cw_seal_limits_words(seal));
}

static void add_temperatures(struct cw_sheet *sheet, const struct cw_seal *seal)
{
    struct cw_limits limit = seal->limit[CW_READING_RESISTANCE];
    struct cw_limits accept = cw_guarded(limit, CW_METER_RESISTANCE * 0.5 * (limit.low + limit.high));
    struct cw_setup whole = cw_bench_setup(&seal->setup);
    struct cw_pickup pickup;
    cw_coil_solve(&whole, &pickup);
    double designed = cw_circuit_dc_resistance(&whole, &pickup);
    for (double celsius = 15.0; celsius <= 30.0; celsius += 3.0) {
        double ratio = 1e-3 * cw_wire_resistance_ratio(celsius);
        char name[32], second[48];
        snprintf(name, sizeof name, "%.0f °C, %.0f °F", celsius, celsius * 1.8 + 32.0);
        snprintf(second, sizeof second, "%.3f .. %.3f kΩ", accept.low * ratio, accept.high * ratio);
        add(sheet, CW_SHEET_TEMPERATURE, name, second, "%.3f kΩ", designed * ratio);
    }
}

/* Two coils in series, joined the wrong way round: the flux they share counts against them. */
static void add_polarity(struct cw_sheet *sheet, const struct cw_setup *setup)
{
    struct cw_setup whole = cw_bench_setup(setup);
    struct cw_pickup pickup;
    cw_coil_solve(&whole, &pickup);
    double right = cw_circuit_lead_inductance(&whole, &pickup, CW_BENCH_HZ);
    pickup.mutual = -pickup.mutual;
    double wrong = cw_circuit_lead_inductance(&whole, &pickup, CW_BENCH_HZ);
    add(sheet, CW_SHEET_CHECKS, "", "",
        "Polarity: both coils in series, unsplit, read %.2f H; %.2f H is one coil the wrong way round. Dots at the "
        "like "
        "ends.",
        right, wrong);
    add(sheet, CW_SHEET_CHECKS, "", "",
        "Hum: near a mains transformer both coils hum less than either alone. If not, one magnet or coil is reversed.");
}

static void add_checks(struct cw_sheet *sheet, const struct cw_setup *setup)
{
    if (setup->value[CW_P_COILS] == CW_COILS_SERIES) {
        add_polarity(sheet, setup);
    }
    add(sheet, CW_SHEET_CHECKS, "", "",
        "A meter in parallel mode reads several times the inductance: series mode, and write mode and frequency down.");
    add(sheet, CW_SHEET_CHECKS, "", "",
        "Wind, pot and solder by local codes and the makers' data sheets: hot wax, fumes and spinning machines hurt.");
    add(sheet, CW_SHEET_CHECKS, "Meters", "", "________________________________________________");
    add(sheet, CW_SHEET_CHECKS, "Spool, date, name", "", "________________________________________________");
}

const char *cw_sheet_status(const struct cw_seal *seal, bool sealed) { return sealed ? seal->status : "NOT SEALED"; }

void cw_sheet_fill(const struct cw_seal *seal, bool sealed, const struct cw_sheet_kept *kept, struct cw_sheet *sheet)
{
    sheet->count = 0;
    add_title(sheet, seal, sealed);
    add_kept(sheet, kept);
    add_winding(sheet, &seal->setup);
    add_parts(sheet, &seal->setup);
    add_split(sheet, seal);
    add_limits(sheet, seal);
    add_temperatures(sheet, seal);
    add_checks(sheet, &seal->setup);
}
