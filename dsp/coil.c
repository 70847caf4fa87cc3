/* SPDX-License-Identifier: ISC */
#include "coil.h"

#include <math.h>

#include "capacitance.h"
#include "complex_math.h"
#include "constants.h"
#include "inductance.h"
#include "magnetics.h"
#include "material.h"
#include "polynomial.h"
#include "rods.h"
#include "wire.h"

/* Common practice, no source. The dual-coil bobbin is the one for which the published coil of 5000
 * turns of AWG 43 comes out (docs/model.md). */
const struct cw_former_size cw_former_info[CW_FORMERS] = {
    [CW_FORMER_DUAL] = {50.0e-3, 3.5e-3, 6.3e-3, 5.0e-3},
    [CW_FORMER_TALL] = {52.0e-3, 3.0e-3, 11.0e-3, 5.0e-3},
    [CW_FORMER_WIDE] = {46.0e-3, 4.0e-3, 6.0e-3, 12.0e-3},
    [CW_FORMER_SHORT] = {42.0e-3, 2.7e-3, 8.0e-3, 4.0e-3},
};

/* Known to the tool that makes them, dsp/tables/reference.c: the EMF of a turn of the default winding, and its
 * inductance at CW_BENCH_HZ. */
#include "reference_table.inc"

/* Where levels of different cores are set against one another, metre over the top of a pole: a usual distance of the
 * string, common practice, no source. */
static const double usual_distance = 3e-3;

/* A bare bar below the coil: how fast its field falls there, by the field of its charged faces. */
static const double bare_bar_fall = 125.0;

/* The dielectric's loss is that at the resonance with a usual cable: 5 m of 100 pF/m. */
static const double usual_cable = 500e-12;

/* Where a pair rings with nothing connected. */
static const double usual_own = 10e3;

/* Leads and metal parts, at the leads of the pickup: 40 cm of screened lead at 150 pF/m. Common
 * practice, no source. */
static const double stray = 60e-12;

/* Loss factor of enamel and wax, from memory. */
static const double loss_factor = 0.02;

static double db_to_ratio(double db) { return pow(10.0, db / 20.0); }

static double percent(const struct cw_setup *setup, enum cw_param_id id) { return setup->value[id] / 100.0; }

/* ---- inductance ---- */

/* Mutual inductance over what the parts that do not lose can carry, at most. */
static const double MUTUAL_MOST = 0.9;

double cw_coil_inductance_dc(const struct cw_coil *coil) { return cw_coil_inductance_at(coil, 0.0); }

/* Inductance of the parts in series; the imaginary part is what they lose. */
static struct cw_complex in_series(const struct cw_coil *coil, double omega)
{
    struct cw_complex sum = {coil->inductance, 0.0};
    for (int i = 0; i < CW_BRANCHES; i++) {
        const struct cw_branch *b = &coil->branch[i];
        double over_corner = b->inductance > 0.0 ? omega * b->inductance / b->resistance : 0.0;
        double left = b->inductance / (1.0 + over_corner * over_corner);
        sum.re += left;
        sum.im -= over_corner * left;
    }
    return sum;
}

double cw_coil_inductance_at(const struct cw_coil *coil, double hz) { return in_series(coil, CW_TAU * hz).re; }

double cw_coil_tail_conductance(const struct cw_coil *coil)
{
    return coil->tail > 0.0 ? coil->tail / (coil->inductance * coil->inductance) : 0.0;
}

double cw_coil_loss_at(const struct cw_coil *coil, double hz)
{
    double omega = CW_TAU * hz;
    struct cw_complex l = in_series(coil, omega);
    double conductance = -l.im / (omega * cw_norm(l)) + cw_coil_tail_conductance(coil);
    return 1.0 / (conductance + (coil->loss > 0.0 ? 1.0 / coil->loss : 0.0));
}

double cw_coil_mutual(const struct cw_coil *one, const struct cw_coil *two, double coupling)
{
    double asked = coupling * sqrt(cw_coil_inductance_dc(one) * cw_coil_inductance_dc(two));
    return fmin(asked, MUTUAL_MOST * sqrt(one->inductance * two->inductance));
}

/* ---- measured values ---- */

static void scale_inductor(struct cw_coil *coil, double by)
{
    coil->inductance *= by;
    coil->tail *= by;
    for (int i = 0; i < CW_BRANCHES; i++) {
        coil->branch[i].inductance *= by;
        coil->branch[i].resistance *= by;
    }
}

static void set_inductor(struct cw_coil *coil, const struct cw_inductor *inductor)
{
    coil->inductance = inductor->lossless;
    coil->tail = inductor->tail;
    for (int i = 0; i < CW_BRANCHES; i++) {
        coil->branch[i] = inductor->branch[i];
    }
}

struct cw_metal cw_coil_cover(const struct cw_setup *setup)
{
    int cover = (int)setup->value[CW_P_COVER];
    if (cover == CW_COVER_BY_VALUES) {
        return (struct cw_metal){percent(setup, CW_P_COVER_SHARE), setup->value[CW_P_COVER_CORNER]};
    }
    return (struct cw_metal){cw_cover_info[cover].share, cw_cover_info[cover].corner};
}

/* The values at the leads of a pickup with its coils in series, without its EMF. */
static struct cw_coil measured(const struct cw_setup *setup)
{
    double henry = setup->value[CW_P_INDUCTANCE], share = percent(setup, CW_P_CORE_SHARE);
    struct cw_inductor inductor = {.lossless = henry};
    struct cw_coil coil = {
        .resistance = setup->value[CW_P_RESISTANCE] * 1e3,
        .capacitance = setup->value[CW_P_CAPACITANCE] * 1e-12,
        .loss = setup->value[CW_P_LOSS] * 1e3,
    };
    if (share > 0.0) {
        struct cw_skin skin = {(1.0 - share) * henry, share * henry, setup->value[CW_P_CORE_CORNER]};
        inductor = cw_core_skin(&skin, cw_coil_cover(setup), usual_own);
    } else {
        cw_core_add_metal(&inductor, cw_coil_cover(setup));
    }
    set_inductor(&coil, &inductor);
    if (inductor.branch[0].inductance > 0.0) {
        scale_inductor(&coil, henry / cw_coil_inductance_at(&coil, setup->value[CW_P_INDUCTANCE_AT]));
    }
    return coil;
}

/* One of two equal, coupled coils that have the given values in series: what the core takes is halved as it is, and
 * what the coils share is of the rest. */
static struct cw_coil half_of(struct cw_coil leads, double coupling)
{
    double asked = coupling / (1.0 + coupling) * cw_coil_inductance_dc(&leads) / 2.0;
    double most = MUTUAL_MOST / (1.0 + MUTUAL_MOST) * leads.inductance / 2.0;
    scale_inductor(&leads, 0.5);
    leads.inductance -= fmin(asked, most);
    leads.resistance /= 2.0;
    leads.capacitance *= 2.0;
    leads.loss /= 2.0;
    return leads;
}

/* The same coil with t times its turns. */
static struct cw_coil with_turns(struct cw_coil coil, double t)
{
    coil.emf *= t;
    coil.resistance *= t;
    scale_inductor(&coil, t * t);
    coil.loss *= t * t;
    return coil;
}

static void solve_measured(const struct cw_setup *setup, struct cw_pickup *pickup)
{
    struct cw_coil leads = measured(setup);
    bool one = pickup->coils == CW_COILS_ONE;
    pickup->coil[0] = one ? leads : half_of(leads, setup->value[CW_P_COUPLING]);
    pickup->coil[0].emf = sqrt(cw_coil_inductance_at(&pickup->coil[0], CW_BENCH_HZ) / reference_inductance) *
                          db_to_ratio(setup->value[CW_P_SENSITIVITY]);
    if (one) {
        return;
    }
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
        .packing = percent(setup, CW_P_PACKING),
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

static const struct cw_core_info *core_of(const struct cw_setup *setup)
{
    return &cw_core_info[(int)setup->value[CW_P_CORE]];
}

/* Whether the magnet itself stands in the coil. */
static bool magnet_rods(const struct cw_setup *setup) { return setup->value[CW_P_CORE] == CW_CORE_MAGNET_RODS; }

static struct cw_range permeability_of(const struct cw_setup *setup)
{
    return magnet_rods(setup) ? magnet_of(setup)->recoil_permeability : core_of(setup)->permeability;
}

static struct cw_core_material material_of(const struct cw_setup *setup)
{
    double conductivity = magnet_rods(setup) ? magnet_of(setup)->conductivity : core_of(setup)->conductivity;
    return (struct cw_core_material){permeability_of(setup).usual, conductivity};
}

static struct cw_rods_coil around_rods(const struct cw_former_size *former, const struct cw_winding *winding)
{
    return (struct cw_rods_coil){former->straight, former->inner_radius + winding->build / 2.0, former->height,
                                 winding->build};
}

/* The rods as thick as they are, or as the former's inside and their neighbours let them be. */
static struct cw_rods rods_of(const struct cw_setup *setup, const struct cw_former_size *former)
{
    static const double clear = 0.95;
    const struct cw_core_info *core = core_of(setup);
    double room = clear * fmin(2.0 * former->inner_radius, former->straight / (CW_RODS - 1));
    return (struct cw_rods){core->length, fmin(core->diameter, room), core->above};
}

/* Flux density at the pole's top, tesla: by the load line, set against that of alnico 5, which is known. */
static double flux_at_top(const struct cw_setup *setup)
{
    const struct cw_core_info *core = core_of(setup);
    const struct cw_magnet_info *five = &cw_magnet_info[CW_MAGNET_ALNICO_5];
    double n = magnet_rods(setup) ? cw_demagnetising_spheroid(core->length / core->diameter) : core->bar_demagnetising;
    return core->top_flux * cw_magnet_working_point(magnet_of(setup), n) / cw_magnet_working_point(five, n);
}

/* How a pole's flux density at the string stands to that at its top, and its slope there: as over a charged
 * disc. */
static void fall_over_pole(double radius, double distance, double *share, double *slope)
{
    if (radius <= 0.0) {
        *share = exp(-bare_bar_fall * (distance - usual_distance));
        *slope = -bare_bar_fall * *share;
        return;
    }
    double far2 = distance * distance + radius * radius, far = sqrt(far2);
    *share = 1.0 - distance / far;
    *slope = -radius * radius / (far2 * far);
}

/* How long a piece of the string is in the field of a pole, against that at a usual distance: as long as the way to
 * the pole's rim (ours, from the field of a charge, whose shape is the same at every distance but for its size). */
static double reach(double radius, double distance)
{
    return radius > 0.0 ? hypot(distance, radius) / hypot(usual_distance, radius) : 1.0;
}

/* EMF of a turn, in a unit of its own. A string magnetised by the flux density B has the flux B times H in a
 * turn, H the field there of one ampere in that turn (reciprocity), and moves up and down: the slope of
 * B H counts. */
static double emf_of_a_turn(const struct cw_setup *setup, const struct cw_rods_in_coil *placed,
                            const struct cw_rods_coil *around)
{
    double m[CW_RODS_TERMS] = {0.0}, slope, share, fall, top = flux_at_top(setup);
    double distance = setup->value[CW_P_STRING_DISTANCE] * 1e-3, radius = 0.5 * core_of(setup)->diameter;
    if (placed->rods.diameter > 0.0) {
        cw_rods_magnetise(placed, permeability_of(setup).usual - 1.0, m);
    }
    double field = cw_rods_field_above(placed, around, m, distance, &slope);
    fall_over_pole(radius, distance, &share, &fall);
    return -top * reach(radius, distance) * (share * slope + fall * field);
}

/* The two susceptibilities at which the rods' part is exact: that of the material, and one between which and it
 * the skin effect works. */
static struct cw_rods_share added_by_rods(const struct cw_setup *setup, const struct cw_rods_in_coil *placed)
{
    double chi = permeability_of(setup).usual - 1.0;
    return cw_rods_added(placed, chi, fmin(10.0, 0.5 * chi));
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

/* Where a pickup of an inductance at the leads usually rings by itself: a pair of 4 H at 9.6 kHz, a coil of 1.7 H at
 * 13.6 kHz, two in parallel of 1 H at 16.2 kHz. With leads and a usual winding's capacitance, so that wax and lay move
 * no inductance by the way in which branches are made. */
static double usual_ringing(const struct cw_setup *setup, double henry)
{
    static const double usual_layers = 18e-12;
    return 1.0 / (CW_TAU * sqrt(henry * (stray + usual_layers * capacitance_at_leads(setup))));
}

/* Frequency at which the loss is taken: the resonance of the whole pickup with a usual cable. */
static double loss_hz(const struct cw_setup *setup, double inductance, double capacitance)
{
    double at_leads = capacitance * capacitance_at_leads(setup) + usual_cable;
    return 1.0 / (CW_TAU * sqrt(inductance * inductance_at_leads(setup) * at_leads));
}

/* The parallel resistance that stands for the dielectric. */
static double loss_of(const struct cw_setup *setup, const struct cw_coil *coil)
{
    double hz = loss_hz(setup, cw_coil_inductance_dc(coil), coil->capacitance);
    return 1.0 / (2.0 * CW_PI * hz * coil->capacitance * loss_factor);
}

/* Core and metal. A calibration of loss is one of the core's resistivity: so all corners move together, as with steel
 * of another permeability. */
static void give_inductor(const struct cw_setup *setup, double air, struct cw_rods_share share, double radius,
                          struct cw_coil *coil)
{
    struct cw_inductor inductor = {.lossless = air};
    struct cw_core_material material = material_of(setup);
    double rest = radius > 0.0 ? cw_core_at_rest(air, share, material) : air;
    double own_hz = usual_ringing(setup, rest * inductance_at_leads(setup) / percent(setup, CW_P_INDUCTANCE_CAL));
    if (radius > 0.0) {
        material.conductivity /= percent(setup, CW_P_LOSS_CAL);
        inductor = cw_core_inductor(air, share, material, radius, cw_coil_cover(setup), own_hz);
    } else {
        cw_core_add_metal(&inductor, cw_coil_cover(setup));
    }
    set_inductor(coil, &inductor);
}

static struct cw_coil wound(const struct cw_setup *setup, const struct cw_winding *winding)
{
    /* The EMF of the reference coil's turns. */
    static const double reference_turns = 5000.0;
    const struct cw_former_size former = cw_coil_former(setup);
    const struct cw_lay lay = lay_of(setup);
    const struct cw_rods rods = rods_of(setup, &former);
    const struct cw_rods_coil around = around_rods(&former, winding);
    double layers = cw_capacitance_winding(&lay, winding->turns, winding->layers, winding->mean_turn);
    double squared = winding->turns * winding->turns * percent(setup, CW_P_INDUCTANCE_CAL);
    double air = cw_inductance_racetrack(former.straight, former.inner_radius, former.height, winding->build);

    struct cw_rods_in_coil placed;
    struct cw_rods_share share = {0.0, 0.0};
    cw_rods_place(&rods, &around, &placed);
    if (rods.diameter > 0.0) {
        share = added_by_rods(setup, &placed);
        share.henry *= squared;
    }
    struct cw_coil coil = {.branch = {{0.0, 0.0}}};
    coil.emf = winding->turns / reference_turns * emf_of_a_turn(setup, &placed, &around) / reference_emf *
               db_to_ratio(setup->value[CW_P_SENSITIVITY]);
    coil.resistance = winding->wire_length * cw_wire_ohm_per_metre(lay.bare) * percent(setup, CW_P_RESISTANCE_CAL);
    give_inductor(setup, air * squared, share, 0.5 * rods.diameter, &coil);
    if (rods.diameter > 0.0) { /* it falls from what the rods have at rest, not from what their branches have there */
        coil.emf *= cw_coil_inductance_dc(&coil) / cw_core_at_rest(air * squared, share, material_of(setup));
    }
    coil.capacitance = (layers + stray / capacitance_at_leads(setup)) * percent(setup, CW_P_CAPACITANCE_CAL);
    coil.loss = loss_of(setup, &coil) * percent(setup, CW_P_LOSS_CAL);
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

/* What the core adds to the inductance over all of it, for one permeability. */
static double core_part(const struct cw_rods_in_coil *placed, double air, double mu)
{
    double chi = mu - 1.0;
    struct cw_rods_share share = cw_rods_added(placed, chi, 0.5 * chi);
    double added = share.henry * chi / (1.0 + share.demagnetising * chi);
    return added / (air + added);
}

/* What the inductance moves by to the further end of the permeability's range, and what the rods' place
 * and length are worth: 8 % of their part for a millimetre, by the model. */
static double core_spread(const struct cw_setup *setup)
{
    static const double of_place = 0.08;
    const struct cw_former_size former = cw_coil_former(setup);
    const struct cw_rods rods = rods_of(setup, &former);
    struct cw_rods_in_coil placed;
    struct cw_winding winding;
    if (rods.diameter <= 0.0) {
        return 0.0;
    }
    cw_coil_winding(setup, 0, &winding);
    const struct cw_rods_coil around = around_rods(&former, &winding);
    double air = cw_inductance_racetrack(former.straight, former.inner_radius, former.height, winding.build);
    cw_rods_place(&rods, &around, &placed);
    struct cw_range mu = permeability_of(setup);
    double usual = core_part(&placed, air, mu.usual), left = 1.0 - usual;
    double down = 1.0 - left / (1.0 - core_part(&placed, air, mu.low));
    double up = left / (1.0 - core_part(&placed, air, mu.high)) - 1.0;
    return hypot(fmax(down, up), of_place * usual);
}

void cw_coil_uncertainty(const struct cw_setup *setup, struct cw_uncertainty *uncertainty)
{
    *uncertainty = (struct cw_uncertainty){0};
    if (setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING) {
        return;
    }
    /* Packing known to five points of 65 moves the mean turn by about 1 % and the inductance in air by 3 %. */
    uncertainty->resistance =
        hypot(wire_spread(setup->value[CW_P_GAUGE]), calibrated(setup, CW_P_RESISTANCE_CAL) ? 0.0 : 0.02);
    uncertainty->inductance = calibrated(setup, CW_P_INDUCTANCE_CAL) ? 0.03 : hypot(0.04, core_spread(setup));
    uncertainty->capacitance = calibrated(setup, CW_P_CAPACITANCE_CAL) ? 0.20 : 0.40;
    /* Permeabilities of 100 to 500 move the corners of steel by a factor of two either way, nearly all of it. */
    double model = permeability_of(setup).usual > 10.0 && material_of(setup).conductivity > 1e3 ? 0.80 : 0.50;
    uncertainty->loss = calibrated(setup, CW_P_LOSS_CAL) ? 0.40 : model;
    /* Readings of the flux at poles scatter by a factor of 1.5; magnet data, load line and turns are worth 25 %. */
    uncertainty->emf = hypot(0.50, 0.25);
}
