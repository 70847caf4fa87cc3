/* SPDX-License-Identifier: ISC */
#include "leads.h"

#include <math.h>
#include <string.h>

#include "circuit.h"
#include "core.h"
#include "measurement.h"
#include "resonance.h"
#include "transfer.h"
#include "wire.h"

static double both(const struct cw_pickup *pickup, double one, double two, bool adds_in_series)
{
    if (pickup->coils == CW_COILS_ONE) {
        return one;
    }
    bool sum = (pickup->coils == CW_COILS_SERIES) == adds_in_series;
    return sum ? one + two : one * two / (one + two);
}

/* Where the loss is taken, hertz: near the usual resonances. */
static const double loss_hz = 3000.0;

static double emf_at_leads(const struct cw_pickup *pickup)
{
    double sum = pickup->coil[0].emf + pickup->coil[1].emf;
    return pickup->coils == CW_COILS_PARALLEL ? sum / 2.0 : sum;
}

static void solve_leads(const struct cw_setup *setup, const struct cw_pickup *pickup, double value[CW_LEADS])
{
    const struct cw_coil *one = &pickup->coil[0], *two = &pickup->coil[1];
    struct cw_transfer h;
    value[CW_LEAD_RESISTANCE] = cw_circuit_dc_resistance(setup, pickup);
    value[CW_LEAD_INDUCTANCE] = cw_circuit_lead_inductance(setup, pickup, CW_BENCH_HZ);
    value[CW_LEAD_CAPACITANCE] = both(pickup, one->capacitance, two->capacitance, false);
    value[CW_LEAD_LOSS] = both(pickup, cw_coil_loss_at(one, loss_hz), cw_coil_loss_at(two, loss_hz), true);
    value[CW_LEAD_EMF] = 20.0 * log10(emf_at_leads(pickup));
    cw_circuit_impedance(setup, pickup, &h);
    value[CW_LEAD_UNLOADED] = cw_resonance_of(setup, &h).hz;
    cw_circuit_transfer(setup, pickup, CW_DRIVE_STRING, &h);
    struct cw_resonance resonance = cw_resonance_of(setup, &h);
    struct cw_peak peak = cw_peak_of(&h, &resonance);
    value[CW_LEAD_RESONANCE] = resonance.hz;
    value[CW_LEAD_PEAK_HZ] = peak.hz;
    value[CW_LEAD_PEAK] = peak.db;
}

/* Whether a value is there, or a peak or resonance that is none: that has no spread. */
static bool is_there(const double value[CW_LEADS], int id)
{
    bool frequency = id == CW_LEAD_UNLOADED || id == CW_LEAD_RESONANCE || id == CW_LEAD_PEAK_HZ;
    return id == CW_LEAD_PEAK ? value[CW_LEAD_PEAK_HZ] > 0.0 : !frequency || value[id] > 0.0;
}

/* The pickup with one of its values raised by a share, in both coils. */
static struct cw_pickup raised(struct cw_pickup pickup, const struct cw_uncertainty *by)
{
    for (int i = 0; i < 2; i++) {
        pickup.coil[i].resistance *= 1.0 + by->resistance;
        pickup.coil[i].inductance *= 1.0 + by->inductance;
        pickup.coil[i].capacitance *= 1.0 + by->capacitance;
        pickup.coil[i].loss *= 1.0 + by->loss;
        pickup.coil[i].tail *= (1.0 + by->inductance) / (1.0 + by->loss);
        for (int b = 0; b < CW_BRANCHES; b++) {
            pickup.coil[i].branch[b].inductance *= 1.0 + by->inductance;
            /* The corner stays with the inductance. */
            pickup.coil[i].branch[b].resistance *= (1.0 + by->inductance) * (1.0 + by->loss);
        }
        pickup.coil[i].emf *= 1.0 + by->emf;
    }
    pickup.mutual *= 1.0 + by->inductance;
    return pickup;
}

/* What one cause moves a value by adds up as squares. */
static void add_spread(struct cw_lead_values *values, const double by[CW_LEADS])
{
    for (int id = 0; id < CW_LEADS; id++) {
        values->spread[id] = hypot(values->spread[id], by[id]);
    }
}

/* The larger of what was found so far and of what another state of things moves the values by. */
static void move_to(const double value[CW_LEADS], const struct cw_lead_values *values, double by[CW_LEADS])
{
    for (int id = 0; id < CW_LEADS; id++) {
        if (is_there(value, id) && is_there(values->value, id)) {
            by[id] = fmax(by[id], fabs(value[id] - values->value[id]));
        }
    }
}

/* Each uncertain value of the model moved alone. */
static void add_model(const struct cw_setup *setup, const struct cw_pickup *pickup, const struct cw_uncertainty *u,
                      struct cw_lead_values *values)
{
    const struct cw_uncertainty alone[] = {{.resistance = u->resistance},
                                           {.inductance = u->inductance},
                                           {.capacitance = u->capacitance},
                                           {.loss = u->loss},
                                           {.emf = u->emf}};
    for (size_t i = 0; i < sizeof alone / sizeof alone[0]; i++) {
        struct cw_pickup moved = raised(*pickup, &alone[i]);
        double value[CW_LEADS], by[CW_LEADS] = {0.0};
        solve_leads(setup, &moved, value);
        move_to(value, values, by);
        add_spread(values, by);
    }
}

/* Each reading out either way: a loss that is moved may cancel in one of them. The level is not among the readings. */
static void add_readings(const struct cw_setup *setup, const struct cw_known *known, struct cw_lead_values *values)
{
    for (int reading = 0; reading < CW_READINGS; reading++) {
        double by[CW_LEADS] = {0.0};
        for (int sign = -1; sign <= 1; sign += 2) {
            struct cw_setup moved = cw_known_moved(known, setup, (enum cw_reading_id)reading, sign);
            struct cw_pickup pickup;
            double value[CW_LEADS];
            cw_coil_solve(&moved, &pickup);
            solve_leads(&moved, &pickup, value);
            move_to(value, values, by);
        }
        by[CW_LEAD_EMF] = 0.0;
        add_spread(values, by);
    }
}

void cw_lead_values_of(const struct cw_setup *setup, const struct cw_known *known, struct cw_lead_values *values)
{
    struct cw_pickup pickup;
    struct cw_uncertainty u;
    bool read = known && known->given;
    cw_coil_solve(setup, &pickup);
    cw_coil_uncertainty(setup, &u);
    solve_leads(setup, &pickup, values->value);
    memset(values->spread, 0, sizeof values->spread);
    if (read && !known->variant) {
        u = (struct cw_uncertainty){.emf = u.emf};
    }
    add_model(setup, &pickup, &u, values);
    if (read) {
        add_readings(setup, known, values);
    }
}

struct cw_wire_need cw_wire_need_of(const struct cw_setup *setup)
{
    struct cw_wire_need need = {setup->value[CW_P_COILS] == CW_COILS_ONE ? 1 : 2, 0.0, 0.0};
    for (int coil = 0; coil < need.coils; coil++) {
        struct cw_winding winding;
        cw_coil_winding(setup, coil, &winding);
        need.length += winding.wire_length;
    }
    need.copper = need.length * cw_wire_mass_per_metre(cw_wire_bare(setup->value[CW_P_GAUGE]).nominal);
    return need;
}
