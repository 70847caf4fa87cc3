/* SPDX-License-Identifier: ISC */
#include "limit.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "biquad.h"
#include "complex_math.h"
#include "lanes.h"
#include "poly_roots.h"
#include "sections.h"

/* |H|^2 of a filter as a product of ratios of quadratics in u, quick to evaluate. */
struct power_curve {
    int count;
    double gain;
    double zeros[CW_SECTIONS_MAX][3], poles[CW_SECTIONS_MAX][3];
};

static void quadratic_in_u(double c0, double c1, double c2, double *q)
{
    double sum = c0 + c1 + c2, alternate = c0 - c1 + c2;
    q[0] = sum * sum;
    q[1] = alternate * alternate - sum * sum - 16.0 * c0 * c2;
    q[2] = 16.0 * c0 * c2;
}

static void power_curve_of(const struct cw_sections *s, struct power_curve *curve)
{
    curve->count = s->count;
    curve->gain = s->gain * s->gain;
    for (int i = 0; i < s->count; i++) {
        const struct cw_biquad *b = &s->section[i];
        quadratic_in_u(b->b0, b->b1, b->b2, curve->zeros[i]);
        quadratic_in_u(1.0, b->a1, b->a2, curve->poles[i]);
    }
}

/* ---- four places side by side ------------------------------------------------------------------ */

enum { LANES = 4 };

INLINE void power_at(const struct power_curve *c, const cw_four *u, cw_four *power)
{
    cw_four zeros = c->gain - (cw_four){0.0}, poles = 1.0 - (cw_four){0.0};
    for (int i = 0; i < c->count; i++) {
        const double *z = c->zeros[i], *p = c->poles[i];
        zeros *= z[0] + *u * (z[1] + *u * z[2]);
        poles *= p[0] + *u * (p[1] + *u * p[2]);
    }
    *power = zeros / poles;
}

/* At so many places; their number is rounded up to whole vectors. */
INLINE void powers_at(const struct power_curve *c, const double *u, int count, double *power)
{
    for (int i = 0; i < count; i += LANES) {
        const cw_four at = *(const cw_four_stored *)(u + i);
        cw_four is;
        power_at(c, &at, &is);
        *(cw_four_stored *)(power + i) = is;
    }
}

enum { TOP_REFINE = 24 };

/* As cw_golden_top(), the value alone: of each range from lo[] to hi[], to power[]. */
INLINE void tops_between(const struct power_curve *c, const double *from, const double *to, int count, double *power)
{
    const double golden = 0.6180339887498949;
    for (int first = 0; first < count; first += LANES) {
        cw_four lo = *(const cw_four_stored *)(from + first), hi = *(const cw_four_stored *)(to + first);
        cw_four x1 = hi - golden * (hi - lo), x2 = lo + golden * (hi - lo), p1, p2, p;
        power_at(c, &x1, &p1);
        power_at(c, &x2, &p2);
        for (int i = 0; i < TOP_REFINE; i++) {
            const cw_four_masks left = p1 > p2;
            lo = CW_CHOOSE_FOUR(left, lo, x1);
            hi = CW_CHOOSE_FOUR(left, x2, hi);
            const cw_four span = golden * (hi - lo), low = hi - span, high = lo + span,
                          x = CW_CHOOSE_FOUR(left, low, high);
            power_at(c, &x, &p);
            const cw_four kept = CW_CHOOSE_FOUR(left, x1, x2), kept_p = CW_CHOOSE_FOUR(left, p1, p2);
            x1 = CW_CHOOSE_FOUR(left, x, kept);
            p1 = CW_CHOOSE_FOUR(left, p, kept_p);
            x2 = CW_CHOOSE_FOUR(left, kept, x);
            p2 = CW_CHOOSE_FOUR(left, kept_p, p);
        }
        const cw_four_masks left = p1 > p2;
        *(cw_four_stored *)(power + first) = CW_CHOOSE_FOUR(left, p1, p2);
    }
}

CW_FOUR_LANES static void powers_at_four(const struct power_curve *c, const double *u, int count, double *power)
{
    powers_at(c, u, count, power);
}

CW_FOUR_LANES static void tops_between_four(const struct power_curve *c, const double *from, const double *to,
                                            int count, double *power)
{
    tops_between(c, from, to, count, power);
}

/* ---- the highest gain -------------------------------------------------------------------------- */

/* Maxima are looked for first on a grid: even steps in the upper half of u, then a fifth of an octave
 * each, down to 7 Hz at the highest rate; then between neighbours by golden section. */
enum { TOP_EVEN = 8, TOP_STEPS = 80, PLACES = TOP_STEPS + CW_FACTORS_MAX };
static const double TOP_STEP = 0.75; /* ratio of successive u, which goes as frequency squared */

/* Places, or ranges, and the power at them. */
struct places {
    int count;
    double lo[PLACES + LANES], hi[PLACES + LANES], power[PLACES + LANES];
};

static void add_range(struct places *p, double lo, double hi)
{
    p->lo[p->count] = lo;
    p->hi[p->count++] = hi;
}

/* What fills the last vector up is like the last. */
static void fill_up(struct places *p)
{
    for (int i = 0; i < LANES && p->count > 0; i++) {
        p->lo[p->count + i] = p->lo[p->count - 1];
        p->hi[p->count + i] = p->hi[p->count - 1];
    }
}

static void evaluate(const struct power_curve *c, struct places *p)
{
    fill_up(p);
    if (cw_has_four_lanes()) {
        powers_at_four(c, p->lo, p->count, p->power);
    } else {
        powers_at(c, p->lo, p->count, p->power);
    }
}

static double highest_of(const struct places *p, double best)
{
    for (int i = 0; i < p->count; i++) {
        best = p->power[i] > best ? p->power[i] : best;
    }
    return best;
}

static double highest_between(const struct power_curve *c, struct places *p, double best)
{
    fill_up(p);
    if (cw_has_four_lanes()) {
        tops_between_four(c, p->lo, p->hi, p->count, p->power);
    } else {
        tops_between(c, p->lo, p->hi, p->count, p->power);
    }
    return highest_of(p, best);
}

static void grid(struct places *p)
{
    double next = 1.0;
    for (p->count = 0; p->count < TOP_STEPS;) {
        add_range(p, next, next);
        next = p->count <= TOP_EVEN ? next - 0.5 / TOP_EVEN : next * TOP_STEP;
    }
    add_range(p, 0.0, 0.0);
}

/* A limited response has a flat top with several humps, and any of them may be the highest. */
static void add_humps(const struct places *grid, double best, struct places *ranges)
{
    for (int i = 0; i < TOP_STEPS - 1; i++) {
        int above = i > 0 ? i - 1 : 0;
        if (grid->power[i] >= grid->power[above] && grid->power[i] >= grid->power[i + 1] &&
            grid->power[i] > 0.7 * best) {
            add_range(ranges, grid->lo[i + 1], grid->lo[above]);
        }
    }
}

/* A sharp peak stands beside its pole, so poles that come near are followed. */
static void add_poles(const struct power_curve *c, const struct cw_plan *plan, double best, struct places *ranges)
{
    struct places beside;
    beside.count = 0;
    for (int i = 0; i < plan->poles.count; i++) {
        struct cw_complex z = plan->poles.root[i];
        double size = cw_abs(z), at = size > 0.0 ? 0.5 - 0.5 * z.re / size : 0.0;
        if (z.im > 0.0) { /* du = sin(w)/2 dw; twice the pole's distance from the circle to either side */
            double reach = (1.0 - size) * z.im / size + 1e-12, most = 0.3 * at;
            add_range(&beside, at, reach < most ? reach : most);
        }
    }
    evaluate(c, &beside);
    for (int i = 0; i < beside.count; i++) {
        if (beside.power[i] > 0.25 * best) {
            double at = beside.lo[i], reach = beside.hi[i];
            add_range(ranges, at - reach, at + reach < 1.0 ? at + reach : 1.0);
        }
    }
}

/* The highest |H|^2. */
static double highest_power(const struct cw_plan *plan, const struct cw_sections *s)
{
    struct power_curve curve;
    struct places places, ranges;
    power_curve_of(s, &curve);
    grid(&places);
    evaluate(&curve, &places);
    double best = highest_of(&places, 0.0);
    ranges.count = 0;
    add_humps(&places, best, &ranges);
    add_poles(&curve, plan, best, &ranges);
    return highest_between(&curve, &ranges, best);
}

/* A polynomial in u, lowest power first. */
struct product {
    int degree;
    double c[CW_FACTORS_MAX + 1];
};

_Static_assert((int)CW_FACTORS_MAX <= (int)CW_ROOTS_MAX, "the roots of a product can be found");

static void multiply_in_place(struct product *p, const double *quadratic, int degree)
{
    for (int i = p->degree + 1; i <= p->degree + degree; i++) {
        p->c[i] = 0.0;
    }
    p->degree += degree;
    for (int i = p->degree; i >= 0; i--) {
        double c = p->c[i] * quadratic[0];
        c += i >= 1 ? p->c[i - 1] * quadratic[1] : 0.0;
        p->c[i] = c + (i >= 2 ? p->c[i - 2] * quadratic[2] : 0.0);
    }
}

/* Product of |1 - z e^{-jw}|^2 over a set of roots. */
static void power_in_u(const struct cw_root_set *set, struct product *product)
{
    *product = (struct product){0, {1.0}};
    for (int i = 0; i < set->count; i++) {
        struct cw_complex z = set->root[i];
        double q[3];
        if (z.im == 0.0) {
            quadratic_in_u(1.0, -z.re, 0.0, q);
            multiply_in_place(product, q, 1);
        } else if (z.im > 0.0) {
            quadratic_in_u(1.0, -2.0 * z.re, cw_norm(z), q);
            multiply_in_place(product, q, 2);
        }
    }
}

static void add_in_place(struct product *p, double factor, const struct product *more)
{
    for (int i = p->degree + 1; i <= more->degree; i++) {
        p->c[i] = 0.0;
    }
    p->degree = p->degree > more->degree ? p->degree : more->degree;
    for (int i = 0; i <= more->degree; i++) {
        p->c[i] += factor * more->c[i];
    }
}

/* The limited poles lie near the poles or, where there are more of them, near the zeros. Each
 * starting point is a little off, so that no two are equal or mirrored. */
static void start_near(const struct cw_plan *plan, int degree, struct cw_complex *u)
{
    for (int i = 0; i < degree; i++) {
        struct cw_complex z = i < plan->poles.count ? plan->poles.root[i] : plan->zeros.root[i];
        struct cw_complex less = cw_c(1.0 - z.re, -z.im), minus_four = cw_c(-4.0 * z.re, -4.0 * z.im);
        struct cw_complex at = cw_norm(z) > 1e-24 ? cw_div(cw_mul(less, less), minus_four) : cw_c(1e6, 0.0);
        u[i] = cw_mul(at, cw_c(1.0 + 1e-3 * i, 2e-3 + 1e-3 * i));
    }
}

bool cw_limit_exceeded(const struct cw_plan *plan, double limit_db, struct cw_sections *out)
{
    double top = highest_power(plan, out);
    out->top = sqrt(top);
    return top > pow(10.0, 0.1 * limit_db) * (1.0 + 1e-9);
}

/* 1 + e |H|^2 over the same poles: so the zeros stay and the poles are new. */
void cw_limit_begin(const struct cw_plan *plan, double limit_db, struct cw_sections *out, struct cw_limit *limit)
{
    double most = pow(10.0, 0.1 * limit_db), top = out->top * out->top;
    double e = 1.0 / most - 1.0 / top;
    struct product zeros, capped;
    power_in_u(&plan->zeros, &zeros);
    power_in_u(&plan->poles, &capped);
    add_in_place(&capped, e * plan->dc * plan->dc * capped.c[0] / zeros.c[0], &zeros);
    memcpy(limit->c, capped.c, sizeof limit->c);
    limit->degree = capped.degree;
    limit->sweeps = CW_ROOTS_SWEEPS;
    limit->dc = plan->dc / sqrt(1.0 + e * plan->dc * plan->dc);
    start_near(plan, capped.degree, limit->root);
    out->limited = true;
}

bool cw_limit_step(struct cw_limit *limit, struct cw_plan *plan)
{
    int count = cw_poly_roots_near(limit->c, limit->degree, limit->root, &limit->sweeps);
    struct cw_root_set limited = {0};
    if (count >= 0 && cw_roots_to_circle(limit->root, count, 1.0, &limited)) {
        plan->poles = limited;
        plan->dc = limit->dc;
    }
    return count >= 0;
}

void cw_limit_cut(const struct cw_plan *plan, double limit_db, struct cw_sections *out)
{
    cw_sections_of(plan, out);
    double limit = pow(10.0, 0.1 * limit_db), top = highest_power(plan, out);
    out->gain *= top > limit ? sqrt(limit / top) : 1.0;
    out->top = sqrt(limit);
}
