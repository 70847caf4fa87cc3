/* SPDX-License-Identifier: ISC */
#include "coil.h"

#include <math.h>

#include "capacitance.h"
#include "constants.h"
#include "inductance.h"
#include "magnetics.h"
#include "material.h"
#include "wire.h"

/* Common practice, no source. The dual-coil bobbin is the one for which the published coil of 5000
 * turns of AWG 43 comes out (docs/model.md). */
const struct cw_former_size cw_former_info[CW_FORMERS] = {
    [CW_FORMER_DUAL] = {50.0e-3, 3.5e-3, 6.3e-3, 5.0e-3},
    [CW_FORMER_TALL] = {52.0e-3, 3.0e-3, 11.0e-3, 5.0e-3},
    [CW_FORMER_WIDE] = {46.0e-3, 4.0e-3, 6.0e-3, 12.0e-3},
    [CW_FORMER_SHORT] = {42.0e-3, 2.7e-3, 8.0e-3, 4.0e-3},
};

/* Coupling of the rods with the coil, q in: inductance = air (1 + q A_rods/A_turn (mu_app - 1)).
 * From the published coil's inductance with ferrite slugs over that in air, 1.835. */
static const double core_coupling = 0.394;

/* The same q A_rods/A_turn for the published coil itself. */
static const double core_share_reference = 0.0686;

/* The loss resistance is that at the resonance with a usual cable: 5 m of 100 pF/m. */
static const double usual_cable = 500e-12;

/* Leads and metal parts, at the leads of the pickup: 40 cm of screened lead at 150 pF/m. Common
 * practice, no source. */
static const double stray = 60e-12;

/* Loss factor of enamel and wax, from memory. */
static const double loss_factor = 0.02;

/* The bar under the coil, where the core is no magnet: across it, thickness and length.
 * Common practice, no source. */
static const double bar_across = 12.7e-3, bar_thickness = 3.2e-3, bar_length = 60e-3;

static double db_to_ratio(double db) { return pow(10.0, db / 20.0); }

static double percent(const struct cw_setup *setup, enum cw_param_id id) { return setup->value[id] / 100.0; }

/* ---- inductance ---- */

double cw_coil_inductance_dc(const struct cw_coil *coil) { return cw_coil_inductance_at(coil, 0.0); }

double cw_coil_inductance_at(const struct cw_coil *coil, double hz)
{
    double omega = 2.0 * CW_PI * hz, sum = coil->inductance;
    for (int i = 0; i < CW_BRANCHES; i++) {
        const struct cw_branch *b = &coil->branch[i];
        double over_corner = b->inductance > 0.0 ? omega * b->inductance / b->resistance : 0.0;
        sum += b->inductance / (1.0 + over_corner * over_corner);
    }
    return sum;
}

double cw_coil_mutual(const struct cw_coil *one, const struct cw_coil *two, double coupling)
{
    static const double most = 0.9;
    double asked = coupling * sqrt(cw_coil_inductance_dc(one) * cw_coil_inductance_dc(two));
    return fmin(asked, most * sqrt(one->inductance * two->inductance));
}

/* ---- measured values ---- */

/* The values at the leads of a pickup with its coils in series. */
static struct cw_coil measured(const struct cw_setup *setup)
{
    return (struct cw_coil){
        .emf = db_to_ratio(setup->value[CW_P_SENSITIVITY]),
        .resistance = setup->value[CW_P_RESISTANCE] * 1e3,
        .inductance = setup->value[CW_P_INDUCTANCE],
        .capacitance = setup->value[CW_P_CAPACITANCE] * 1e-12,
        .loss = setup->value[CW_P_LOSS] * 1e3,
    };
}

/* One of two equal, coupled coils that have the given values in series. */
static struct cw_coil half_of(struct cw_coil leads, double coupling)
{
    return (struct cw_coil){
        .emf = leads.emf / 2.0,
        .resistance = leads.resistance / 2.0,
        .inductance = leads.inductance / (2.0 * (1.0 + coupling)),
        .capacitance = leads.capacitance * 2.0,
        .loss = leads.loss / 2.0,
    };
}

/* The same coil with t times its turns. */
static struct cw_coil with_turns(struct cw_coil coil, double t)
{
    coil.emf *= t;
    coil.resistance *= t;
    coil.inductance *= t * t;
    coil.loss *= t * t;
    return coil;
}

static void solve_measured(const struct cw_setup *setup, struct cw_pickup *pickup)
{
    if (pickup->coils == CW_COILS_ONE) {
        pickup->coil[0] = measured(setup);
        return;
    }
    pickup->coil[0] = half_of(measured(setup), setup->value[CW_P_COUPLING]);
    pickup->coil[1] = with_turns(pickup->coil[0], percent(setup, CW_P_SECOND_TURNS));
}

/* ---- the winding on its former ---- */

struct cw_former_size cw_coil_former(const struct cw_setup *setup)
{
    struct cw_former_size former = cw_former_info[(int)setup->value[CW_P_FORMER]];
    former.straight *= percent(setup, CW_P_FORMER_LENGTH);
    former.inner_radius *= percent(setup, CW_P_FORMER_WIDTH);
    former.height *= percent(setup, CW_P_FORMER_HEIGHT);
    former.build *= percent(setup, CW_P_FORMER_BUILD);
    return former;
}

static struct cw_lay lay_of(const struct cw_setup *setup)
{
    double gauge = setup->value[CW_P_GAUGE];
    return (struct cw_lay){
        .bare = cw_wire_bare(gauge).nominal,
        .overall = cw_wire_overall(gauge, (enum cw_insulation)setup->value[CW_P_INSULATION]).nominal,
        .packing = percent(setup, CW_P_WIND_TENSION),
        .enamel = cw_enamel_info.permittivity,
        .filling = cw_potting_info[(int)setup->value[CW_P_POTTING]].permittivity,
    };
}

void cw_coil_winding(const struct cw_setup *setup, int coil, struct cw_winding *winding)
{
    const struct cw_former_size former = cw_coil_former(setup);
    const struct cw_lay lay = lay_of(setup);
    double window = former.height * former.build;
    double one_turn = CW_PI / 4.0 * lay.overall * lay.overall / lay.packing;

    winding->asked = setup->value[CW_P_TURNS] * (coil == 1 ? percent(setup, CW_P_SECOND_TURNS) : 1.0);
    winding->fits = floor(window / one_turn);
    winding->turns = fmin(winding->asked, winding->fits);
    winding->fill = winding->asked * one_turn / window;
    winding->build = winding->turns * one_turn / former.height;
    double mean_radius = former.inner_radius + winding->build / 2.0;
    winding->mean_turn = 2.0 * former.straight + 2.0 * CW_PI * mean_radius;
    winding->mean_area = 2.0 * former.straight * mean_radius + CW_PI * mean_radius * mean_radius;
    winding->layers = winding->build / (cw_lay_pitch(&lay) * sqrt(0.75)); /* height of an equal triangle */
    winding->wire_length = winding->turns * winding->mean_turn;
}

/* ---- magnet and core ---- */

static const struct cw_magnet_info *magnet_of(const struct cw_setup *setup)
{
    return &cw_magnet_info[(int)setup->value[CW_P_MAGNET]];
}

/* Apparent permeability of the core's rods; 1 where there are none. */
static struct cw_permeability core_permeability(const struct cw_setup *setup, double diameter, double hz)
{
    const struct cw_core_info *core = &cw_core_info[(int)setup->value[CW_P_CORE]];
    bool magnet_rods = core->permeability <= 0.0;
    double mu = magnet_rods ? magnet_of(setup)->recoil_permeability : core->permeability;
    double conductivity = magnet_rods ? magnet_of(setup)->conductivity : core->conductivity;
    struct cw_permeability rod = cw_rod_permeability(mu, conductivity, diameter / 2.0, hz);
    return cw_apparent_permeability(rod, cw_demagnetising_spheroid(core->length / diameter));
}

/* The rods as thick as they are, or as the former's inside lets them be. */
static double rod_diameter(const struct cw_setup *setup)
{
    double room = 2.0 * cw_coil_former(setup).inner_radius;
    return fmin(cw_core_info[(int)setup->value[CW_P_CORE]].diameter, 0.95 * room);
}

struct cw_core_effect cw_coil_core_effect(const struct cw_setup *setup, double mean_area, double hz)
{
    double d = rod_diameter(setup);
    if (d <= 0.0) {
        return (struct cw_core_effect){1.0, 0.0};
    }
    double share = core_coupling * CW_CORE_RODS * CW_PI / 4.0 * d * d / mean_area;
    struct cw_permeability mu = core_permeability(setup, d, hz);
    return (struct cw_core_effect){1.0 + share * (mu.re - 1.0), -share * mu.im};
}

/* EMF of a turn over that of a turn of the reference coil: flux density at the poles by the load
 * line, times what the core does for the coil's field at the string and so, by reciprocity, for
 * the string's field in the coil. */
static double emf_of_a_turn(const struct cw_setup *setup)
{
    /* The same product for alnico 5 as a bar and steel slugs at 4.8 mm. */
    static const double reference = 0.796596;
    const struct cw_core_info *core = &cw_core_info[(int)setup->value[CW_P_CORE]];
    double rods_area = CW_CORE_RODS * CW_PI / 4.0 * pow(cw_core_info[CW_CORE_MAGNET_RODS].diameter, 2.0);
    double poles; /* tesla */

    if (setup->value[CW_P_CORE] == CW_CORE_MAGNET_RODS) {
        poles = cw_magnet_working_point(magnet_of(setup), cw_demagnetising_spheroid(core->length / core->diameter));
    } else {
        double bar = cw_magnet_working_point(magnet_of(setup), cw_demagnetising_bar(bar_across, bar_thickness));
        poles = bar * bar_length * bar_thickness / rods_area;
    }
    double guide = 1.0;
    if (core->diameter > 0.0) {
        guide += core_share_reference * (core_permeability(setup, core->diameter, CW_BENCH_HZ).re - 1.0);
    }
    return poles * guide / reference;
}

/* ---- the coil from its winding ---- */

/* Capacitance at the leads of equal coils over that of one. */
static double capacitance_at_leads(const struct cw_setup *setup)
{
    static const double share[] = {[CW_COILS_ONE] = 1.0, [CW_COILS_SERIES] = 0.5, [CW_COILS_PARALLEL] = 2.0};
    return share[(int)setup->value[CW_P_COILS]];
}

/* Inductance at the leads of equal coils over that of one. */
static double inductance_at_leads(const struct cw_setup *setup)
{
    double k = setup->value[CW_P_COUPLING];
    const double share[] = {
        [CW_COILS_ONE] = 1.0, [CW_COILS_SERIES] = 2.0 * (1.0 + k), [CW_COILS_PARALLEL] = 0.5 * (1.0 + k)};
    return share[(int)setup->value[CW_P_COILS]];
}

/* Frequency at which the loss is taken: the resonance of the whole pickup with a usual cable. */
static double loss_hz(const struct cw_setup *setup, double inductance, double capacitance)
{
    double at_leads = capacitance * capacitance_at_leads(setup) + usual_cable;
    return 1.0 / (2.0 * CW_PI * sqrt(inductance * inductance_at_leads(setup) * at_leads));
}

/* The parallel resistance that stands for eddy currents in the core and for the dielectric. */
static double loss_of(const struct cw_setup *setup, const struct cw_winding *winding, double air,
                      const struct cw_coil *coil)
{
    double hz = loss_hz(setup, coil->inductance, coil->capacitance);
    double omega = 2.0 * CW_PI * hz;
    struct cw_core_effect core = cw_coil_core_effect(setup, winding->mean_area, hz);
    double reactance = omega * air * core.inductance;
    double series = omega * air * core.loss;
    double eddy = series / (series * series + reactance * reactance);
    double dielectric = omega * coil->capacitance * loss_factor;
    return 1.0 / (eddy + dielectric);
}

static struct cw_coil wound(const struct cw_setup *setup, const struct cw_winding *winding)
{
    /* The EMF of the reference coil's turns. */
    static const double reference_turns = 5000.0;
    const struct cw_former_size former = cw_coil_former(setup);
    const struct cw_lay lay = lay_of(setup);
    double layers = cw_capacitance_winding(&lay, winding->turns, winding->layers, winding->mean_turn);
    double air = winding->turns * winding->turns * percent(setup, CW_P_INDUCTANCE_CAL) *
                 cw_inductance_racetrack(former.straight, former.inner_radius, former.height, winding->build);

    struct cw_coil coil = {.branch = {{0.0, 0.0}}};
    coil.emf = winding->turns / reference_turns * emf_of_a_turn(setup) * db_to_ratio(setup->value[CW_P_SENSITIVITY]);
    coil.resistance = winding->wire_length * cw_wire_ohm_per_metre(lay.bare) * percent(setup, CW_P_RESISTANCE_CAL);
    coil.inductance = air * cw_coil_core_effect(setup, winding->mean_area, CW_BENCH_HZ).inductance;
    coil.capacitance = (layers + stray / capacitance_at_leads(setup)) * percent(setup, CW_P_CAPACITANCE_CAL);
    coil.loss = loss_of(setup, winding, air, &coil) * percent(setup, CW_P_LOSS_CAL);
    return coil;
}

static void solve_winding(const struct cw_setup *setup, struct cw_pickup *pickup)
{
    struct cw_winding one, two;
    cw_coil_winding(setup, 0, &one);
    pickup->coil[0] = wound(setup, &one);
    pickup->turns = one.turns;
    pickup->fill = one.fill;
    if (pickup->coils == CW_COILS_ONE) {
        return;
    }
    cw_coil_winding(setup, 1, &two);
    pickup->coil[1] = two.turns == one.turns ? pickup->coil[0] : wound(setup, &two);
    pickup->fill = fmax(one.fill, two.fill);
}

void cw_coil_solve(const struct cw_setup *setup, struct cw_pickup *pickup)
{
    *pickup = (struct cw_pickup){.coils = (enum cw_coils)setup->value[CW_P_COILS]};
    if (setup->value[CW_P_COIL_FROM] == CW_FROM_WINDING) {
        solve_winding(setup, pickup);
    } else {
        solve_measured(setup, pickup);
    }
    pickup->mutual = cw_coil_mutual(&pickup->coil[0], &pickup->coil[1], setup->value[CW_P_COUPLING]);
}

/* ---- uncertainty ---- */

static bool calibrated(const struct cw_setup *setup, enum cw_param_id id) { return setup->value[id] != 100.0; }

/* Half the spread of ohm per metre between the wire's limits, over the nominal value: 8 % at AWG 42. */
static double wire_spread(double gauge)
{
    struct cw_diameter d = cw_wire_bare(gauge);
    double thin = d.nominal / d.minimum, thick = d.nominal / d.maximum;
    return (thin * thin - thick * thick) / 2.0;
}

void cw_coil_uncertainty(const struct cw_setup *setup, struct cw_uncertainty *uncertainty)
{
    *uncertainty = (struct cw_uncertainty){0};
    if (setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING) {
        return;
    }
    /* Packing known to five points of 65 moves the mean turn by about 1 % and the inductance in
     * air by 3 %; what the core adds is known to 15 % (one published coil), to half for magnet rods
     * (recoil of alnico 5 is 2.2 to 4.3 by source). */
    struct cw_winding winding;
    cw_coil_winding(setup, 0, &winding);
    double core = (setup->value[CW_P_CORE] == CW_CORE_MAGNET_RODS ? 0.5 : 0.15) *
                  (1.0 - 1.0 / cw_coil_core_effect(setup, winding.mean_area, CW_BENCH_HZ).inductance);

    uncertainty->resistance =
        hypot(wire_spread(setup->value[CW_P_GAUGE]), calibrated(setup, CW_P_RESISTANCE_CAL) ? 0.0 : 0.02);
    uncertainty->inductance = calibrated(setup, CW_P_INDUCTANCE_CAL) ? 0.03 : hypot(0.04, core);
    uncertainty->capacitance = calibrated(setup, CW_P_CAPACITANCE_CAL) ? 0.10 : 0.40;
    uncertainty->loss = calibrated(setup, CW_P_LOSS_CAL) ? 0.15 : 0.50;
    uncertainty->emf = 0.25;
}
