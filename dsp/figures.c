/* SPDX-License-Identifier: ISC */
#include "figures.h"

#include <math.h>

#include "acts.h"
#include "circuit.h"
#include "coil.h"
#include "loudness.h"
#include "resonance.h"
#include "transfer.h"

/* A power ratio in dB, kept within the meter's range; 0 dB where there is nothing to compare. */
static double ratio_db(double power, double against, const struct cw_param_info *meter)
{
    double db = against > 0.0 ? 10.0 * log10(power / against) : 0.0;
    return cw_param_clean(meter, db, 0.0);
}

static double level(const struct cw_setup *setup, const struct cw_pickup *pickup, const struct cw_transfer *as_set)
{
    if (!cw_split_acts(setup)) {
        return 0.0;
    }
    struct cw_transfer full;
    cw_circuit_transfer(setup, pickup, CW_DRIVE_UNSPLIT, &full);
    double db = cw_loudness_against(as_set, &full);
    return cw_param_clean(&cw_meter_info[CW_M_LEVEL], db, 0.0);
}

static void hum(const struct cw_setup *setup, const struct cw_pickup *pickup, double mains, struct cw_figures *out)
{
    out->value[CW_M_HUM] = out->value[CW_M_BUZZ] = 0.0;
    if (pickup->coils == CW_COILS_ONE) {
        return;
    }
    struct cw_transfer both, one;
    cw_circuit_transfer(setup, pickup, CW_DRIVE_HUM, &both);
    cw_circuit_transfer(setup, pickup, CW_DRIVE_ONE_COIL, &one);
    double power = 0.0, against = 0.0;
    for (int harmonic = 2; harmonic <= CW_BUZZ_LAST; harmonic++) {
        power += cw_transfer_power(&both, harmonic * mains);
        against += cw_transfer_power(&one, harmonic * mains);
    }
    out->value[CW_M_BUZZ] = ratio_db(power, against, &cw_meter_info[CW_M_BUZZ]);
    out->value[CW_M_HUM] =
        ratio_db(cw_transfer_power(&both, mains), cw_transfer_power(&one, mains), &cw_meter_info[CW_M_HUM]);
}

static void find_resonance(struct cw_figures_work *work)
{
    struct cw_figures *out = &work->figures;
    work->resonance = cw_resonance_of(&work->setup, &work->h);
    out->value[CW_M_RESONANCE] = work->resonance.hz;
    out->value[CW_M_SPLIT_RESONANCE] = work->resonance.split_hz;
}

static void find_peak(struct cw_figures_work *work)
{
    struct cw_figures *out = &work->figures;
    struct cw_peak peak = cw_peak_of(&work->h, &work->resonance);
    out->value[CW_M_PEAK_FREQUENCY] = peak.hz;
    out->value[CW_M_PEAK_HEIGHT] = peak.db;
}

static void find_values(struct cw_figures_work *work)
{
    struct cw_figures *out = &work->figures;
    out->value[CW_M_DC_RESISTANCE] = cw_circuit_dc_resistance(&work->setup, &work->pickup) * 1e-3;
    out->value[CW_M_LEAD_INDUCTANCE] = cw_circuit_lead_inductance(&work->setup, &work->pickup, CW_BENCH_HZ);
    out->value[CW_M_LEVEL] = level(&work->setup, &work->pickup, &work->h);
    out->value[CW_M_FILL] = work->pickup.fill * 100.0;
}

enum { COIL, NETWORK, RESONANCE, PEAK, VALUES, HUM, DONE };

void cw_figures_start(struct cw_figures_work *work, const struct cw_setup *setup, double mains_hz)
{
    work->setup = *setup;
    work->mains_hz = mains_hz;
    work->pickup = (struct cw_pickup){.coils = CW_COILS_ONE};
    work->next = COIL;
}

bool cw_figures_step(struct cw_figures_work *work)
{
    switch (work->next) {
    case COIL: cw_coil_solve(&work->setup, &work->pickup); break;
    case NETWORK: cw_circuit_transfer(&work->setup, &work->pickup, CW_DRIVE_STRING, &work->h); break;
    case RESONANCE: find_resonance(work); break;
    case PEAK: find_peak(work); break;
    case VALUES: find_values(work); break;
    case HUM:
    default: hum(&work->setup, &work->pickup, work->mains_hz, &work->figures); break;
    }
    work->next++;
    return work->next >= DONE;
}

void cw_figures_of(const struct cw_setup *setup, double mains_hz, struct cw_figures *out)
{
    struct cw_figures_work work;
    cw_figures_start(&work, setup, mains_hz);
    while (!cw_figures_step(&work)) {
    }
    *out = work.figures;
}
