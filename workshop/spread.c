/* SPDX-License-Identifier: ISC */
#include "spread.h"

#include <math.h>

#include "circuit.h"
#include "core.h"
#include "loudness.h"
#include "philox.h"
#include "resonance.h"
#include "statistics.h"
#include "wire.h"

/* What varies: its cause, and the parameter it moves, or none where it moves the coils themselves. */
static const struct {
    enum cw_scatter_id cause;
    int parameter;
} vary_info[CW_VARIES] = {
    [CW_VARY_WIRE] = {CW_SCATTER_WIRE, -1},
    [CW_VARY_TURNS_ONE] = {CW_SCATTER_TURNS, -1},
    [CW_VARY_TURNS_TWO] = {CW_SCATTER_TURNS, -1},
    [CW_VARY_PACKING_ONE] = {CW_SCATTER_PACKING, -1},
    [CW_VARY_PACKING_TWO] = {CW_SCATTER_PACKING, -1},
    [CW_VARY_CORE] = {CW_SCATTER_CORE, -1},
    [CW_VARY_MAGNET] = {CW_SCATTER_MAGNET, -1},
    [CW_VARY_VOLUME_POT] = {CW_SCATTER_POTS, CW_P_VOLUME_POT},
    [CW_VARY_TONE_POT] = {CW_SCATTER_POTS, CW_P_TONE_POT},
    [CW_VARY_TONE_CAP] = {CW_SCATTER_CAPACITORS, CW_P_TONE_CAP},
    [CW_VARY_BLEED_CAP] = {CW_SCATTER_CAPACITORS, CW_P_BLEED_CAP},
    [CW_VARY_SPLIT_CAPACITOR] = {CW_SCATTER_CAPACITORS, CW_P_SPLIT_CAPACITOR},
    [CW_VARY_SPLIT_RESISTOR] = {CW_SCATTER_RESISTORS, CW_P_SPLIT_RESISTOR},
    [CW_VARY_BLEED_RESISTOR] = {CW_SCATTER_RESISTORS, CW_P_BLEED_RESISTOR},
    [CW_VARY_CABLE] = {CW_SCATTER_CABLE, CW_P_CABLE_CAPACITANCE},
    [CW_VARY_INPUT] = {CW_SCATTER_INPUT, CW_P_INPUT_CAPACITANCE},
    [CW_VARY_TEMPERATURE] = {CW_SCATTER_TEMPERATURE, -1},
};

enum cw_scatter_id cw_vary_cause(enum cw_vary vary) { return vary_info[vary].cause; }

/* ---- the coil's surface ---- */

/* The values of a coil, one after another: where they stand in it. */
static void values_of(struct cw_coil *coil, double *value[CW_SURFACE_VALUES])
{
    double *first[] = {&coil->emf, &coil->resistance, &coil->inductance, &coil->capacitance, &coil->loss, &coil->tail};
    for (int i = 0; i < 6; i++) {
        value[i] = first[i];
    }
    for (int b = 0; b < CW_BRANCHES; b++) {
        value[6 + 2 * b] = &coil->branch[b].inductance;
        value[7 + 2 * b] = &coil->branch[b].resistance;
    }
}

enum { OF_INDUCTANCE = 2 };

/* Logarithms of a coil's values over the nominal ones; of a branch that is not there, as of the inductance. */
static void logarithms(struct cw_coil coil, struct cw_coil nominal, double log_ratio[CW_SURFACE_VALUES])
{
    double *moved[CW_SURFACE_VALUES], *from[CW_SURFACE_VALUES];
    values_of(&coil, moved);
    values_of(&nominal, from);
    for (int i = 0; i < CW_SURFACE_VALUES; i++) {
        bool is_there = *from[i] > 0.0 && *moved[i] > 0.0;
        log_ratio[i] = is_there ? log(*moved[i] / *from[i]) : i > OF_INDUCTANCE ? log_ratio[OF_INDUCTANCE] : 0.0;
    }
}

/* The winding with turns and packing off by so much, in a window that is wide enough for them. */
static struct cw_pickup moved_winding(struct cw_setup setup, double turns, double packing)
{
    const double wide = 4.0;
    struct cw_pickup pickup;
    setup.value[CW_P_TURNS] *= exp(turns);
    setup.value[CW_P_PACKING] *= exp(packing);
    setup.value[CW_P_FORMER_BUILD] *= wide;
    cw_coil_solve(&setup, &pickup);
    return pickup;
}

/* Through the model at both sides of each, and at a corner. */
static void lay_surface(const struct cw_setup *setup, int coil, struct cw_surface *surface)
{
    const double t = 0.02, p = 0.10;
    const double at[5][2] = {{t, 0.0}, {-t, 0.0}, {0.0, p}, {0.0, -p}, {t, p}};
    double found[5][CW_SURFACE_VALUES];
    struct cw_pickup nominal = moved_winding(*setup, 0.0, 0.0);
    for (int i = 0; i < 5; i++) {
        struct cw_pickup moved = moved_winding(*setup, at[i][0], at[i][1]);
        logarithms(moved.coil[coil], nominal.coil[coil], found[i]);
    }
    for (int i = 0; i < CW_SURFACE_VALUES; i++) {
        surface->turns[i] = (found[0][i] - found[1][i]) / (2.0 * t);
        surface->turns2[i] = (found[0][i] + found[1][i]) / (2.0 * t * t);
        surface->packing[i] = (found[2][i] - found[3][i]) / (2.0 * p);
        surface->packing2[i] = (found[2][i] + found[3][i]) / (2.0 * p * p);
        surface->both[i] = (found[4][i] - found[0][i] - found[2][i]) / (t * p);
    }
}

void cw_spread_start(struct cw_spread *spread, const struct cw_setup *setup, const struct cw_scatter *scatter)
{
    struct cw_setup winding = *setup;
    if (setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING) {
        cw_setup_defaults(&winding);
        winding.value[CW_P_COIL_FROM] = CW_FROM_WINDING;
        winding.value[CW_P_COILS] = setup->value[CW_P_COILS];
    }
    spread->setup = *setup;
    spread->scatter = *scatter;
    cw_coil_solve(setup, &spread->nominal);
    cw_circuit_transfer(setup, &spread->nominal, CW_DRIVE_STRING, &spread->response);
    for (int coil = 0; coil < (setup->value[CW_P_COILS] == CW_COILS_ONE ? 1 : 2); coil++) {
        lay_surface(&winding, coil, &spread->surface[coil]);
    }
    double gauge = winding.value[CW_P_GAUGE];
    spread->bare_share = cw_wire_bare(gauge).nominal /
                         cw_wire_overall(gauge, (enum cw_insulation)winding.value[CW_P_INSULATION]).nominal;
}

/* ---- one pickup ---- */

void cw_spread_draw(uint64_t seed, uint64_t number, struct cw_deviation *deviation)
{
    struct cw_draw draw;
    cw_draw_start(&draw, seed, number);
    for (int i = 0; i < CW_VARIES; i++) {
        bool even = cw_scatter_info[vary_info[i].cause].shape == CW_SHAPE_LIMITS;
        deviation->of[i] = even ? cw_draw_even(&draw) : 0.5 * cw_draw_normal(&draw);
    }
}

/* Draws of others have numbers above those of the first. */
void cw_spread_draw_other(uint64_t seed, uint64_t number, uint32_t other, const struct cw_deviation *first,
                          struct cw_deviation *second)
{
    cw_spread_draw(seed, number + ((uint64_t)other << 40), second);
    for (int i = 0; i < CW_VARIES; i++) {
        bool shared = cw_scatter_info[vary_info[i].cause].place == CW_PLACE_GUITAR;
        second->of[i] = shared ? first->of[i] : second->of[i];
    }
}

/* By how much something is off: a share of 1, or degrees. */
static double off_by(const struct cw_spread *spread, const struct cw_deviation *deviation, enum cw_vary vary)
{
    enum cw_scatter_id cause = vary_info[vary].cause;
    return deviation->of[vary] * spread->scatter.half[cause] * (cause == CW_SCATTER_TEMPERATURE ? 1.0 : 0.01);
}

/* What stays above 0 however far a normal number strays. */
static double factor(double off) { return off > -0.9 ? 1.0 + off : 0.1; }

/* Thicker wire takes room as a looser winding does. */
static double packing_of(const struct cw_spread *spread, double wire, double lay)
{
    return log(factor(lay)) - 2.0 * log1p(spread->bare_share * wire);
}

static void move_coil(const struct cw_spread *spread, const struct cw_deviation *deviation, int which,
                      struct cw_coil *coil)
{
    const struct cw_surface *s = &spread->surface[which];
    bool two = which == 1;
    double wire = off_by(spread, deviation, CW_VARY_WIRE);
    double turns = log(factor(off_by(spread, deviation, two ? CW_VARY_TURNS_TWO : CW_VARY_TURNS_ONE)));
    double packing =
        packing_of(spread, wire, off_by(spread, deviation, two ? CW_VARY_PACKING_TWO : CW_VARY_PACKING_ONE));
    double core = factor(off_by(spread, deviation, CW_VARY_CORE)), *value[CW_SURFACE_VALUES];
    values_of(coil, value);
    for (int i = 0; i < CW_SURFACE_VALUES; i++) {
        *value[i] *= exp(turns * (s->turns[i] + turns * s->turns2[i] + packing * s->both[i]) +
                         packing * (s->packing[i] + packing * s->packing2[i]));
    }
    double celsius = 20.0 + off_by(spread, deviation, CW_VARY_TEMPERATURE);
    coil->resistance *= cw_wire_resistance_ratio(celsius) / (factor(wire) * factor(wire));
    coil->emf *= factor(off_by(spread, deviation, CW_VARY_MAGNET));
    coil->inductance *= core;
    coil->tail *= core;
    for (int b = 0; b < CW_BRANCHES; b++) {
        coil->branch[b].inductance *= core;
        coil->branch[b].resistance *= core;
    }
}

void cw_spread_make(const struct cw_spread *spread, const struct cw_deviation *deviation, struct cw_setup *setup,
                    struct cw_pickup *pickup)
{
    *setup = spread->setup;
    *pickup = spread->nominal;
    for (int i = 0; i < CW_VARIES; i++) {
        if (vary_info[i].parameter >= 0) {
            setup->value[vary_info[i].parameter] *= factor(off_by(spread, deviation, (enum cw_vary)i));
        }
    }
    move_coil(spread, deviation, 0, &pickup->coil[0]);
    if (pickup->coils != CW_COILS_ONE) {
        move_coil(spread, deviation, 1, &pickup->coil[1]);
    }
    pickup->mutual = cw_coil_mutual(&pickup->coil[0], &pickup->coil[1], setup->value[CW_P_COUPLING]);
}

/* The fuller of the coils. */
static double fill_of(const struct cw_spread *spread, const struct cw_deviation *deviation)
{
    double wire = off_by(spread, deviation, CW_VARY_WIRE), most = 0.0;
    for (int coil = 0; coil < (spread->nominal.coils == CW_COILS_ONE ? 1 : 2); coil++) {
        double turns = off_by(spread, deviation, coil ? CW_VARY_TURNS_TWO : CW_VARY_TURNS_ONE);
        double lay = off_by(spread, deviation, coil ? CW_VARY_PACKING_TWO : CW_VARY_PACKING_ONE);
        most = fmax(most, factor(turns) / exp(packing_of(spread, wire, lay)));
    }
    return spread->nominal.fill * most;
}

void cw_spread_figures(const struct cw_spread *spread, const struct cw_deviation *deviation,
                       double figure[CW_SPREAD_FIGURES], struct cw_transfer *response)
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_spread_make(spread, deviation, &setup, &pickup);
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &h);
    figure[CW_SPREAD_RESISTANCE] = cw_circuit_dc_resistance(&setup, &pickup);
    figure[CW_SPREAD_INDUCTANCE] = cw_circuit_lead_inductance(&setup, &pickup, CW_BENCH_HZ);
    figure[CW_SPREAD_RESONANCE] = cw_resonance_of(&setup, &h).hz;
    figure[CW_SPREAD_LEVEL] = cw_loudness_against(&h, &spread->response);
    figure[CW_SPREAD_FILL] = fill_of(spread, deviation);
    if (response) {
        *response = h;
    }
}

/* ---- without draws ---- */

static double figure_at(const struct cw_spread *spread, const struct cw_deviation *deviation,
                        enum cw_spread_figure figure)
{
    double all[CW_SPREAD_FIGURES];
    cw_spread_figures(spread, deviation, all, NULL);
    return all[figure];
}

void cw_spread_estimate(const struct cw_spread *spread, enum cw_spread_figure figure,
                        struct cw_spread_estimate *estimate)
{
    struct cw_deviation none = {{0.0}}, low, high;
    double variance = 0.0;
    *estimate = (struct cw_spread_estimate){.nominal = figure_at(spread, &none, figure)};
    for (int i = 0; i < CW_VARIES; i++) {
        struct cw_deviation up = none, down = none;
        double standard = cw_scatter_standard(vary_info[i].cause);
        up.of[i] = standard;
        down.of[i] = -standard;
        double change = 0.5 * (figure_at(spread, &up, figure) - figure_at(spread, &down, figure));
        high.of[i] = change < 0.0 ? -1.0 : 1.0;
        low.of[i] = -high.of[i];
        variance += change * change;
        estimate->share[vary_info[i].cause] += change * change;
    }
    for (int i = 0; i < CW_SCATTERS && variance > 0.0; i++) {
        estimate->share[i] /= variance;
    }
    estimate->standard = sqrt(variance);
    estimate->worst_low = figure_at(spread, &low, figure);
    estimate->worst_high = figure_at(spread, &high, figure);
}

/* ---- by draws ---- */

struct cw_spread_found cw_spread_found_of(double *values, size_t count)
{
    struct cw_spread_found found = {.mean = cw_mean(values, count), .standard = cw_deviation(values, count)};
    cw_sort(values, count);
    found.low = cw_quantile(values, count, 0.025);
    found.middle = cw_quantile(values, count, 0.5);
    found.high = cw_quantile(values, count, 0.975);
    found.most = cw_quantile(values, count, 0.95);
    return found;
}
