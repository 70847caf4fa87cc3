/* SPDX-License-Identifier: ISC */
#include "measurement.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "quantity.h"
#include "setup.h"

void cw_measurement_init(struct cw_measurement *measurement)
{
    *measurement = (struct cw_measurement){.resistance = NAN,
                                           .celsius = 20.0,
                                           .inductance = NAN,
                                           .meter_hz = 120.0,
                                           .resonance = NAN,
                                           .peak = NAN,
                                           .load_farad = 0.0,
                                           .load_ohm = INFINITY,
                                           .error = {[CW_READ_RESISTANCE] = 0.01,
                                                     [CW_READ_INDUCTANCE] = 0.02,
                                                     [CW_READ_RESONANCE] = 0.02,
                                                     [CW_READ_PEAK] = 0.6}};
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
    double read;
    if (!cw_celsius_parse(text, &read) || !(read > -40.0 && read < 120.0)) {
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

static const char *const names[CW_READINGS] = {"resistance", "inductance", "resonance", "peak"};

/* "+-2%" behind a reading, or "+-0.5dB" behind a peak: how far it may be out. */
static bool take_error(struct cw_measurement *m, const char *name, char *text)
{
    char *error = strstr(text, "+-");
    if (!error) {
        return true;
    }
    *error = '\0';
    for (int id = 0; id < CW_READINGS; id++) {
        double value, scale = id == CW_READ_PEAK ? 1.0 : 0.01;
        if (strcmp(name, names[id]) == 0 &&
            above_zero(error + 2, id == CW_READ_PEAK ? CW_UNIT_DB : CW_UNIT_PERCENT, &value)) {
            m->error[id] = value * scale;
            return true;
        }
    }
    return false;
}

bool cw_measurement_add(struct cw_measurement *measurement, const char *text, char *why, size_t why_size)
{
    char copy[128];
    if (strlen(text) < sizeof copy) {
        strcpy(copy, text);
        char *value = strchr(copy, '=');
        if (value) {
            *value++ = '\0';
            bool good = take_error(measurement, copy, value);
            char *condition = strchr(value, '@');
            if (condition) {
                *condition++ = '\0';
            }
            if (good && take(measurement, copy, value, condition)) {
                return true;
            }
        }
    }
    snprintf(why, why_size,
             "expected resistance=4.7k@24 (degrees C, -40 to 120), inductance=1.75H@120 (Hz), "
             "resonance=3.1k@500pF,1M (load) or peak=9dB, with +-2%% or +-0.5dB behind it for its error, found '%.64s'",
             text);
    return false;
}
