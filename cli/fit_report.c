/* SPDX-License-Identifier: ISC */
#include "fit_report.h"

#include <math.h>

#include "leads.h"
#include "known.h"
#include "measurement.h"
#include "numbers.h"
#include "setup.h"

static const struct {
    const char *name, *unit;
    double scale;
    int decimals;
} form[CW_READINGS] = {
    [CW_READ_RESISTANCE] = {"resistance", "kΩ", 1e-3, 3},
    [CW_READ_INDUCTANCE] = {"inductance", "H", 1.0, 3},
    [CW_READ_RESONANCE] = {"resonance", "kHz", 1e-3, 3},
    [CW_READ_PEAK] = {"peak", "dB", 1.0, 2},
};

static void print_reading(const struct cw_fit *fit, int id, FILE *stream)
{
    const struct cw_reading *r = &fit->reading[id];
    if (r->given && !r->reached) {
        char asked[40], met[40];
        fprintf(stream, "%s: asked for %s %s; the nearest that this coil reaches is %s %s\n", form[id].name,
                cw_print_plain(r->asked * form[id].scale, form[id].decimals, asked, sizeof asked), form[id].unit,
                cw_print_plain(r->met * form[id].scale, form[id].decimals, met, sizeof met), form[id].unit);
    }
}

static void print_doubt(const struct cw_fit *fit, FILE *stream)
{
    static const char *const hint[CW_DOUBTS] = {
        [CW_DOUBT_TWO_COILS] = "were two coils measured, and is this one? (--coils says how many)",
        [CW_DOUBT_ONE_COIL] = "was one coil measured, and are these two? (--coils says how many)",
        [CW_DOUBT_OUTSIDE] = "check the reading, its unit, and what was said of turns, wire, former and core",
    };
    if (fit->doubt != CW_DOUBT_NONE) {
        fprintf(stream,
                "In doubt: the %s asks for %.2f times what this winding gives, further out than the model is "
                "uncertain: %s\n",
                form[fit->furthest].name, fit->factor, hint[fit->doubt]);
    }
}

void cw_fit_print(const struct cw_setup *fitted, const struct cw_known *known, const struct cw_fit *fit, FILE *stream)
{
    static const struct {
        enum cw_lead_id id;
        const char *name;
    } row[] = {{CW_LEAD_RESISTANCE, "resistance"},
               {CW_LEAD_INDUCTANCE, "inductance"},
               {CW_LEAD_CAPACITANCE, "capacitance"},
               {CW_LEAD_LOSS, "loss"}};
    for (int id = 0; id < CW_READINGS; id++) {
        print_reading(fit, id, stream);
    }
    print_doubt(fit, stream);
    if (!cw_fit_reached(fit)) {
        fputs("How sure the values are is not told: a reading was not reached.\n", stream);
        return;
    }
    if (!known->given) {
        fputs("How sure the values are is not told: a reading that is out by its error is not reached, or leaves open "
              "more than a value.\n",
              stream);
        return;
    }
    fputs("Of this coil itself, by the readings' errors:", stream);
    struct cw_lead_values values;
    const char *between = "";
    cw_lead_values_of(fitted, known, &values);
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        if (values.spread[row[i].id] <= 0.0) {
            continue; /* a measured value that no reading moves */
        }
        char percent[32];
        cw_print_percent_out(100.0 * values.spread[row[i].id] / fabs(values.value[row[i].id]), percent, sizeof percent);
        fprintf(stream, "%s %s ±%s", between, row[i].name, percent);
        between = ",";
    }
    fputs("\n", stream);
}
