/* SPDX-License-Identifier: ISC */
#include "calibrate.h"

#include <math.h>
#include <string.h>

#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "wire.h"
#include "transfer.h"

/* A resistor, in MΩ, that is not there. */
static const double not_there = 1e12;

enum { ROUNDS = 12, BISECTIONS = 36 };

/* ---- what the model measures ---- */

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

static bool wound(const struct cw_setup *setup) { return setup->value[CW_P_COIL_FROM] == CW_FROM_WINDING; }

static bool unloaded(const struct cw_measurement *m) { return m->load_farad <= 0.0 && isinf(m->load_ohm); }

static void impedance(const struct cw_setup *setup, const struct cw_measurement *m, struct cw_transfer *z)
{
    struct cw_setup s = bench(setup, m);
    struct cw_pickup pickup;
    cw_coil_solve(&s, &pickup);
    cw_circuit_impedance(&s, &pickup, z);
}

/* At the temperature of the reading. */
static double resistance_of(const struct cw_setup *setup, const struct cw_measurement *m)
{
    struct cw_setup s = bench(setup, m);
    struct cw_pickup pickup;
    cw_coil_solve(&s, &pickup);
    return cw_circuit_dc_resistance(&s, &pickup) * cw_wire_resistance_ratio(m->celsius);
}

/* What a meter shows in series mode. */
static double inductance_of(const struct cw_setup *setup, const struct cw_measurement *m)
{
    struct cw_transfer z;
    impedance(setup, m, &z);
    return cw_transfer_at(&z, m->meter_hz).im / (CW_TAU * m->meter_hz);
}

/* With nothing connected, the peak of the impedance; else that of the response. */
static double resonance_of(const struct cw_setup *setup, const struct cw_measurement *m)
{
    if (!unloaded(m)) {
        return peak_of(setup, m).hz;
    }
    struct cw_transfer z;
    impedance(setup, m, &z);
    return cw_transfer_peak(&z).hz;
}

static double height_of(const struct cw_setup *setup, const struct cw_measurement *m) { return peak_of(setup, m).db; }

/* ---- solving ---- */

/* How a reading is met: what the model gives of it. */
static const struct {
    double (*figure)(const struct cw_setup *setup, const struct cw_measurement *m);
    bool falls; /* with the parameter */
} way[CW_READINGS] = {
    [CW_READ_RESISTANCE] = {resistance_of, false},
    [CW_READ_INDUCTANCE] = {inductance_of, false},
    [CW_READ_RESONANCE] = {resonance_of, true},
    [CW_READ_PEAK] = {height_of, false},
};

static double *reading_of(struct cw_measurement *m, enum cw_reading_id id)
{
    double *const value[CW_READINGS] = {&m->resistance, &m->inductance, &m->resonance, &m->peak};
    return value[id];
}

static double asked(const struct cw_measurement *m, enum cw_reading_id id)
{
    struct cw_measurement copy = *m;
    return *reading_of(&copy, id);
}

static double clamped(enum cw_param_id id, double value)
{
    return fmin(fmax(value, cw_param_info[id].minimum), cw_param_info[id].maximum);
}

/* Resistance and inductance go in proportion, all but. */
static void solve_proportion(struct cw_setup *setup, enum cw_reading_id id, const struct cw_measurement *m)
{
    enum cw_param_id param = cw_known_param(setup, id);
    for (int i = 0; i < 8; i++) {
        double met = way[id].figure(setup, m);
        double by = met > 0.0 ? asked(m, id) / met : 0.5; /* a meter above the resonance: smaller */
        setup->value[param] = clamped(param, setup->value[param] * fmin(fmax(by, 0.25), 4.0));
        if (fabs(by - 1.0) < 1e-10) {
            return;
        }
    }
}

/* Bisect on the logarithm of a parameter; out of reach, the end of its range that is nearer. */
static void solve_bisect(struct cw_setup *setup, enum cw_reading_id id, const struct cw_measurement *m)
{
    enum cw_param_id param = cw_known_param(setup, id);
    double low = log(cw_param_info[param].minimum), high = log(cw_param_info[param].maximum), wanted = asked(m, id);
    for (int i = 0; i < BISECTIONS; i++) {
        double middle = 0.5 * (low + high);
        setup->value[param] = exp(middle);
        bool above = way[id].figure(setup, m) > wanted;
        *(above == way[id].falls ? &low : &high) = middle;
    }
    setup->value[param] = clamped(param, exp(0.5 * (low + high)));
}

static void solve(const struct cw_measurement *m, struct cw_setup *setup)
{
    /* Each moves the others a little: a few rounds settle them. */
    for (int round = 0; round < ROUNDS; round++) {
        struct cw_setup before = *setup;
        double moved = 0.0;
        for (int id = 0; id < CW_READINGS; id++) {
            if (isnan(asked(m, (enum cw_reading_id)id))) {
                continue;
            }
            enum cw_param_id param = cw_known_param(setup, (enum cw_reading_id)id);
            bool proportion = id == CW_READ_RESISTANCE || id == CW_READ_INDUCTANCE;
            (proportion ? solve_proportion : solve_bisect)(setup, (enum cw_reading_id)id, m);
            moved = fmax(moved, fabs(setup->value[param] / before.value[param] - 1.0));
        }
        if (moved < 1e-7) {
            return;
        }
    }
}

/* ---- what is said of it ---- */

static void report_reading(const struct cw_measurement *m, const struct cw_setup *setup, enum cw_reading_id id,
                           struct cw_reading *reading)
{
    *reading = (struct cw_reading){.given = !isnan(asked(m, id)), .asked = NAN, .met = NAN, .reached = true};
    if (reading->given) {
        reading->asked = asked(m, id);
        reading->met = way[id].figure(setup, m);
        double allowed = 0.25 * m->error[id] * (id == CW_READ_PEAK ? 1.0 : reading->asked);
        reading->reached = fabs(reading->met - reading->asked) <= allowed;
    }
}

/* Two standard deviations of a factor of the model as it is; of the setup's own kind of coil. */
static double model_spread(const struct cw_setup *setup, enum cw_reading_id id)
{
    struct cw_setup plain = *setup;
    struct cw_uncertainty u;
    plain.value[CW_P_RESISTANCE_CAL] = plain.value[CW_P_INDUCTANCE_CAL] = 100.0;
    plain.value[CW_P_CAPACITANCE_CAL] = plain.value[CW_P_LOSS_CAL] = 100.0;
    cw_coil_uncertainty(&plain, &u);
    const double spread[CW_READINGS] = {u.resistance, u.inductance, u.capacitance, u.loss};
    return spread[id];
}

static bool between(double value, double low, double high) { return value > low && value < high; }

/* One coil that measures as two, or two as one, are told by resistance and inductance; a coil that couples has up to
 * 2.6 times the inductance of one. */
static enum cw_doubt doubt_of(const struct cw_setup *setup, const struct cw_measurement *m)
{
    double ohm = setup->value[CW_P_RESISTANCE_CAL] * 0.01, henry = setup->value[CW_P_INDUCTANCE_CAL] * 0.01;
    bool by_ohm = !isnan(m->resistance), by_henry = !isnan(m->inductance),
         one = setup->value[CW_P_COILS] == CW_COILS_ONE;
    if (one && (by_ohm || by_henry) && (!by_ohm || between(ohm, 1.6, 2.6)) && (!by_henry || between(henry, 1.6, 3.2))) {
        return CW_DOUBT_TWO_COILS;
    }
    if (setup->value[CW_P_COILS] == CW_COILS_SERIES && (by_ohm || by_henry) && (!by_ohm || between(ohm, 0.38, 0.62)) &&
        (!by_henry || between(henry, 0.31, 0.62))) {
        return CW_DOUBT_ONE_COIL;
    }
    return CW_DOUBT_OUTSIDE;
}

static void report_doubt(const struct cw_measurement *m, const struct cw_setup *setup, struct cw_fit *fit)
{
    double furthest = 2.0;
    fit->doubt = CW_DOUBT_NONE;
    fit->factor = 1.0;
    fit->furthest = CW_READ_RESISTANCE;
    for (int id = 0; wound(setup) && id < CW_READINGS; id++) {
        double factor = setup->value[cw_known_param(setup, (enum cw_reading_id)id)] * 0.01;
        double out = fabs(log(factor)) / log1p(model_spread(setup, (enum cw_reading_id)id));
        if (fit->reading[id].given && out > furthest) {
            furthest = out;
            fit->furthest = (enum cw_reading_id)id;
            fit->factor = factor;
            fit->doubt = doubt_of(setup, m);
        }
    }
}

void cw_calibrate(const struct cw_measurement *m, struct cw_setup *setup, struct cw_fit *fit)
{
    solve(m, setup);
    for (int id = 0; id < CW_READINGS; id++) {
        report_reading(m, setup, (enum cw_reading_id)id, &fit->reading[id]);
    }
    report_doubt(m, setup, fit);
}

bool cw_fit_reached(const struct cw_fit *fit)
{
    for (int id = 0; id < CW_READINGS; id++) {
        if (fit->reading[id].given && !fit->reading[id].reached) {
            return false;
        }
    }
    return true;
}

/* ---- how far it may be out ---- */

/* What the model's own core is worth in each reading, two standard deviations: steel of 100 to 500 has 3 % more or
 * less of its inductance left at the resonance than that of 200, and damps by 0.7 dB more or less. */
static double model_error(enum cw_reading_id id)
{
    static const double error[CW_READINGS] = {0.0, 0.012, 0.016, 0.7};
    return error[id];
}

/* The setup as it is fitted where a reading is out by its error and the model's own, or where what was not measured of
 * a winding is out by the model's uncertainty; \p sign says which way. Returns whether the readings are met so. */
static bool fitted_with(const struct cw_measurement *m, const struct cw_setup *start, enum cw_reading_id id,
                        double sign, struct cw_setup *setup)
{
    struct cw_measurement moved = *m;
    struct cw_fit fit;
    double error = hypot(m->error[id], wound(start) ? model_error(id) : 0.0);
    *setup = *start;
    if (!isnan(asked(m, id))) {
        double by = id == CW_READ_PEAK ? asked(m, id) + sign * error : asked(m, id) * pow(1.0 + error, sign);
        *reading_of(&moved, id) = by;
    } else if (wound(start)) {
        setup->value[cw_known_param(start, id)] *= pow(1.0 + model_spread(start, id), sign);
    }
    cw_calibrate(&moved, setup, &fit);
    return cw_fit_reached(&fit);
}

/* The logarithms of what the values are multiplied by; how large the largest is. */
static double shift_of(const struct cw_setup *moved, const struct cw_setup *plain, double sign,
                       double shift[CW_READINGS])
{
    double most = 0.0;
    for (int i = 0; i < CW_READINGS; i++) {
        enum cw_param_id id = cw_known_param(plain, (enum cw_reading_id)i);
        shift[i] = sign * log(moved->value[id] / plain->value[id]);
        most = fmax(most, fabs(shift[i]));
    }
    return most;
}

bool cw_calibrate_known(const struct cw_measurement *m, const struct cw_setup *start, struct cw_known *known)
{
    struct cw_setup plain = *start;
    solve(m, &plain);
    *known = (struct cw_known){.given = true};
    for (int reading = 0; known->given && reading < CW_READINGS; reading++) {
        double largest = -1.0;
        for (int sign = 1; sign >= -1; sign -= 2) {
            struct cw_setup moved;
            double shift[CW_READINGS];
            bool met = fitted_with(m, start, (enum cw_reading_id)reading, sign, &moved);
            double size = shift_of(&moved, &plain, sign, shift);
            if (met && size > largest) {
                largest = size;
                memcpy(known->shift[reading], shift, sizeof shift);
            }
        }
        known->given = largest >= 0.0 && largest <= CW_KNOWN_SHIFT_MAX;
    }
    if (!known->given) {
        *known = (struct cw_known){.given = false};
    }
    return known->given;
}
