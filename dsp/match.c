/* SPDX-License-Identifier: ISC */
#include "match.h"

#include <math.h>

#include "biquad.h"
#include "complex_math.h"
#include "constants.h"
#include "poly_roots.h"
#include "polynomial.h"
#include "roots.h"

enum { PINS_MAX = CW_CORRECTION_ZEROS, CORRECTION_POLES = CW_CORRECTION_POLES };

/* prod |j x - root|^2 */
static double analogue_power(const struct cw_root_set *set, double x)
{
    double power = 1.0;
    for (int i = 0; i < set->count; i++) {
        double d = x - set->root[i].im;
        power *= set->root[i].re * set->root[i].re + d * d;
    }
    return power;
}

/* Squared magnitude n(u)/d(u), u = sin^2(w/2), n(0) = d(0) = 1. */
struct correction {
    int zeros, poles;
    double n[PINS_MAX + 1], d[CORRECTION_POLES + 1];
};

/* The residual to be met at the pins. */
struct residual {
    double u[PINS_MAX], g[PINS_MAX];
};

/* Gaussian elimination with partial pivoting, solution in the last column; false if singular. */
static bool solve(double a[PINS_MAX][PINS_MAX + 1], int n)
{
    for (int col = 0; col < n; col++) {
        int pivot = col;
        for (int row = col + 1; row < n; row++) {
            pivot = fabs(a[row][col]) > fabs(a[pivot][col]) ? row : pivot;
        }
        if (!(fabs(a[pivot][col]) > 1e-300)) {
            return false;
        }
        for (int k = col; k <= n; k++) {
            double swap = a[col][k];
            a[col][k] = a[pivot][k];
            a[pivot][k] = swap;
        }
        for (int row = 0; row < n; row++) {
            double factor = row == col ? 0.0 : a[row][col] / a[col][col];
            for (int k = col; k <= n && factor != 0.0; k++) {
                a[row][k] -= factor * a[col][k];
            }
        }
    }
    for (int i = 0; i < n; i++) {
        a[i][n] /= a[i][i];
    }
    return true;
}

/* n(u) through the first c->zeros pins, d(u) being given: a linear system, so no pole can stray. */
static bool fit_zeros(const struct residual *r, struct correction *c)
{
    double a[PINS_MAX][PINS_MAX + 1];
    for (int i = 0; i < c->zeros; i++) {
        double u = r->u[i], power = u;
        for (int k = 0; k < c->zeros; k++, power *= u) {
            a[i][k] = power;
        }
        a[i][c->zeros] = r->g[i] * (1.0 + u * (c->d[1] + u * c->d[2])) - 1.0;
    }
    if (!solve(a, c->zeros)) {
        return false;
    }
    c->n[0] = 1.0;
    for (int k = 0; k < c->zeros; k++) {
        c->n[k + 1] = a[k][c->zeros];
    }
    return true;
}

/* The correction's poles (roots of d in u) and the shares of the sample rate at which its zeros are
 * pinned. Found by random search over random setups at 44.1 and at 48 kHz; the figures that they
 * reach are printed by tests/test_response. */
struct tuning {
    double pin[PINS_MAX], root[CORRECTION_POLES];
};
static const struct tuning tuning_44 = {{0.1229, 0.2133, 0.3040, 0.3778, 0.4279, 0.4512}, {1.0179, 1.1283}};
static const struct tuning tuning_48 = {{0.1184, 0.2012, 0.2787, 0.3430, 0.3905, 0.4138}, {1.0344, 1.2207}};

/* A lead of more than this, in samples, is taken back. */
static const double LEAD_MOST = 0.95;

/* How near, in radians a sample, a pair must come to the top of the band for its image to matter. */
static const double TOP_REACH = 1.6;

/* |1 - z e^{-jw}|^2 of a real root, or of a conjugate pair, in u: see cw_quadratic_power(). The sum
 * is worked out from the root in s, so that it keeps its digits where z is close to 1. */
struct mapped_factor {
    double sum, alternate, c2;
};

/* Roots of one kind (zeros or poles) in z, and their magnitudes. */
struct mapping {
    struct cw_root_set z;
    int factors;
    struct mapped_factor factor[CW_FACTORS_MAX];
};

static void map_real(struct mapping *to, double less, double z)
{
    to->z.root[to->z.count++] = cw_c(z, 0.0);
    to->factor[to->factors++] = (struct mapped_factor){less, 1.0 + z, 0.0};
}

static void map_pair(struct mapping *to, struct cw_complex p, double t)
{
    double less = -expm1(p.re * t), size = 1.0 - less, half = sin(0.5 * p.im * t);
    struct cw_complex z = cw_c(size * cos(p.im * t), size * sin(p.im * t));
    to->z.root[to->z.count++] = z;
    to->z.root[to->z.count++] = cw_c(z.re, -z.im);
    to->factor[to->factors++] =
        (struct mapped_factor){less * less + 4.0 * size * half * half, 1.0 + 2.0 * z.re + size * size, size * size};
}

/* prod |1 - z e^{-jw}|^2 */
static double mapped_power(const struct mapping *m, double u)
{
    double power = 1.0;
    for (int i = 0; i < m->factors; i++) {
        power *= cw_quadratic_power(m->factor[i].sum, m->factor[i].alternate, 1.0, m->factor[i].c2, u);
    }
    return power;
}

/* Roots within half the sample rate are mapped exactly. */
static bool is_within(struct cw_complex p, double t) { return p.im * t < CW_PI && cw_abs(p) * t < CW_PI; }

static void map_roots(const struct cw_root_set *from, struct mapping *to, double t)
{
    for (int i = 0; i < from->count; i++) {
        struct cw_complex p = from->root[i];
        if (p.im < 0.0 || !is_within(p, t)) {
            continue;
        }
        if (p.im == 0.0) {
            map_real(to, -expm1(p.re * t), exp(p.re * t));
        } else {
            map_pair(to, p, t);
        }
    }
}

/* One real root near z = -1, at the distance that a root in s has from the top of the band. What a target has was
 * mapped before; these have what room is left, which is for some in every target that is not of the highest order. */
static void map_to_top(struct mapping *to, double distance)
{
    if (to->z.count < CW_TARGET_MAX) {
        map_real(to, 1.0 + exp(-distance), -exp(-distance));
    }
}

/* Near the top of the band a pair in z counts double, because its two halves meet there, where the analogue
 * magnitude sees only one: a real root of the other kind takes one back. Just above the top a pair becomes one
 * real root. */
static void map_tops(const struct cw_root_set *from, struct mapping *same, struct mapping *other, double t)
{
    for (int i = 0; i < from->count; i++) {
        struct cw_complex p = from->root[i];
        double distance = cw_abs(cw_c(p.re * t, p.im * t - CW_PI));
        if (p.im > 0.0 && distance < TOP_REACH) {
            map_to_top(is_within(p, t) ? other : same, distance);
        }
    }
}

static double residual_at(const struct cw_target *t, const struct mapping *zeros, const struct mapping *poles, double x,
                          double u)
{
    return analogue_power(&t->zeros, x) / analogue_power(&t->poles, x) * mapped_power(poles, u) /
           mapped_power(zeros, u);
}

static struct residual residual_of(const struct cw_target *t, const struct mapping *zeros, const struct mapping *poles,
                                   double unit, const struct tuning *tuning)
{
    struct residual r;
    double base = residual_at(t, zeros, poles, 0.0, 0.0);
    for (int i = 0; i < PINS_MAX; i++) {
        double w = 2.0 * CW_PI * tuning->pin[i], half = sin(0.5 * w);
        r.u[i] = half * half;
        r.g[i] = residual_at(t, zeros, poles, w / unit, r.u[i]) / base;
    }
    return r;
}

_Static_assert(CW_TARGET_MAX + CW_CORRECTION_ZEROS + CW_SLOPE_ROOTS + CW_DELAY_ZEROS <= (int)CW_FACTORS_MAX &&
                   CW_TARGET_MAX + CW_CORRECTION_POLES + CW_SLOPE_ROOTS <= (int)CW_FACTORS_MAX,
               "a target, its correction, the slope and the delay have room");

static bool accept(const struct correction *c, struct cw_plan *plan)
{
    struct cw_complex n[PINS_MAX], d[CORRECTION_POLES];
    int n_count = cw_poly_roots(c->n, c->zeros, n), d_count = cw_poly_roots(c->d, c->poles, d);
    struct cw_root_set more_zeros = {0}, more_poles = {0};
    if (!cw_roots_to_circle(n, n_count, 0.9999, &more_zeros) || !cw_roots_to_circle(d, d_count, 0.999, &more_poles)) {
        return false;
    }
    return cw_roots_append(&plan->zeros, more_zeros.root, more_zeros.count) &&
           cw_roots_append(&plan->poles, more_poles.root, more_poles.count);
}

/* Add the correction to the plan: through all pins or, where that cannot be factored, through the
 * last of them alone, or none. Returns its number of zeros. */
static int correct(const struct cw_target *t, const struct mapping *zeros, const struct mapping *poles, double rate,
                   struct cw_plan *plan)
{
    const struct tuning *tuning = rate < 46000.0 ? &tuning_44 : &tuning_48;
    struct residual r = residual_of(t, zeros, poles, CW_OMEGA_UNIT / rate, tuning);
    double f0 = 1.0 / tuning->root[0], f1 = 1.0 / tuning->root[1];
    struct correction full = {PINS_MAX, CORRECTION_POLES, {0.0}, {1.0, -f0 - f1, f0 * f1}};
    if (fit_zeros(&r, &full) && accept(&full, plan)) {
        return full.zeros;
    }
    struct correction least = {1, CORRECTION_POLES, {0.0}, {1.0, -f0 - f1, f0 * f1}};
    r.u[0] = r.u[PINS_MAX - 1];
    r.g[0] = r.g[PINS_MAX - 1];
    return fit_zeros(&r, &least) && accept(&least, plan) ? least.zeros : 0;
}

static double product_at_zero(const struct cw_root_set *set)
{
    double product = 1.0;
    for (int i = 0; i < set->count; i++) {
        product *= set->root[i].im == 0.0 ? -set->root[i].re : set->root[i].im > 0.0 ? cw_norm(set->root[i]) : 1.0;
    }
    return product;
}

/* prod (j x - root), up to a positive factor */
static struct cw_complex analogue_phase(const struct cw_root_set *set, double x)
{
    struct cw_complex product = {1.0, 0.0};
    for (int i = 0; i < set->count; i++) {
        struct cw_complex d = cw_c(-set->root[i].re, x - set->root[i].im);
        product = cw_mul(product, cw_c(d.re / (cw_abs(d) + 1e-300), d.im / (cw_abs(d) + 1e-300)));
    }
    return product;
}

/* prod (1 - z e^{-jw}) */
static struct cw_complex digital_phase(const struct cw_root_set *set, double w)
{
    struct cw_complex product = {1.0, 0.0}, back = cw_c(cos(w), -sin(w));
    for (int i = 0; i < set->count; i++) {
        product = cw_mul(product, cw_sub(cw_c(1.0, 0.0), cw_mul(set->root[i], back)));
    }
    return product;
}

/* How far the plan is ahead of the target, in samples, at a tenth of the sample rate. */
static double lead_of(const struct cw_target *t, const struct cw_plan *plan, double unit)
{
    double w = 0.2 * CW_PI;
    struct cw_complex analogue = cw_div(analogue_phase(&t->zeros, w / unit), analogue_phase(&t->poles, w / unit));
    struct cw_complex digital = cw_div(digital_phase(&plan->zeros, w), digital_phase(&plan->poles, w));
    struct cw_complex ahead = cw_mul(digital, cw_c(analogue.re, -analogue.im));
    return atan2(ahead.im, ahead.re) / w;
}

void cw_match(const struct cw_target *t, double rate, struct cw_plan *plan)
{
    double unit = CW_OMEGA_UNIT / rate;
    struct mapping zeros, poles;
    zeros.z.count = zeros.factors = poles.z.count = poles.factors = 0;
    map_roots(&t->zeros, &zeros, unit);
    map_roots(&t->poles, &poles, unit);
    map_tops(&t->zeros, &zeros, &poles, unit);
    map_tops(&t->poles, &poles, &zeros, unit);
    plan->zeros = zeros.z;
    plan->poles = poles.z;
    plan->dc = t->gain * product_at_zero(&t->zeros) / product_at_zero(&t->poles);
    bool flat = t->zeros.count == 0 && t->poles.count == 0;
    plan->correction = flat ? PINS_MAX : correct(t, &zeros, &poles, rate, plan);
    plan->delayed = lead_of(t, plan, unit) > LEAD_MOST;
}
