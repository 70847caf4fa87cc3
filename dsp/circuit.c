/* SPDX-License-Identifier: ISC */
#include "circuit.h"

#include <math.h>

/* The pickup as a source: open-circuit voltage S/T behind an impedance U/T. */
struct source {
    struct cw_poly s, t, u;
};

/* Two coupled branches (EMF, resistance, inductor with loss) and the admittances across them.
 * The second is the one that a split reduces: as nothing else hangs on their junction, two coils in
 * series may stand in either order. */
struct branches {
    struct cw_coil coil[2];
    double mutual;
    double shunt_r, shunt_c; /* split parts across what stays of the second; see network */
    enum cw_split_network network;
};

/* ---- the split ----------------------------------------------------------------------------- */

static void tap(struct branches *b, double keep)
{
    struct cw_coil *two = &b->coil[1];
    if (keep <= 0.0) {
        *two = (struct cw_coil){.emf = 0.0};
        b->mutual = 0.0;
        return;
    }
    two->emf *= keep;
    two->resistance *= keep;
    two->inductance *= keep * keep;
    two->loss *= keep * keep;
    two->capacitance /= keep * keep; /* the open remainder is reflected through the winding */
    b->mutual *= keep;
}

static void apply_split(struct branches *b, const struct cw_setup *setup)
{
    const double *v = setup->value;
    b->shunt_r = v[CW_P_SPLIT_RESISTOR] * 1e3;
    b->shunt_c = v[CW_P_SPLIT_CAPACITOR] * 1e-9;
    const struct cw_split_kind *kind = &cw_split_kind[(int)v[CW_P_SPLIT_BY]];
    b->network = kind->network;
    if (kind->tapped) {
        tap(b, v[CW_P_SPLIT_KEEP] * 0.01);
    }
}

static struct branches branches_of(const struct cw_setup *setup, const struct cw_pickup *pickup, enum cw_drive drive)
{
    const double *v = setup->value;
    bool split = pickup->coils == CW_COILS_SERIES && v[CW_P_SPLIT] > 0.0;
    int second = split && v[CW_P_SPLIT_COIL] > 0.0 ? 0 : 1;
    struct branches b = {{pickup->coil[1 - second], pickup->coil[second]}, pickup->mutual, 0.0, 0.0, CW_NETWORK_NONE};
    bool two = pickup->coils != CW_COILS_ONE && drive != CW_DRIVE_ONE_COIL;
    if (!two) {
        tap(&b, 0.0);
        return b;
    }
    if (split && drive != CW_DRIVE_UNSPLIT) {
        apply_split(&b, setup);
    }
    if (drive == CW_DRIVE_HUM) {
        b.coil[1].emf = -b.coil[1].emf;
    }
    return b;
}

/* Admittance across the second coil as a fraction: its capacitance and the split parts. */
static void shunt_admittance(const struct branches *b, struct cw_poly *num, struct cw_poly *den)
{
    double c2 = b->coil[1].capacitance, r = b->shunt_r, c = b->shunt_c;
    *den = cw_poly_constant(1.0);
    switch (b->network) {
    case CW_NETWORK_R: *num = cw_poly_linear(1.0 / r, c2); return;
    case CW_NETWORK_C: *num = cw_poly_linear(0.0, c2 + c); return;
    case CW_NETWORK_RC_PARALLEL: *num = cw_poly_linear(1.0 / r, c2 + c); return;
    case CW_NETWORK_RC_SERIES:
        *den = cw_poly_linear(1.0, r * c);
        *num = cw_poly_times_s(cw_poly_linear(c2 + c, r * c * c2), 1.0);
        return;
    case CW_NETWORK_NONE: break;
    }
    *num = cw_poly_linear(0.0, c2);
}

/* ---- the pickup ---------------------------------------------------------------------------- */

/* Branch impedances over the common denominator p: Z1 = n1/p, Z2 = n2/p, Zm = nm/p, and their
 * determinant Z1 Z2 - Zm^2 = nd/p. With g = 1/loss and D = L1 L2 - M^2, the inductors in
 * parallel with their losses are s [[L1 + s g2 D, M], [M, L2 + s g1 D]] / p, where
 * p = 1 + s (g1 L1 + g2 L2) + s^2 g1 g2 D. Written out so that nothing cancels. */
struct impedances {
    struct cw_poly p, n1, n2, nm, nd;
};

static struct cw_poly quadratic(double c0, double c1, double c2)
{
    struct cw_poly r = cw_poly_linear(c0, c1);
    r.c[1] = c1 * CW_OMEGA_UNIT;
    r.c[2] = c2 * CW_OMEGA_UNIT * CW_OMEGA_UNIT;
    r.degree = c2 != 0.0 ? 2 : r.degree;
    return r;
}

static struct impedances impedances_of(const struct branches *b)
{
    double r1 = b->coil[0].resistance, r2 = b->coil[1].resistance;
    double l1 = b->coil[0].inductance, l2 = b->coil[1].inductance, m = b->mutual;
    double g1 = 1.0 / b->coil[0].loss, g2 = b->coil[1].loss > 0.0 ? 1.0 / b->coil[1].loss : 0.0;
    double d = l1 * l2 - m * m;
    double p1 = g1 * l1 + g2 * l2, p2 = g1 * g2 * d;
    struct impedances z;
    z.p = quadratic(1.0, p1, p2);
    z.n1 = quadratic(r1, r1 * p1 + l1, r1 * p2 + g2 * d);
    z.n2 = quadratic(r2, r2 * p1 + l2, r2 * p2 + g1 * d);
    z.nm = cw_poly_linear(0.0, m);
    z.nd = quadratic(r1 * r2, r1 * r2 * p1 + r1 * l2 + r2 * l1, r1 * r2 * p2 + r1 * g1 * d + r2 * g2 * d + d);
    return z;
}

static struct source series_source(const struct branches *b)
{
    struct impedances z = impedances_of(b);
    struct cw_poly a2, b2, y1 = cw_poly_linear(0.0, b->coil[0].capacitance);
    shunt_admittance(b, &a2, &b2);
    double e1 = b->coil[0].emf, e2 = b->coil[1].emf;

    struct cw_poly y1b2 = cw_poly_mul(y1, b2), pb2 = cw_poly_mul(z.p, b2);
    struct cw_poly z1y1 = cw_poly_mul(z.n1, y1b2), z2y2 = cw_poly_mul(z.n2, a2);
    struct cw_poly from_one = cw_poly_sub(cw_poly_add(pb2, z2y2), cw_poly_mul(z.nm, y1b2));
    struct cw_poly from_two = cw_poly_sub(cw_poly_add(pb2, z1y1), cw_poly_mul(z.nm, a2));

    struct source out;
    out.s = cw_poly_add(cw_poly_scale(from_one, e1), cw_poly_scale(from_two, e2));
    out.t = cw_poly_add(cw_poly_add(pb2, cw_poly_add(z1y1, z2y2)), cw_poly_mul(z.nd, cw_poly_mul(y1, a2)));
    struct cw_poly sum = cw_poly_add(cw_poly_add(z.n1, z.n2), cw_poly_scale(z.nm, 2.0));
    out.u = cw_poly_add(cw_poly_mul(sum, b2), cw_poly_mul(z.nd, cw_poly_add(y1b2, a2)));
    return out;
}

static struct source parallel_source(const struct branches *b)
{
    struct impedances z = impedances_of(b);
    struct cw_poly one = cw_poly_scale(cw_poly_sub(z.n2, z.nm), b->coil[0].emf);
    struct cw_poly two = cw_poly_scale(cw_poly_sub(z.n1, z.nm), b->coil[1].emf);
    struct cw_poly loop = cw_poly_sub(cw_poly_add(z.n1, z.n2), cw_poly_scale(z.nm, 2.0));
    double c = b->coil[0].capacitance + b->coil[1].capacitance;
    struct source out = {cw_poly_add(one, two), cw_poly_add(loop, cw_poly_times_s(z.nd, c)), z.nd};
    return out;
}

static struct source source_of(const struct cw_setup *setup, const struct cw_pickup *pickup, enum cw_drive drive)
{
    struct branches b = branches_of(setup, pickup, drive);
    bool parallel = pickup->coils == CW_COILS_PARALLEL && drive != CW_DRIVE_ONE_COIL;
    return parallel ? parallel_source(&b) : series_source(&b);
}

/* ---- the load ------------------------------------------------------------------------------ */

/* Fractions: tone at the pickup ah/bh, hot to wiper nt/dt (impedance), wiper to earth aw/bw. */
struct load {
    struct cw_poly ah, bh, nt, dt, aw, bw;
};

double cw_circuit_taper(double x, double taper)
{
    double root = 1.0 / taper - 1.0, b = root * root;
    if (fabs(b - 1.0) < 1e-6) {
        return x;
    }
    return (pow(b, x) - 1.0) / (b - 1.0);
}

static struct load load_of(const struct cw_setup *setup)
{
    const double *v = setup->value;
    double taper = v[CW_P_TAPER] * 0.01, pot = v[CW_P_VOLUME_POT] * 1e3;
    double share = cw_circuit_taper(v[CW_P_VOLUME] * 0.1, taper);
    double top = (1.0 - share) * pot, bottom = share * pot;
    double tone_r = cw_circuit_taper(v[CW_P_TONE] * 0.1, taper) * v[CW_P_TONE_POT] * 1e3;
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
    struct source src = source_of(setup, pickup, drive);
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
    struct source src = source_of(setup, pickup, CW_DRIVE_STRING);
    z->num = src.u;
    z->den = src.t;
}

double cw_circuit_dc_resistance(const struct cw_setup *setup, const struct cw_pickup *pickup)
{
    struct source src = source_of(setup, pickup, CW_DRIVE_STRING);
    return src.u.c[0] / src.t.c[0];
}

double cw_circuit_lead_inductance(const struct cw_setup *setup, const struct cw_pickup *pickup)
{
    struct branches b = branches_of(setup, pickup, CW_DRIVE_STRING);
    double l1 = b.coil[0].inductance, l2 = b.coil[1].inductance, m = b.mutual;
    if (pickup->coils == CW_COILS_PARALLEL) {
        return (l1 * l2 - m * m) / (l1 + l2 - 2.0 * m);
    }
    return l1 + l2 + 2.0 * m;
}
