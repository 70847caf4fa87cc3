/* SPDX-License-Identifier: ISC */
#include "limit.h"

#include <math.h>

#include "biquad.h"
#include "complex_math.h"
#include "golden.h"
#include "poly_roots.h"
#include "polynomial.h"
#include "roots.h"
#include "sections.h"

/* Zeros and poles of a section side by side. */
typedef double two __attribute__((vector_size(16)));

/* |H|^2 of a filter as a product of ratios of quadratics in u, quick to evaluate. */
struct power_curve {
    int count;
    double gain;
    two quadratic[CW_SECTIONS_MAX][3];
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
        double n[3], d[3];
        quadratic_in_u(b->b0, b->b1, b->b2, n);
        quadratic_in_u(1.0, b->a1, b->a2, d);
        for (int k = 0; k < 3; k++) {
            curve->quadratic[i][k] = (two){n[k], d[k]};
        }
    }
}

static double power_at(const void *curve, double u)
{
    const struct power_curve *c = curve;
    const two at = {u, u};
    two product = {c->gain, 1.0};
    for (int i = 0; i < c->count; i++) {
        const two *q = c->quadratic[i];
        product *= q[0] + at * (q[1] + at * q[2]);
    }
    return product[0] / product[1];
}

/* Maxima are looked for first on a grid: even steps in the upper half of u, then a fifth of an octave
 * each, down to 7 Hz at the highest rate; then between neighbours by golden section. */
enum { TOP_EVEN = 8, TOP_STEPS = 80, TOP_REFINE = 24 };
static const double TOP_STEP = 0.75; /* ratio of successive u, which goes as frequency squared */

static double refine_top(const struct power_curve *c, double lo, double hi)
{
    return cw_golden_top(power_at, c, lo, hi, TOP_REFINE).value;
}

/* The highest |H|^2. A sharp peak stands beside its pole, so poles that come near are followed. */
static double highest_power(const struct cw_plan *plan, const struct cw_sections *s)
{
    struct power_curve curve;
    power_curve_of(s, &curve);
    double u[TOP_STEPS], power[TOP_STEPS], best = power_at(&curve, 0.0), next = 1.0;
    for (int i = 0; i < TOP_STEPS; i++) {
        u[i] = next;
        next = i < TOP_EVEN ? next - 0.5 / TOP_EVEN : next * TOP_STEP;
        power[i] = power_at(&curve, u[i]);
        best = fmax(best, power[i]);
    }
    /* A limited response has a flat top with several humps, and any of them may be the highest. */
    for (int i = 0; i < TOP_STEPS - 1; i++) {
        int above = i > 0 ? i - 1 : 0;
        if (power[i] >= power[above] && power[i] >= power[i + 1] && power[i] > 0.7 * best) {
            best = fmax(best, refine_top(&curve, u[i + 1], u[above]));
        }
    }
    for (int i = 0; i < plan->poles.count; i++) {
        struct cw_complex z = plan->poles.root[i];
        double size = cw_abs(z), beside = size > 0.0 ? 0.5 - 0.5 * z.re / size : 0.0;
        if (z.im > 0.0 && power_at(&curve, beside) > 0.25 * best) {
            /* du = sin(w)/2 dw; twice the pole's distance from the circle to either side */
            double reach = fmin(0.3 * beside, (1.0 - size) * z.im / size + 1e-12);
            best = fmax(best, refine_top(&curve, beside - reach, fmin(beside + reach, 1.0)));
        }
    }
    return best;
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
        struct cw_complex less = cw_c(1.0 - z.re, -z.im), four = cw_c(-4.0 * z.re, -4.0 * z.im);
        struct cw_complex at = cw_norm(z) > 1e-24 ? cw_div(cw_mul(less, less), four) : cw_c(1e6, 0.0);
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
void cw_limit_boost(struct cw_plan *plan, double limit_db, struct cw_sections *out)
{
    double limit = pow(10.0, 0.1 * limit_db), top = out->top * out->top;
    double e = 1.0 / limit - 1.0 / top;
    struct product zeros, capped;
    power_in_u(&plan->zeros, &zeros);
    power_in_u(&plan->poles, &capped);
    add_in_place(&capped, e * plan->dc * plan->dc * capped.c[0] / zeros.c[0], &zeros);
    struct cw_root_set limited = {0};
    struct cw_complex u[CW_FACTORS_MAX];
    start_near(plan, capped.degree, u);
    int count = cw_poly_roots_near(capped.c, capped.degree, u);
    out->limited = true;
    if (cw_roots_to_circle(u, count, 1.0, &limited)) {
        plan->poles = limited;
        plan->dc /= sqrt(1.0 + e * plan->dc * plan->dc);
    }
}

void cw_limit_cut(const struct cw_plan *plan, double limit_db, struct cw_sections *out)
{
    cw_sections_of(plan, out);
    double limit = pow(10.0, 0.1 * limit_db), top = highest_power(plan, out);
    out->gain *= top > limit ? sqrt(limit / top) : 1.0;
    out->top = sqrt(limit);
}
