/* SPDX-License-Identifier: ISC */
#include "exact_wound.h"

#include <math.h>
#include <string.h>

#include "coil.h"
#include "constants.h"
#include "core.h"
#include "inductance.h"
#include "material.h"
#include "rods.h"
#include "split_kind.h"

typedef double complex cplx;

static double get(const struct cw_setup *setup, enum cw_param_id id) { return setup->value[id]; }

/* ---- the coils --------------------------------------------------------------------------------- */

/* Six rods on the former, as thick as they are or as their neighbours let them be (dsp/coil.c). */
static struct cw_rods rods_of(const struct cw_setup *setup, const struct cw_former_size *former)
{
    const struct cw_core_info *core = &cw_core_info[(int)get(setup, CW_P_CORE)];
    double room = 0.95 * fmin(2 * former->inner_radius, former->straight / 5);
    return (struct cw_rods){core->length, fmin(core->diameter, room), core->above};
}

static void set_rods(const struct cw_setup *setup, const struct cw_winding *winding, struct exact_coil *coil)
{
    const struct cw_former_size former = cw_coil_former(setup);
    const struct cw_core_info *core = &cw_core_info[(int)get(setup, CW_P_CORE)];
    const struct cw_magnet_info *magnet = &cw_magnet_info[(int)get(setup, CW_P_MAGNET)];
    bool magnets = get(setup, CW_P_CORE) == CW_CORE_MAGNET_RODS;
    double mu = magnets ? magnet->recoil_permeability.usual : core->permeability.usual;
    double sigma = magnets ? magnet->conductivity : core->conductivity, chi = mu - 1,
           squared = winding->turns * winding->turns;
    struct cw_rods rods = rods_of(setup, &former);
    struct cw_rods_coil around = {former.straight, former.inner_radius + winding->build / 2, former.height,
                                  winding->build};
    struct cw_rods_in_coil placed;
    coil->air = squared * cw_inductance_racetrack(former.straight, former.inner_radius, former.height, winding->build);
    coil->rod = (struct rod){1, 0, 1e-3, 0.5};
    if (rods.diameter > 0) {
        cw_rods_place(&rods, &around, &placed);
        struct cw_rods_share added = cw_rods_added(&placed, chi, fmin(10, chi / 2));
        coil->rod = (struct rod){mu, sigma, rods.diameter / 2, added.demagnetising};
        /* What is seen of rods is mu_c/(1 + N chi) - 1 = (1 - N) chi/(1 + N chi). */
        coil->share = squared * added.henry / (coil->air * (1 - added.demagnetising));
    }
}

void exact_pickup_of(const struct cw_setup *setup, struct exact_pickup *pickup)
{
    struct cw_pickup model;
    struct cw_metal metal = cw_coil_cover(setup);
    cw_coil_solve(setup, &model);
    *pickup = (struct exact_pickup){.coils = model.coils == CW_COILS_ONE ? 1 : 2,
                                    .parallel = model.coils == CW_COILS_PARALLEL};
    for (int i = 0; i < pickup->coils; i++) {
        const struct cw_coil *c = &model.coil[i];
        struct exact_coil *coil = &pickup->coil[i];
        struct cw_winding winding;
        cw_coil_winding(setup, i, &winding);
        *coil = (struct exact_coil){.ohm = c->resistance, .farad = c->capacitance, .loss = c->loss};
        set_rods(setup, &winding, coil);
        coil->metal = metal.share;
        coil->metal_hz = metal.corner;
        /* The model's EMF is made for what its branches have at rest. */
        coil->emf = c->emf * creal(exact_inductance(coil, 0)) / cw_coil_inductance_dc(c);
    }
    pickup->mutual = get(setup, CW_P_COUPLING) *
                     sqrt(creal(exact_inductance(&pickup->coil[0], 0)) * creal(exact_inductance(&pickup->coil[1], 0)));
}

/* mu_c of the rod at a complex frequency. */
static cplx permeability(const struct rod *rod, cplx s)
{
    cplx z = csqrt(-s * rod->permeability * CW_MU0 * rod->conductivity) * rod->radius;
    return rod->permeability * rod_bessel_ratio(z);
}

static cplx bare(const struct exact_coil *coil, cplx s)
{
    cplx mu = permeability(&coil->rod, s);
    return coil->air * (1 + coil->share * (mu / (1 + coil->rod.demagnetising * (mu - 1)) - 1));
}

cplx exact_inductance(const struct exact_coil *coil, cplx s)
{
    cplx shielded = coil->metal > 0 ? s / (s + CW_TAU * coil->metal_hz) : 0;
    return bare(coil, s) - coil->metal * bare(coil, 0) * shielded;
}

/* ---- the network ------------------------------------------------------------------------------- */

/* Unknowns: voltages against earth, then the currents of the two inductors. INNER is between a coil's resistance and
 * its inductor. Earth is no unknown. */
enum { EARTH = -1, HOT, MIDDLE, WIPER, INNER, CURRENT = INNER + 2, UNKNOWNS = CURRENT + 2 };

struct net {
    cplx a[UNKNOWNS][UNKNOWNS + 1]; /* the last column: what is driven */
};

static void add(struct net *net, int row, int column, cplx value)
{
    if (row != EARTH && column != EARTH) {
        net->a[row][column] += value;
    }
}

static void add_admittance(struct net *net, int p, int q, cplx y)
{
    add(net, p, p, y);
    add(net, q, q, y);
    add(net, p, q, -y);
    add(net, q, p, -y);
}

static cplx solved(struct net *net, int wanted)
{
    for (int c = 0; c < UNKNOWNS; c++) {
        int best = c;
        for (int r = c + 1; r < UNKNOWNS; r++) {
            best = cabs(net->a[r][c]) > cabs(net->a[best][c]) ? r : best;
        }
        cplx row[UNKNOWNS + 1];
        memcpy(row, net->a[c], sizeof row);
        memcpy(net->a[c], net->a[best], sizeof row);
        memcpy(net->a[best], row, sizeof row);
        for (int r = 0; r < UNKNOWNS; r++) {
            cplx by = r == c ? 0 : net->a[r][c] / net->a[c][c];
            for (int k = c; k <= UNKNOWNS; k++) {
                net->a[r][k] -= by * net->a[c][k];
            }
        }
    }
    return net->a[wanted][UNKNOWNS] / net->a[wanted][wanted];
}

/* A coil as it stands in the network: its part of the turns, and what the core takes off its EMF. */
struct part {
    double kept, emf;
    cplx henry, taken;
};

/* EMF and resistance in series; behind them the inductor with its loss resistor across it; the capacitance across all.
 * The voltage of the inductor: s L i, s M of the other's current, less the EMF that is taken. */
static void add_coil(struct net *net, const struct exact_coil *coil, const struct part *part, int n, int top,
                     int bottom, cplx s, double mutual)
{
    double k = part->kept, ohm = coil->ohm * k;
    int inner = INNER + n, current = CURRENT + n;
    add_admittance(net, top, bottom, s * coil->farad / (k * k));
    add_admittance(net, top, inner, 1 / ohm);
    add(net, top, UNKNOWNS, part->emf / ohm);
    add(net, inner, UNKNOWNS, -part->emf / ohm);
    add_admittance(net, inner, bottom, 1 / (coil->loss * k * k));
    add(net, inner, current, 1);
    add(net, bottom, current, -1);
    add(net, current, inner, 1);
    add(net, current, bottom, -1);
    net->a[current][current] -= s * part->henry;
    net->a[current][CURRENT + 1 - n] -= s * mutual;
    net->a[current][UNKNOWNS] -= part->taken;
}

/* What no element reaches is held at nothing. */
static void hold(struct net *net, int unknown) { net->a[unknown][unknown] += 1; }

static cplx split_admittance(const struct cw_setup *setup, cplx s)
{
    cplx y_r = 1 / (get(setup, CW_P_SPLIT_RESISTOR) * 1e3), y_c = s * get(setup, CW_P_SPLIT_CAPACITOR) * 1e-9;
    switch ((enum cw_split_by)(int)get(setup, CW_P_SPLIT_BY)) { /* no default: the compiler names a new kind */
    case CW_SPLIT_TAPPED: break;
    case CW_SPLIT_R:
    case CW_SPLIT_TAPPED_R: return y_r;
    case CW_SPLIT_C: return y_c;
    case CW_SPLIT_RC_SERIES: return y_r * y_c / (y_r + y_c);
    case CW_SPLIT_RC_PARALLEL: return y_r + y_c;
    }
    return 0;
}

static bool is_split(const struct cw_setup *setup, const struct exact_pickup *p)
{
    return p->coils == 2 && !p->parallel && get(setup, CW_P_SPLIT) > 0;
}

static int reduced_of(const struct cw_setup *setup) { return get(setup, CW_P_SPLIT_COIL) == CW_SPLIT_COIL_ONE ? 0 : 1; }

static double kept_of(const struct cw_setup *setup, const struct exact_pickup *p, int coil)
{
    int by = (int)get(setup, CW_P_SPLIT_BY);
    bool tapped = by == CW_SPLIT_TAPPED || by == CW_SPLIT_TAPPED_R;
    return is_split(setup, p) && tapped && coil == reduced_of(setup) ? get(setup, CW_P_SPLIT_KEEP) / 100 : 1;
}

/* The open EMF is L(s) L(0)^-1 e, of the pickup before any split: the rest is taken off. */
static void parts_of(const struct cw_setup *setup, const struct exact_pickup *p, cplx s, struct part part[2])
{
    double rest[2] = {creal(exact_inductance(&p->coil[0], 0)),
                      p->coils == 2 ? creal(exact_inductance(&p->coil[1], 0)) : 1};
    double whole = rest[0] * rest[1] - p->mutual * p->mutual;
    for (int i = 0; i < p->coils; i++) {
        double kept = kept_of(setup, p, i);
        cplx henry = exact_inductance(&p->coil[i], s);
        double flux = (rest[1 - i] * p->coil[i].emf - p->mutual * p->coil[1 - i].emf) / whole;
        part[i] = (struct part){kept, kept * p->coil[i].emf, kept * kept * henry, kept * flux * (rest[i] - henry)};
    }
}

static void add_pickup(struct net *net, const struct cw_setup *setup, const struct exact_pickup *p, bool driven, cplx s)
{
    struct part part[2] = {{0}};
    parts_of(setup, p, s, part);
    double mutual = p->coils == 2 ? p->mutual * part[0].kept * part[1].kept : 0;
    bool series = p->coils == 2 && !p->parallel;
    for (int i = 0; i < p->coils; i++) {
        part[i].emf *= driven;
        part[i].taken *= driven;
        add_coil(net, &p->coil[i], &part[i], i, series && i == 1 ? MIDDLE : HOT, series && i == 0 ? MIDDLE : EARTH, s,
                 mutual);
    }
    if (p->coils == 1) {
        hold(net, INNER + 1);
        hold(net, CURRENT + 1);
    }
    if (!series) {
        hold(net, MIDDLE);
    }
    if (is_split(setup, p)) {
        bool one = reduced_of(setup) == 0;
        add_admittance(net, one ? HOT : MIDDLE, one ? MIDDLE : EARTH, split_admittance(setup, s));
    }
}

/* A track as docs/parameters.md has it: two straight pieces, or exponential. */
static double track(const struct cw_setup *setup, enum cw_param_id id)
{
    double x = get(setup, id) / 10, half = get(setup, CW_P_TAPER) / 100, b = (1 / half - 1) * (1 / half - 1);
    if (get(setup, CW_P_TRACK) == CW_TRACK_TWO_PIECES) {
        return x < 0.5 ? 2 * x * half : half + (2 * x - 1) * (1 - half);
    }
    return fabs(b - 1) < 1e-9 ? x : (pow(b, x) - 1) / (b - 1);
}

static void add_load(struct net *net, const struct cw_setup *setup, cplx s)
{
    static const double wire = 1e-6; /* ohm: volume full up */
    double pot = get(setup, CW_P_VOLUME_POT) * 1e3, volume = track(setup, CW_P_VOLUME);
    double farad =
        get(setup, CW_P_INPUT_CAPACITANCE) + get(setup, CW_P_CABLE_LENGTH) * get(setup, CW_P_CABLE_CAPACITANCE);
    add_admittance(net, HOT, WIPER, 1 / fmax((1 - volume) * pot, wire));
    if (volume < 1 && get(setup, CW_P_BLEED_CAP) > 0) {
        cplx z = get(setup, CW_P_BLEED_RESISTOR) * 1e3 + 1 / (s * get(setup, CW_P_BLEED_CAP) * 1e-12);
        add_admittance(net, HOT, WIPER, 1 / z);
    }
    cplx tone = track(setup, CW_P_TONE) * get(setup, CW_P_TONE_POT) * 1e3 + 1 / (s * get(setup, CW_P_TONE_CAP) * 1e-9);
    add_admittance(net, get(setup, CW_P_TONE_AFTER_VOLUME) > 0 ? WIPER : HOT, EARTH, 1 / tone);
    add_admittance(net, WIPER, EARTH,
                   1 / (volume * pot) + s * farad * 1e-12 + 1 / (get(setup, CW_P_INPUT_RESISTANCE) * 1e6));
}

cplx exact_response(const struct cw_setup *setup, const struct exact_pickup *pickup, cplx s)
{
    struct net net = {{{0}}};
    add_pickup(&net, setup, pickup, true, s);
    add_load(&net, setup, s);
    return solved(&net, WIPER);
}

cplx exact_impedance(const struct cw_setup *setup, const struct exact_pickup *pickup, cplx s)
{
    struct net net = {{{0}}};
    add_pickup(&net, setup, pickup, false, s);
    hold(&net, WIPER);
    net.a[HOT][UNKNOWNS] += 1; /* an ampere */
    return solved(&net, HOT);
}

cplx exact_pole(const struct cw_setup *setup, const struct exact_pickup *pickup, cplx from)
{
    cplx last = from, here = from * (1 + 1e-4), of_last = 1 / exact_response(setup, pickup, last);
    for (int i = 0; i < 40; i++) {
        cplx of_here = 1 / exact_response(setup, pickup, here), step = of_here * (here - last) / (of_here - of_last);
        last = here;
        of_last = of_here;
        here -= step;
        if (cabs(step) < 1e-12 * cabs(here)) {
            break;
        }
    }
    return here;
}
