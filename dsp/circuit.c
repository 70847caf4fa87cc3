/* SPDX-License-Identifier: ISC */
#include "circuit.h"

#include <math.h>

#include "core.h"
#include "polynomial.h"
#include "setup.h"
#include "source.h"
#include "split_kind.h"

/* ---- the EMF behind the core ------------------------------------------------------------------ */

/* The string's flux passes the core that the coil's own does. With the coils' matrix of inductances at 0 Hz the
 * EMFs stand for e = L(0) a, and the open circuit gives L(s) a: drop is a. The core is there whatever the
 * split leaves of the winding, so that this comes first. */
static void set_drop(struct cw_wired *w)
{
    double e1 = w->coil[0].emf, e2 = w->coil[1].emf, m = w->mutual;
    double l1 = cw_coil_inductance_dc(&w->coil[0]), l2 = cw_coil_inductance_dc(&w->coil[1]);
    if (w->coils == 1) {
        w->drop[0] = e1 / l1;
        return;
    }
    double d = l1 * l2 - m * m;
    w->drop[0] = (l2 * e1 - m * e2) / d;
    w->drop[1] = (l1 * e2 - m * e1) / d;
}

/* ---- the split ----------------------------------------------------------------------------- */

static void leave_one(struct cw_wired *w)
{
    w->coils = 1;
    w->coil[1] = (struct cw_coil){.emf = 0.0};
    w->mutual = w->drop[1] = 0.0;
}

static void tap(struct cw_wired *w, double keep)
{
    struct cw_coil *two = &w->coil[1];
    if (keep <= 0.0) {
        leave_one(w);
        return;
    }
    two->emf *= keep;
    two->resistance *= keep;
    two->inductance *= keep * keep;
    two->tail *= keep * keep;
    two->loss *= keep * keep;
    two->capacitance /= keep * keep; /* the open remainder is reflected through the winding */
    for (int i = 0; i < CW_BRANCHES; i++) {
        two->branch[i].inductance *= keep * keep;
        two->branch[i].resistance *= keep * keep;
    }
    w->mutual *= keep;
    w->drop[1] /= keep; /* times henry, which goes as keep squared: the EMF goes as keep */
}

static void apply_split(struct cw_wired *w, const struct cw_setup *setup)
{
    const double *v = setup->value;
    w->shunt_r = v[CW_P_SPLIT_RESISTOR] * 1e3;
    w->shunt_c = v[CW_P_SPLIT_CAPACITOR] * 1e-9;
    const struct cw_split_kind *kind = &cw_split_kind[(int)v[CW_P_SPLIT_BY]];
    w->network = kind->network;
    if (kind->tapped) {
        tap(w, v[CW_P_SPLIT_KEEP] * 0.01);
    }
}

static struct cw_wired wired(const struct cw_setup *setup, const struct cw_pickup *pickup, enum cw_drive drive)
{
    const double *v = setup->value;
    bool split = pickup->coils == CW_COILS_SERIES && v[CW_P_SPLIT] > 0.0;
    int second = split && v[CW_P_SPLIT_COIL] > 0.0 ? 0 : 1;
    struct cw_wired w = {.coils = pickup->coils == CW_COILS_ONE ? 1 : 2,
                         .parallel = pickup->coils == CW_COILS_PARALLEL,
                         .coil = {pickup->coil[1 - second], pickup->coil[second]},
                         .mutual = pickup->mutual,
                         .network = CW_NETWORK_NONE};
    if (drive == CW_DRIVE_HUM) {
        w.coil[1].emf = -w.coil[1].emf;
    }
    if (!pickup->constant_emf) {
        set_drop(&w);
    }
    if (w.coils == 1 || drive == CW_DRIVE_ONE_COIL) {
        leave_one(&w);
    } else if (split && drive != CW_DRIVE_UNSPLIT) {
        apply_split(&w, setup);
    }
    return w;
}

static void source_of(const struct cw_setup *setup, const struct cw_pickup *pickup, enum cw_drive drive,
                      struct cw_source *source)
{
    struct cw_wired w = wired(setup, pickup, drive);
    cw_source_of(&w, source);
}

/* ---- the load ------------------------------------------------------------------------------ */

/* Fractions: tone at the pickup ah/bh, hot to wiper nt/dt (impedance), wiper to earth aw/bw. */
struct load {
    struct cw_poly ah, bh, nt, dt, aw, bw;
};

double cw_circuit_track(enum cw_track track, double x, double half)
{
    double root = 1.0 / half - 1.0, b = root * root;
    if (fabs(b - 1.0) < 1e-6) {
        return x;
    }
    if (track == CW_TRACK_EXPONENTIAL) {
        return (pow(b, x) - 1.0) / (b - 1.0);
    }
    return x < 0.5 ? 2.0 * half * x : 1.0 - 2.0 * (1.0 - half) * (1.0 - x);
}

static struct load load_of(const struct cw_setup *setup)
{
    const double *v = setup->value;
    double half = v[CW_P_TAPER] * 0.01, pot = v[CW_P_VOLUME_POT] * 1e3;
    enum cw_track track = (enum cw_track)(int)v[CW_P_TRACK];
    double share = cw_circuit_track(track, v[CW_P_VOLUME] * 0.1, half);
    double top = (1.0 - share) * pot, bottom = share * pot;
    double tone_r = cw_circuit_track(track, v[CW_P_TONE] * 0.1, half) * v[CW_P_TONE_POT] * 1e3;
    double tone_c = v[CW_P_TONE_CAP] * 1e-9;
    double bleed_c = v[CW_P_BLEED_CAP] * 1e-12, bleed_r = v[CW_P_BLEED_RESISTOR] * 1e3;
    double c = (v[CW_P_CABLE_LENGTH] * v[CW_P_CABLE_CAPACITANCE] + v[CW_P_INPUT_CAPACITANCE]) * 1e-12;

    struct cw_poly tone_a = cw_poly_linear(0.0, tone_c), tone_b = cw_poly_linear(1.0, tone_c * tone_r);
    struct load load;
    load.nt = cw_poly_linear(top, top * bleed_c * bleed_r);
    load.dt = cw_poly_linear(1.0, bleed_c * (bleed_r + top));
    /* Wiper to earth, times the lower part of the track so that volume 0 needs no exception. */
    load.aw = cw_poly_linear(1.0 + bottom / (v[CW_P_INPUT_RESISTANCE] * 1e6), bottom * c);
    load.bw = cw_poly_constant(bottom);
    load.ah = cw_poly_constant(0.0);
    load.bh = cw_poly_constant(1.0);
    if (v[CW_P_TONE_AFTER_VOLUME] > 0.0) {
        load.aw = cw_poly_add(cw_poly_mul(load.aw, tone_b), cw_poly_scale(tone_a, bottom));
        load.bw = cw_poly_mul(load.bw, tone_b);
    } else {
        load.ah = tone_a;
        load.bh = tone_b;
    }
    return load;
}

void cw_circuit_transfer(const struct cw_setup *setup, const struct cw_pickup *pickup, enum cw_drive drive,
                         struct cw_transfer *h)
{
    struct cw_source src;
    source_of(setup, pickup, drive, &src);
    struct load load = load_of(setup);
    /* 1 + Zt Yw = e / (dt bw); the load seen from hot is y / (bh e). */
    struct cw_poly e = cw_poly_add(cw_poly_mul(load.dt, load.bw), cw_poly_mul(load.nt, load.aw));
    struct cw_poly y = cw_poly_add(cw_poly_mul(load.ah, e), cw_poly_mul(load.aw, cw_poly_mul(load.dt, load.bh)));
    struct cw_poly through = cw_poly_mul(load.bh, cw_poly_mul(load.dt, load.bw));
    h->num = cw_poly_mul(src.s, through);
    h->den = cw_poly_add(cw_poly_mul(src.t, cw_poly_mul(load.bh, e)), cw_poly_mul(src.u, y));
}

void cw_circuit_impedance(const struct cw_setup *setup, const struct cw_pickup *pickup, struct cw_transfer *z)
{
    struct cw_source src;
    source_of(setup, pickup, CW_DRIVE_STRING, &src);
    z->num = src.u;
    z->den = src.t;
}

double cw_circuit_dc_resistance(const struct cw_setup *setup, const struct cw_pickup *pickup)
{
    struct cw_source src;
    source_of(setup, pickup, CW_DRIVE_STRING, &src);
    return src.u.c[0] / src.t.c[0];
}

double cw_circuit_lead_inductance(const struct cw_setup *setup, const struct cw_pickup *pickup, double hz)
{
    struct cw_wired w = wired(setup, pickup, CW_DRIVE_STRING);
    double l1 = cw_coil_inductance_at(&w.coil[0], hz), m = w.mutual;
    double l2 = cw_coil_inductance_at(&w.coil[1], hz);
    if (pickup->coils == CW_COILS_PARALLEL) {
        return (l1 * l2 - m * m) / (l1 + l2 - 2.0 * m);
    }
    return l1 + l2 + 2.0 * m;
}
