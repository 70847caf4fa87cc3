/* SPDX-License-Identifier: ISC */
#include "revise.h"

#include <math.h>

#include "bench_load.h"
#include "circuit.h"
#include "coil.h"
#include "leads.h"
#include "measurement.h"
#include "sheet.h"

void cw_bench_nominal(const struct cw_setup *setup, double nominal[CW_BENCH_READINGS])
{
    struct cw_setup whole = cw_bench_setup(setup);
    struct cw_pickup pickup;
    cw_coil_solve(&whole, &pickup);
    nominal[CW_READING_RESISTANCE] = cw_circuit_dc_resistance(&whole, &pickup);
    nominal[CW_READING_INDUCTANCE] = cw_circuit_lead_inductance(&whole, &pickup, CW_BENCH_HZ);
    nominal[CW_READING_RESONANCE] = cw_bench_resonance(&whole, &pickup);
}

/* The resonance goes as one over the root of inductance times capacitance, the load's with it. */
static void how_sure(const struct cw_setup *setup, double sure[CW_BENCH_READINGS])
{
    struct cw_setup whole = cw_bench_setup(setup);
    struct cw_lead_values leads;
    cw_lead_values_of(&whole, NULL, &leads);
    double c = leads.value[CW_LEAD_CAPACITANCE], l = leads.value[CW_LEAD_INDUCTANCE];
    sure[CW_READING_RESISTANCE] = leads.spread[CW_LEAD_RESISTANCE] / leads.value[CW_LEAD_RESISTANCE];
    sure[CW_READING_INDUCTANCE] = leads.spread[CW_LEAD_INDUCTANCE] / l;
    sure[CW_READING_RESONANCE] =
        0.5 * hypot(sure[CW_READING_INDUCTANCE], leads.spread[CW_LEAD_CAPACITANCE] / (c + CW_BENCH_LOAD_FARAD));
}

bool cw_revise(const struct cw_setup *setup, const double mean[CW_BENCH_READINGS], struct cw_revision *revision)
{
    struct cw_measurement m;
    cw_measurement_init(&m);
    m.resistance = mean[CW_READING_RESISTANCE];
    m.inductance = mean[CW_READING_INDUCTANCE];
    m.meter_hz = CW_BENCH_HZ;
    m.resonance = mean[CW_READING_RESONANCE];
    m.load_farad = CW_BENCH_LOAD_FARAD;
    m.load_ohm = CW_BENCH_LOAD_OHM;
    m.error[CW_READ_RESISTANCE] = CW_METER_RESISTANCE;
    m.error[CW_READ_INDUCTANCE] = CW_METER_INDUCTANCE;
    m.error[CW_READ_RESONANCE] = CW_METER_RESONANCE;
    cw_bench_nominal(setup, revision->said);
    how_sure(setup, revision->sure);
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        revision->bench[i] = mean[i];
    }
    if (!cw_measurement_any(&m)) {
        return false;
    }
    /* A measurement's resonance is the peak that a sweep shows; that of the bench load, where the circuit rings. */
    for (int round = 0; round < 4; round++) {
        revision->next = *setup;
        cw_calibrate(&m, &revision->next, &revision->fit);
        cw_bench_nominal(&revision->next, revision->says);
        m.resonance *= mean[CW_READING_RESONANCE] / revision->says[CW_READING_RESONANCE];
        m.inductance *= mean[CW_READING_INDUCTANCE] / revision->says[CW_READING_INDUCTANCE];
    }
    return true;
}
