/* SPDX-License-Identifier: ISC */
#include "source.h"

#include <math.h>

#include "core.h"
#include "split_kind.h"

/* ---- the inductor of one coil ------------------------------------------------------------------ */

/* A coil's inductance L(s) = l/d = constant + n/d, d having a factor for each branch, and what n/d has lost
 * against its value at 0 Hz: lost/d. */
struct inductor {
    struct cw_poly d, n, l, lost;
};

static bool is_there(const struct cw_branch *b) { return b->inductance > 0.0 && b->resistance > 0.0; }

static struct cw_poly quadratic(int degree, double c0, double c1, double c2)
{
    return (struct cw_poly){degree, {c0, c1 * CW_OMEGA_UNIT, c2 * (CW_OMEGA_UNIT * CW_OMEGA_UNIT)}};
}

/* Written out for two branches; one that is missing has no inductance and no time constant. */
static struct inductor inductor_of(const struct cw_coil *coil)
{
    _Static_assert(CW_BRANCHES == 2, "an inductor has two branches");
    double l[CW_BRANCHES], tau[CW_BRANCHES], l0 = coil->inductance;
    int count = 0;
    for (int i = 0; i < CW_BRANCHES; i++) {
        const struct cw_branch *b = &coil->branch[i];
        l[i] = is_there(b) ? b->inductance : 0.0;
        tau[i] = is_there(b) ? b->inductance / b->resistance : 0.0;
        count += is_there(b);
    }
    double sum = tau[0] + tau[1], product = tau[0] * tau[1], all = l[0] + l[1], crossed = l[0] * tau[1] + l[1] * tau[0];
    return (struct inductor){
        .d = quadratic(count, 1.0, sum, product),
        .n = quadratic(count == 2, all, crossed, 0.0),
        .l = quadratic(count, l0 + all, l0 * sum + crossed, l0 * product),
        .lost = quadratic(count, 0.0, l[0] * tau[0] + l[1] * tau[1], all * product),
    };
}

static double conductance(double resistance) { return resistance > 0.0 ? 1.0 / resistance : 0.0; }

/* Across the inductor of a coil that couples with no other: loss and tail. */
static double across_one(const struct cw_coil *coil)
{
    return conductance(coil->loss) + cw_coil_tail_conductance(coil);
}

/* ---- one coil ---------------------------------------------------------------------------------- */

static void source_of_one(const struct cw_wired *w, struct cw_source *out)
{
    const struct cw_coil *coil = &w->coil[0];
    struct inductor x = inductor_of(coil);
    struct cw_poly p = cw_poly_add(x.d, cw_poly_times_s(x.l, across_one(coil)));
    out->u = cw_poly_add(cw_poly_scale(p, coil->resistance), cw_poly_times_s(x.l, 1.0));
    out->t = cw_poly_add(p, cw_poly_times_s(out->u, coil->capacitance));
    out->s = cw_poly_sub(cw_poly_scale(p, coil->emf), cw_poly_scale(x.lost, w->drop[0]));
}

/* Two equal coils that nothing tells apart share voltage or current evenly: they are as one. */
static bool are_as_one(const struct cw_wired *w)
{
    const struct cw_coil *a = &w->coil[0], *b = &w->coil[1];
    bool equal = a->emf == b->emf && a->resistance == b->resistance && a->inductance == b->inductance &&
                 a->capacitance == b->capacitance && a->loss == b->loss && a->tail == b->tail &&
                 w->drop[0] == w->drop[1];
    for (int i = 0; i < CW_BRANCHES; i++) {
        equal = equal && a->branch[i].inductance == b->branch[i].inductance &&
                a->branch[i].resistance == b->branch[i].resistance;
    }
    return equal && w->network == CW_NETWORK_NONE;
}

/* In series what one coil has counts double; in parallel half. */
static struct cw_wired as_one(const struct cw_wired *w)
{
    struct cw_wired one = {.coils = 1, .coil[0] = w->coil[0], .drop[0] = w->drop[0]};
    double share = w->parallel ? 0.5 : 2.0;
    one.coil[0].inductance = share * (w->coil[0].inductance + w->mutual);
    one.coil[0].resistance *= share;
    one.coil[0].loss *= share;
    one.coil[0].tail *= share;
    one.coil[0].capacitance /= share;
    for (int i = 0; i < CW_BRANCHES; i++) {
        one.coil[0].branch[i].inductance *= share;
        one.coil[0].branch[i].resistance *= share;
    }
    if (w->parallel) {
        one.drop[0] *= 2.0; /* the same EMF over half the inductance */
    } else {
        one.coil[0].emf *= 2.0;
    }
    return one;
}

/* ---- two coils --------------------------------------------------------------------------------- */

/* Branch impedances over the common denominator p: Z1 = n1/p, Z2 = n2/p, Zm = nm/p, and their
 * determinant Z1 Z2 - Zm^2 = nd/p. With the conductances g across them, L = l/d of each coil and D = L1 L2 - M^2, the
 * inductors in parallel with their losses are s [[L1 + s g2 D, M - s gm D], [M - s gm D, L2 + s g1 D]] d1 d2 / p, where
 * p = d1 d2 (1 + s (g1 L1 + g2 L2 + 2 gm M) + s^2 (g1 g2 - gm^2) D). gm is 0 or below; g1 and g2 outweigh it. */
struct impedances {
    struct cw_poly p, n1, n2, nm, nd;
};

/* Conductances across the inductors, and between them; whole: g1 g2 - gm^2. */
struct conductances {
    double g1, g2, gm, whole;
};

/* Losses, and L^-1 tail L^-1 of the inductances that do not lose. */
static struct conductances conductances_of(const struct cw_wired *w)
{
    const struct cw_coil *one = &w->coil[0], *two = &w->coil[1];
    double g1 = conductance(one->loss), g2 = conductance(two->loss);
    double l1 = one->inductance, l2 = two->inductance, m = w->mutual;
    if (!(one->tail > 0.0) && !(two->tail > 0.0)) {
        return (struct conductances){g1, g2, 0.0, g1 * g2};
    }
    double d = l1 * l2 - m * m, q1 = one->tail / (d * d), q2 = two->tail / (d * d);
    double t1 = q1 * l2 * l2 + q2 * m * m, t2 = q2 * l1 * l1 + q1 * m * m;
    return (struct conductances){g1 + t1, g2 + t2, -m * (q1 * l2 + q2 * l1),
                                 g1 * g2 + g1 * t2 + g2 * t1 + q1 * q2 * d * d};
}

/* D d1 d2; the constant parts of the inductances have the determinant d0. */
static struct cw_poly determinant(const struct cw_wired *w, const struct inductor *x, const struct cw_poly *d1d2)
{
    double l1 = w->coil[0].inductance, l2 = w->coil[1].inductance, d0 = l1 * l2 - w->mutual * w->mutual;
    struct cw_poly one = cw_poly_mul(cw_poly_add(cw_poly_scale(x[0].d, l1), x[0].n), x[1].n);
    struct cw_poly two = cw_poly_scale(cw_poly_mul(x[1].d, x[0].n), l2);
    return cw_poly_add(cw_poly_scale(*d1d2, d0), cw_poly_add(one, two));
}

static void impedances_of(const struct cw_wired *w, const struct inductor *x, const struct conductances *g,
                          struct impedances *z)
{
    double r1 = w->coil[0].resistance, r2 = w->coil[1].resistance;
    struct cw_poly d1d2 = cw_poly_mul(x[0].d, x[1].d);
    struct cw_poly sd = cw_poly_times_s(determinant(w, x, &d1d2), 1.0);
    struct cw_poly l1 = cw_poly_mul(x[0].l, x[1].d), l2 = cw_poly_mul(x[1].l, x[0].d);
    struct cw_poly sl1 = cw_poly_times_s(cw_poly_add(l1, cw_poly_scale(sd, g->g2)), 1.0);
    struct cw_poly sl2 = cw_poly_times_s(cw_poly_add(l2, cw_poly_scale(sd, g->g1)), 1.0);

    struct cw_poly first = cw_poly_add(cw_poly_scale(l1, g->g1), cw_poly_scale(l2, g->g2));
    struct cw_poly both = cw_poly_add(cw_poly_scale(d1d2, 2.0 * g->gm * w->mutual), cw_poly_scale(sd, g->whole));
    z->p = cw_poly_add(d1d2, cw_poly_times_s(cw_poly_add(first, both), 1.0));
    z->n1 = cw_poly_add(cw_poly_scale(z->p, r1), sl1);
    z->n2 = cw_poly_add(cw_poly_scale(z->p, r2), sl2);
    z->nm = cw_poly_times_s(cw_poly_sub(cw_poly_scale(d1d2, w->mutual), cw_poly_scale(sd, g->gm)), 1.0);
    struct cw_poly by_r = cw_poly_add(cw_poly_scale(sl2, r1), cw_poly_scale(sl1, r2));
    z->nd = cw_poly_add(cw_poly_add(cw_poly_scale(z->p, r1 * r2), by_r), cw_poly_times_s(sd, 1.0));
}

/* The EMF that the core takes away stands in series with the inductor, inside its loss: u = -drop lost/d of
 * each coil. Behind the loss it is (1 + s L G)^-1 u = f/p, and where f/p meets the inductors' impedances
 * their common denominator goes as it must: (L2 f1 - M f2) s / p = t1, so that no order is added. */
struct fall {
    struct cw_poly f1, f2, t1, t2;
};

static void fall_of(const struct cw_wired *w, const struct inductor *x, const struct conductances *g, struct fall *fall)
{
    double m = w->mutual;
    struct cw_poly u1 = cw_poly_scale(x[0].lost, -w->drop[0]), u2 = cw_poly_scale(x[1].lost, -w->drop[1]);
    struct cw_poly u1l2 = cw_poly_mul(u1, x[1].l), u2l1 = cw_poly_mul(u2, x[0].l);
    struct cw_poly u1d2 = cw_poly_mul(u1, x[1].d), u2d1 = cw_poly_mul(u2, x[0].d);
    fall->t1 = cw_poly_times_s(cw_poly_sub(u1l2, cw_poly_scale(u2d1, m)), 1.0);
    fall->t2 = cw_poly_times_s(cw_poly_sub(u2l1, cw_poly_scale(u1d2, m)), 1.0);
    fall->f1 = cw_poly_add(u1d2, cw_poly_sub(cw_poly_scale(fall->t1, g->g2), cw_poly_scale(fall->t2, g->gm)));
    fall->f2 = cw_poly_add(u2d1, cw_poly_sub(cw_poly_scale(fall->t2, g->g1), cw_poly_scale(fall->t1, g->gm)));
}

static bool emf_falls(const struct cw_wired *w, const struct inductor *x)
{
    return (w->drop[0] != 0.0 && x[0].d.degree > 0) || (w->drop[1] != 0.0 && x[1].d.degree > 0);
}

/* Admittance across the second coil as a fraction: its capacitance and the split parts. */
static void shunt_admittance(const struct cw_wired *w, struct cw_poly *num, struct cw_poly *den)
{
    double c2 = w->coil[1].capacitance, r = w->shunt_r, c = w->shunt_c;
    *den = cw_poly_constant(1.0);
    switch (w->network) {
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

static void series_source(const struct cw_wired *w, const struct inductor *x, struct cw_source *out)
{
    struct conductances g = conductances_of(w);
    struct impedances z;
    struct cw_poly a2, b2, y1 = cw_poly_linear(0.0, w->coil[0].capacitance);
    impedances_of(w, x, &g, &z);
    shunt_admittance(w, &a2, &b2);
    double e1 = w->coil[0].emf, e2 = w->coil[1].emf;

    struct cw_poly y1b2 = cw_poly_mul(y1, b2), pb2 = cw_poly_mul(z.p, b2);
    struct cw_poly z1y1 = cw_poly_mul(z.n1, y1b2), z2y2 = cw_poly_mul(z.n2, a2);
    struct cw_poly from_one = cw_poly_sub(cw_poly_add(pb2, z2y2), cw_poly_mul(z.nm, y1b2));
    struct cw_poly from_two = cw_poly_sub(cw_poly_add(pb2, z1y1), cw_poly_mul(z.nm, a2));

    out->s = cw_poly_add(cw_poly_scale(from_one, e1), cw_poly_scale(from_two, e2));
    out->t = cw_poly_add(cw_poly_add(pb2, cw_poly_add(z1y1, z2y2)), cw_poly_mul(z.nd, cw_poly_mul(y1, a2)));
    struct cw_poly sum = cw_poly_add(cw_poly_add(z.n1, z.n2), cw_poly_scale(z.nm, 2.0));
    out->u = cw_poly_add(cw_poly_mul(sum, b2), cw_poly_mul(z.nd, cw_poly_add(y1b2, a2)));
    if (emf_falls(w, x)) {
        struct fall fall;
        fall_of(w, x, &g, &fall);
        struct cw_poly by_two = cw_poly_add(cw_poly_scale(fall.f1, w->coil[1].resistance), fall.t1);
        struct cw_poly by_one = cw_poly_add(cw_poly_scale(fall.f2, w->coil[0].resistance), fall.t2);
        struct cw_poly across = cw_poly_add(cw_poly_mul(by_two, a2), cw_poly_mul(by_one, y1b2));
        out->s = cw_poly_add(out->s, cw_poly_add(cw_poly_mul(cw_poly_add(fall.f1, fall.f2), b2), across));
    }
}

static void parallel_source(const struct cw_wired *w, const struct inductor *x, struct cw_source *out)
{
    struct conductances g = conductances_of(w);
    struct impedances z;
    impedances_of(w, x, &g, &z);
    struct cw_poly one = cw_poly_scale(cw_poly_sub(z.n2, z.nm), w->coil[0].emf);
    struct cw_poly two = cw_poly_scale(cw_poly_sub(z.n1, z.nm), w->coil[1].emf);
    struct cw_poly loop = cw_poly_sub(cw_poly_add(z.n1, z.n2), cw_poly_scale(z.nm, 2.0));
    out->s = cw_poly_add(one, two);
    out->t = cw_poly_add(loop, cw_poly_times_s(z.nd, w->coil[0].capacitance + w->coil[1].capacitance));
    out->u = z.nd;
    if (emf_falls(w, x)) {
        struct fall fall;
        fall_of(w, x, &g, &fall);
        struct cw_poly by_two = cw_poly_add(cw_poly_scale(fall.f1, w->coil[1].resistance), fall.t1);
        struct cw_poly by_one = cw_poly_add(cw_poly_scale(fall.f2, w->coil[0].resistance), fall.t2);
        out->s = cw_poly_add(out->s, cw_poly_add(by_one, by_two));
    }
}

void cw_source_of(const struct cw_wired *w, struct cw_source *out)
{
    if (w->coils == 1) {
        source_of_one(w, out);
        return;
    }
    if (are_as_one(w)) {
        struct cw_wired one = as_one(w);
        source_of_one(&one, out);
        return;
    }
    struct inductor x[2] = {inductor_of(&w->coil[0]), inductor_of(&w->coil[1])};
    if (w->parallel) {
        parallel_source(w, x, out);
    } else {
        series_source(w, x, out);
    }
}
