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

void cw_figures_of(const struct cw_setup *setup, double mains_hz, struct cw_figures *out)
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    struct cw_resonance resonance = cw_resonance_of(setup, &h);
    struct cw_peak peak = cw_peak_of(&h, &resonance);
    out->value[CW_M_RESONANCE] = resonance.hz;
    out->value[CW_M_SPLIT_RESONANCE] = resonance.split_hz;
    out->value[CW_M_PEAK_FREQUENCY] = peak.hz;
    out->value[CW_M_PEAK_HEIGHT] = peak.db;
    out->value[CW_M_DC_RESISTANCE] = cw_circuit_dc_resistance(setup, &pickup) * 1e-3;
    out->value[CW_M_LEAD_INDUCTANCE] = cw_circuit_lead_inductance(setup, &pickup, CW_BENCH_HZ);
    out->value[CW_M_LEVEL] = level(setup, &pickup, &h);
    out->value[CW_M_FILL] = pickup.fill * 100.0;
    hum(setup, &pickup, mains_hz, out);
}
