/* SPDX-License-Identifier: ISC */
#include "fit_words.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "coil.h"
#include "numbers.h"
#include "quantity.h"

/* ---- asked and met ---- */

static void met_resistance(const struct cw_measurement *m, const struct cw_measurement *met, char *text)
{
    char asked[32], found[32];
    snprintf(text, CW_FIT_TEXT, "resistance: read %s at %.3g °C; the fit reads %s",
             cw_print_ohms(1e-3 * m->resistance, asked, sizeof asked), m->celsius,
             cw_print_ohms(1e-3 * met->resistance, found, sizeof found));
}

static void met_inductance(const struct cw_measurement *m, const struct cw_measurement *met, char *text)
{
    char asked[32], found[32], hz[32];
    snprintf(text, CW_FIT_TEXT, "inductance: read %s at %s; the fit reads %s",
             cw_print_henry(m->inductance, asked, sizeof asked), cw_print_hz(m->meter_hz, hz, sizeof hz),
             cw_print_henry(met->inductance, found, sizeof found));
}

static void print_load(const struct cw_measurement *m, char *text, size_t size)
{
    char farads[32] = "", ohms[32] = "";
    bool capacitor = m->load_farad > 0.0, resistor = isfinite(m->load_ohm);
    if (capacitor) {
        cw_print_farads(1e9 * m->load_farad, farads, sizeof farads);
    }
    if (resistor) {
        cw_print_ohms(1e-3 * m->load_ohm, ohms, sizeof ohms);
    }
    snprintf(text, size, "%s%s%s%s", farads, capacitor && resistor ? " and " : "", ohms,
             capacitor || resistor ? " connected" : "nothing connected");
}

static void met_resonance(const struct cw_measurement *m, const struct cw_measurement *met, char *text)
{
    char asked[32], found[32], load[80];
    print_load(m, load, sizeof load);
    snprintf(text, CW_FIT_TEXT, "peak: read at %s with %s; the fit reads %s",
             cw_print_hz(m->resonance, asked, sizeof asked), load,
             cw_print_resonance(met->resonance, found, sizeof found));
}

size_t cw_fit_met(const struct cw_measurement *measured, const struct cw_setup *fitted,
                  char line[CW_FIT_LINES][CW_FIT_TEXT])
{
    struct cw_measurement met;
    size_t count = 0;
    cw_measurement_of(fitted, measured, &met);
    if (!isnan(measured->resistance)) {
        met_resistance(measured, &met, line[count++]);
    }
    if (!isnan(measured->inductance)) {
        met_inductance(measured, &met, line[count++]);
    }
    if (!isnan(measured->resonance)) {
        met_resonance(measured, &met, line[count++]);
    }
    if (!isnan(measured->peak)) {
        char asked[32], found[32];
        snprintf(line[count++], CW_FIT_TEXT, "height of the peak: read %s; the fit reads %s",
                 cw_print_db(measured->peak, 1, asked, sizeof asked), cw_print_db(met.peak, 1, found, sizeof found));
    }
    return count;
}

/* ---- how sure ---- */

/* What is fitted: of a winding the factor, of measured values the value. */
static const struct {
    enum cw_param_id value, factor;
} fitted_by[] = {{CW_P_RESISTANCE, CW_P_RESISTANCE_CAL},
                 {CW_P_INDUCTANCE, CW_P_INDUCTANCE_CAL},
                 {CW_P_CAPACITANCE, CW_P_CAPACITANCE_CAL},
                 {CW_P_LOSS, CW_P_LOSS_CAL}};
enum { QUANTITIES = sizeof fitted_by / sizeof fitted_by[0], READINGS = 4 };

static bool wound(const struct cw_setup *setup) { return setup->value[CW_P_COIL_FROM] == CW_FROM_WINDING; }

static enum cw_param_id fitted_param(const struct cw_setup *setup, int quantity)
{
    return wound(setup) ? fitted_by[quantity].factor : fitted_by[quantity].value;
}

/* The measurement with one reading off by two standard deviations. */
static struct cw_measurement moved(const struct cw_measurement *measured, int reading)
{
    struct cw_measurement m = *measured;
    switch (reading) {
    case 0: m.resistance *= 1.01; break;
    case 1: m.inductance *= 1.02; break;
    case 2: m.resonance *= 1.02; break;
    default: m.peak += 0.6; break;
    }
    return m;
}

size_t cw_fit_sure(const struct cw_measurement *measured, const struct cw_setup *before, const struct cw_setup *fitted,
                   char line[CW_FIT_LINES][CW_FIT_TEXT])
{
    double square[QUANTITIES] = {0};
    bool held = true;
    size_t count = 0;
    char why[CW_WHY_SIZE];
    for (int reading = 0; reading < READINGS; reading++) {
        struct cw_measurement m = moved(measured, reading);
        struct cw_setup other = *before;
        held = cw_calibrate(&m, &other, why, sizeof why) && held;
        for (int q = 0; q < QUANTITIES; q++) {
            enum cw_param_id id = fitted_param(fitted, q);
            square[q] += pow(other.value[id] / fitted->value[id] - 1.0, 2.0);
        }
    }
    const bool asked[QUANTITIES] = {!isnan(measured->resistance), !isnan(measured->inductance),
                                    !isnan(measured->resonance), !isnan(measured->peak)};
    for (int q = 0; q < QUANTITIES; q++) {
        const struct cw_param_info *info = &cw_param_info[fitted_param(fitted, q)];
        char value[64];
        if (asked[q] && held) {
            cw_value_print(info, fitted->value[fitted_param(fitted, q)], value, sizeof value);
            snprintf(line[count++], CW_FIT_TEXT, "%s %s ±%.0f %%", info->name, value, 100.0 * sqrt(square[q]));
        } else if (asked[q]) {
            snprintf(line[count++], CW_FIT_TEXT, "%s: a reading off by its own error would not be met: not sure at all",
                     info->name);
        }
    }
    return count;
}

/* ---- doubts ---- */

static const double DOUBT = 1.5; /* times two standard deviations */

static bool outside(double factor, double spread) { return fabs(log(factor)) > log(1.0 + DOUBT * spread); }

/* The coil by the model alone. */
static void uncalibrated(const struct cw_setup *setup, struct cw_setup *plain)
{
    *plain = *setup;
    for (int q = 0; q < QUANTITIES; q++) {
        plain->value[fitted_by[q].factor] = 100.0;
    }
}

/* Whether resistance and inductance, so far as they were read, are those of the model with coils so. */
static bool reads_alike(const struct cw_measurement *measured, const struct cw_setup *plain, enum cw_coils coils)
{
    struct cw_setup other = *plain;
    struct cw_measurement met;
    struct cw_uncertainty u;
    other.value[CW_P_COILS] = coils;
    cw_coil_uncertainty(&other, &u);
    cw_measurement_of(&other, measured, &met);
    bool resistance = isnan(measured->resistance) || !outside(measured->resistance / met.resistance, u.resistance);
    bool inductance = isnan(measured->inductance) || !outside(measured->inductance / met.inductance, u.inductance);
    return resistance && inductance;
}

static void ask_coils(const struct cw_measurement *measured, const struct cw_setup *plain, size_t *count,
                      char line[CW_FIT_LINES][CW_FIT_TEXT])
{
    const struct cw_param_info *info = &cw_param_info[CW_P_COILS];
    for (int coils = CW_COILS_ONE; coils <= CW_COILS_PARALLEL; coils++) {
        if (coils != (int)plain->value[CW_P_COILS] && reads_alike(measured, plain, (enum cw_coils)coils)) {
            static const char *const question[] = {"One coil?", "Two coils in series?", "Two coils in parallel?"};
            snprintf(line[(*count)++], CW_FIT_TEXT, "%s --coils %s would read as measured; this is %s", question[coils],
                     coils == CW_COILS_ONE ? "one" : coils == CW_COILS_SERIES ? "series" : "parallel",
                     info->points[(int)plain->value[CW_P_COILS]].label);
            return;
        }
    }
}

size_t cw_fit_doubts(const struct cw_measurement *measured, const struct cw_setup *fitted,
                     char line[CW_FIT_LINES][CW_FIT_TEXT])
{
    struct cw_setup plain;
    struct cw_uncertainty u;
    size_t count = 0;
    if (!wound(fitted)) {
        return 0;
    }
    uncalibrated(fitted, &plain);
    cw_coil_uncertainty(&plain, &u);
    const double spread[QUANTITIES] = {u.resistance, u.inductance, u.capacitance, u.loss};
    const bool asked[QUANTITIES] = {!isnan(measured->resistance), !isnan(measured->inductance),
                                    !isnan(measured->resonance), !isnan(measured->peak)};
    bool coil = false;
    for (int q = 0; q < QUANTITIES; q++) {
        double percent = fitted->value[fitted_by[q].factor];
        if (asked[q] && outside(0.01 * percent, spread[q])) {
            snprintf(line[count++], CW_FIT_TEXT, "%s: %.0f %% of the model, which is good to ±%.0f %%",
                     cw_param_info[fitted_by[q].value].name, percent, 100.0 * spread[q]);
            coil = coil || q < 2;
        }
    }
    if (coil) {
        ask_coils(measured, &plain, &count, line);
    }
    return count;
}
