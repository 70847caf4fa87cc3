/* SPDX-License-Identifier: ISC */
#include "calibrate.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "circuit.h"
#include "coil.h"
#include "quantity.h"
#include "transfer.h"
#include "wire.h"

/* A resistor, in MΩ, that is not there. */
static const double not_there = 1e12;

void cw_measurement_init(struct cw_measurement *measurement)
{
    *measurement = (struct cw_measurement){.resistance = NAN,
                                           .celsius = 20.0,
                                           .inductance = NAN,
                                           .meter_hz = 120.0,
                                           .resonance = NAN,
                                           .peak = NAN,
                                           .load_farad = 0.0,
                                           .load_ohm = INFINITY};
}

bool cw_measurement_any(const struct cw_measurement *m)
{
    return !isnan(m->resistance) || !isnan(m->inductance) || !isnan(m->resonance) || !isnan(m->peak);
}

/* ---- reading ---- */

static bool above_zero(const char *text, enum cw_unit unit, double *value)
{
    double read;
    if (!cw_quantity_parse(text, unit, &read) || !(read > 0.0)) {
        return false;
    }
    *value = read;
    return true;
}

static bool temperature(const char *text, double *celsius)
{
    char *end;
    double read = strtod(text, &end);
    bool unit = *end == '\0' || strcmp(end, "C") == 0 || strcmp(end, "°C") == 0;
    if (end == text || !unit || !(read > -40.0 && read < 120.0)) {
        return false;
    }
    *celsius = read;
    return true;
}

/* One part of a load: with F, p or n it is a capacitor, else a resistor. */
static bool load_part(const char *text, struct cw_measurement *m)
{
    double value;
    if (strpbrk(text, "Fpn")) {
        if (!above_zero(text, CW_UNIT_PF, &value)) {
            return false;
        }
        m->load_farad = value * 1e-12;
        return true;
    }
    if (!strpbrk(text, "kMRmΩ") || !above_zero(text, CW_UNIT_KOHM, &value)) {
        return false;
    }
    m->load_ohm = value * 1e3;
    return true;
}

static bool load(char *text, struct cw_measurement *m)
{
    for (char *part = text; part;) {
        char *comma = strchr(part, ',');
        if (comma) {
            *comma = '\0';
        }
        if (!load_part(part, m)) {
            return false;
        }
        part = comma ? comma + 1 : NULL;
    }
    return true;
}

static bool take(struct cw_measurement *m, const char *name, const char *value, char *condition)
{
    if (strcmp(name, "resistance") == 0) {
        double kohm;
        if (!above_zero(value, CW_UNIT_KOHM, &kohm)) {
            return false;
        }
        m->resistance = kohm * 1e3;
        return !condition || temperature(condition, &m->celsius);
    }
    if (strcmp(name, "inductance") == 0) {
        return above_zero(value, CW_UNIT_HENRY, &m->inductance) &&
               (!condition || above_zero(condition, CW_UNIT_HZ, &m->meter_hz));
    }
    if (strcmp(name, "resonance") == 0) {
        return above_zero(value, CW_UNIT_HZ, &m->resonance) && (!condition || load(condition, m));
    }
    return strcmp(name, "peak") == 0 && !condition && above_zero(value, CW_UNIT_DB, &m->peak);
}

bool cw_measurement_add(struct cw_measurement *measurement, const char *text, char *why, size_t why_size)
{
    char copy[128];
    if (strlen(text) < sizeof copy) {
        strcpy(copy, text);
        char *value = strchr(copy, '=');
        char *condition = value ? strchr(value, '@') : NULL;
        if (condition) {
            *condition++ = '\0';
        }
        if (value) {
            *value++ = '\0';
            if (take(measurement, copy, value, condition)) {
                return true;
            }
        }
    }
    snprintf(why, why_size,
             "expected resistance=4.7k@24 (degrees C), inductance=1.75H@120 (Hz), resonance=3.1k@500pF,1M (load) or "
             "peak=9dB, found '%.64s'",
             text);
    return false;
}

/* ---- solving ---- */

/* The pickup on the bench: split off, no controls, no cable, the load of the measurement. */
static struct cw_setup bench(const struct cw_setup *setup, const struct cw_measurement *m)
{
    struct cw_setup s = *setup;
    s.value[CW_P_SPLIT] = 0.0;
    s.value[CW_P_VOLUME] = 10.0;
    s.value[CW_P_VOLUME_POT] = not_there * 1e3;
    s.value[CW_P_TONE_CAP] = 0.0;
    s.value[CW_P_BLEED_CAP] = 0.0;
    s.value[CW_P_CABLE_LENGTH] = 0.0;
    s.value[CW_P_INPUT_CAPACITANCE] = m->load_farad * 1e12;
    s.value[CW_P_INPUT_RESISTANCE] = fmin(m->load_ohm * 1e-6, not_there);
    return s;
}

static struct cw_peak peak_of(const struct cw_setup *setup, const struct cw_measurement *m)
{
    struct cw_setup s = bench(setup, m);
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(&s, &pickup);
    cw_circuit_transfer(&s, &pickup, CW_DRIVE_STRING, &h);
    return cw_transfer_peak(&h);
}

static double lead_resistance(const struct cw_setup *setup)
{
    struct cw_setup s = *setup;
    struct cw_pickup pickup;
    s.value[CW_P_SPLIT] = 0.0;
    cw_coil_solve(&s, &pickup);
    return cw_circuit_dc_resistance(&s, &pickup);
}

static double lead_inductance(const struct cw_setup *setup, double hz)
{
    struct cw_setup s = *setup;
    struct cw_pickup pickup;
    s.value[CW_P_SPLIT] = 0.0;
    cw_coil_solve(&s, &pickup);
    return cw_circuit_lead_inductance(&s, &pickup, hz);
}

static bool wound(const struct cw_setup *setup) { return setup->value[CW_P_COIL_FROM] == CW_FROM_WINDING; }

/* Set a parameter, or say that it would be out of its range. */
static bool set(struct cw_setup *setup, enum cw_param_id id, double value, char *why, size_t why_size)
{
    const struct cw_param_info *info = &cw_param_info[id];
    if (!(value >= info->minimum && value <= info->maximum)) {
        const char *unit = cw_unit_symbol(info->unit);
        snprintf(why, why_size, "%s: expected %g to %g %s, the measurement asks for %.4g", info->symbol, info->minimum,
                 info->maximum, unit, value);
        return false;
    }
    setup->value[id] = value;
    return true;
}

/* Share of the inductance that is left at the meter's frequency: the core's eddy currents. */
static double core_at(const struct cw_setup *setup, double hz)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    return cw_coil_inductance_at(&pickup.coil[0], hz) / cw_coil_inductance_at(&pickup.coil[0], CW_BENCH_HZ);
}

static bool unloaded(const struct cw_measurement *m) { return m->load_farad <= 0.0 && isinf(m->load_ohm); }

/* With nothing connected, the peak of the impedance; else that of the response. */
static double resonance_hz(const struct cw_setup *setup, const struct cw_measurement *m)
{
    if (!unloaded(m)) {
        return peak_of(setup, m).hz;
    }
    struct cw_setup s = bench(setup, m);
    struct cw_pickup pickup;
    struct cw_transfer z;
    cw_coil_solve(&s, &pickup);
    cw_circuit_impedance(&s, &pickup, &z);
    return cw_transfer_peak(&z).hz;
}

/* The unloaded resonance that the meter's reading is corrected for: as measured, where nothing was
 * connected then, else the model's. */
static double self_resonance(const struct cw_measurement *m, const struct cw_setup *setup)
{
    if (!isnan(m->resonance) && unloaded(m)) {
        return m->resonance;
    }
    struct cw_measurement nothing;
    cw_measurement_init(&nothing);
    return resonance_hz(setup, &nothing);
}

static bool solve_inductance(const struct cw_measurement *m, struct cw_setup *setup, char *why, size_t why_size)
{
    double f_r = self_resonance(m, setup);
    double ratio = f_r > 0.0 ? m->meter_hz / f_r : 0.0;
    if (ratio >= 0.8) {
        snprintf(why, why_size,
                 "inductance: expected a test frequency well below the resonance at %.0f Hz, found %.0f Hz", f_r,
                 m->meter_hz);
        return false;
    }
    double henry = m->inductance * (1.0 - ratio * ratio) / core_at(setup, m->meter_hz);
    enum cw_param_id id = wound(setup) ? CW_P_INDUCTANCE_CAL : CW_P_INDUCTANCE;
    double hz = wound(setup) ? CW_BENCH_HZ : m->meter_hz;
    return set(setup, id, setup->value[id] * henry / lead_inductance(setup, hz), why, why_size);
}

static double minus_peak_db(const struct cw_setup *setup, const struct cw_measurement *m)
{
    return -peak_of(setup, m).db;
}

/* Bisect on the logarithm of a parameter, of which figure() is a falling function. */
static bool solve(struct cw_setup *setup, enum cw_param_id id, const struct cw_measurement *m,
                  double (*figure)(const struct cw_setup *, const struct cw_measurement *), double wanted)
{
    double low = cw_param_info[id].minimum, high = cw_param_info[id].maximum;
    struct cw_setup trial = *setup;
    trial.value[id] = low;
    bool reached = figure(&trial, m) >= wanted;
    trial.value[id] = high;
    if (!reached || figure(&trial, m) > wanted) {
        return false;
    }
    for (int i = 0; i < 60; i++) {
        trial.value[id] = sqrt(low * high);
        *(figure(&trial, m) > wanted ? &low : &high) = trial.value[id];
    }
    setup->value[id] = sqrt(low * high);
    return true;
}

static bool solve_resonance(const struct cw_measurement *m, struct cw_setup *setup, char *why, size_t why_size)
{
    enum cw_param_id id = wound(setup) ? CW_P_CAPACITANCE_CAL : CW_P_CAPACITANCE;
    if (solve(setup, id, m, resonance_hz, m->resonance)) {
        return true;
    }
    snprintf(why, why_size, "resonance: no winding capacitance in range puts it at %.0f Hz; it stands at %.0f Hz",
             m->resonance, resonance_hz(setup, m));
    return false;
}

static bool solve_peak(const struct cw_measurement *m, struct cw_setup *setup, char *why, size_t why_size)
{
    enum cw_param_id id = wound(setup) ? CW_P_LOSS_CAL : CW_P_LOSS;
    if (solve(setup, id, m, minus_peak_db, -m->peak)) {
        return true;
    }
    snprintf(why, why_size, "peak: no eddy loss in range makes it %.1f dB high; it is %.1f dB", m->peak,
             peak_of(setup, m).db);
    return false;
}

bool cw_calibrate(const struct cw_measurement *m, struct cw_setup *setup, char *why, size_t why_size)
{
    struct cw_setup s = *setup;
    if (!isnan(m->resistance)) {
        enum cw_param_id id = wound(&s) ? CW_P_RESISTANCE_CAL : CW_P_RESISTANCE;
        double cold = m->resistance / cw_wire_resistance_ratio(m->celsius);
        if (!set(&s, id, s.value[id] * cold / lead_resistance(&s), why, why_size)) {
            return false;
        }
    }
    /* Each of the three moves the others a little: a few rounds settle them. */
    for (int round = 0; round < 6; round++) {
        if ((!isnan(m->inductance) && !solve_inductance(m, &s, why, why_size)) ||
            (!isnan(m->resonance) && !solve_resonance(m, &s, why, why_size)) ||
            (!isnan(m->peak) && !solve_peak(m, &s, why, why_size))) {
            return false;
        }
    }
    *setup = s;
    return true;
}
