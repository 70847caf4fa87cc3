#include "digital.h"

#include <math.h>
#include <string.h>

#include "complex_math.h"

enum {
    FACTORS_MAX = 2 * CW_SECTIONS_MAX, /* zeros, or poles, of one filter */
    PINS_MAX = 6,
    CORRECTION_POLES = 2
};

static const double PI = 3.14159265358979323846;

/* A set of roots, conjugates adjacent (positive imaginary part first), so that pairs are steps of two. */
struct root_set {
    int count;
    struct cw_complex root[FACTORS_MAX];
};

/* What is to be reached: gain * prod(p - zero) / prod(p - pole), p normalised as in transfer.h. */
struct target {
    double gain;
    struct root_set zeros, poles;
    bool mirrored;
};

/* ---- the target: candidate over recorded --------------------------------------------------- */

static void append(struct root_set *set, const struct cw_complex *roots, int count)
{
    memcpy(set->root + set->count, roots, (size_t)count * sizeof *roots);
    set->count += count;
}

static void take_out(struct root_set *set, int at, int width)
{
    set->count -= width;
    memmove(set->root + at, set->root + at + width, (size_t)(set->count - at) * sizeof set->root[0]);
}

/* What both setups share is in the zeros and the poles; it goes, so that equal parts cost nothing. */
static void cancel(struct root_set *zeros, struct root_set *poles)
{
    for (int i = 0; i < zeros->count;) {
        int width = zeros->root[i].im != 0.0 ? 2 : 1, match = -1;
        for (int k = 0; k < poles->count && match < 0; k++) {
            bool same_kind = (poles->root[k].im > 0.0) == (width == 2) && poles->root[k].im >= 0.0;
            if (same_kind && cw_norm(cw_sub(zeros->root[i], poles->root[k])) <= 1e-20 * cw_norm(poles->root[k])) {
                match = k;
            }
        }
        if (match < 0) {
            i += width;
        } else {
            take_out(zeros, i, width);
            take_out(poles, match, width);
        }
    }
}

/* Poles must lie in the left half plane: a zero of the recording to the right of the axis is
 * mirrored, which leaves the magnitude as it is. */
static bool mirror_to_left(struct cw_complex *roots, int count)
{
    bool mirrored = false;
    for (int i = 0; i < count; i++) {
        double least = 1e-7 * cw_abs(roots[i]);
        mirrored = mirrored || roots[i].re > 0.0;
        roots[i].re = -fmax(fabs(roots[i].re), least);
    }
    return mirrored;
}

/* False where the candidate is silent. */
static bool target_of(const struct cw_transfer *candidate, const struct cw_transfer *recorded, struct target *t)
{
    struct cw_roots roots;
    if (!cw_transfer_roots(candidate, &roots)) {
        return false;
    }
    t->gain = roots.gain;
    t->zeros.count = t->poles.count = 0;
    t->mirrored = false;
    append(&t->zeros, roots.zero, roots.zeros);
    append(&t->poles, roots.pole, roots.poles);
    if (recorded && cw_transfer_roots(recorded, &roots)) {
        t->gain /= roots.gain;
        t->mirrored = mirror_to_left(roots.zero, roots.zeros);
        append(&t->zeros, roots.pole, roots.poles);
        append(&t->poles, roots.zero, roots.zeros);
        cancel(&t->zeros, &t->poles);
    }
    return true;
}

/* ---- magnitude of root sets ------------------------------------------------------------------ */

/* prod |j x - root|^2 */
static double analogue_power(const struct root_set *set, double x)
{
    double power = 1.0;
    for (int i = 0; i < set->count; i++) {
        double d = x - set->root[i].im;
        power *= set->root[i].re * set->root[i].re + d * d;
    }
    return power;
}

/* ---- the correction: what mapping leaves of the magnitude ------------------------------------- */

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

static struct cw_complex square_root(struct cw_complex a)
{
    double size = cw_abs(a), re = sqrt(0.5 * (size + fabs(a.re))), im = re > 0.0 ? 0.5 * a.im / re : 0.0;
    return a.re >= 0.0 ? cw_c(re, im) : cw_c(fabs(im), a.im >= 0.0 ? re : -re);
}

/* The root in z, inside the unit circle, of a root in u: z + 1/z = 2 - 4u. */
static struct cw_complex inside_circle(struct cw_complex u)
{
    /* c^2 - 1 = 4 u (u - 1), which keeps its digits near u = 0 */
    struct cw_complex c = cw_c(1.0 - 2.0 * u.re, -2.0 * u.im);
    struct cw_complex root = square_root(cw_mul(cw_c(4.0 * u.re, 4.0 * u.im), cw_c(u.re - 1.0, u.im)));
    struct cw_complex plus = cw_add(c, root), minus = cw_sub(c, root);
    struct cw_complex big = cw_norm(plus) > cw_norm(minus) ? plus : minus;
    return cw_div(cw_c(1.0, 0.0), big);
}

/* Roots in u. A positive polynomial has none on 0..1. */
static int roots_in_u(const double *coefficient, int degree, struct cw_complex *u)
{
    struct cw_poly poly = {degree, {0.0}};
    memcpy(poly.c, coefficient, (size_t)(degree + 1) * sizeof *coefficient);
    return cw_poly_roots(&poly, u);
}

static bool on_band(struct cw_complex u) { return u.im == 0.0 && u.re >= 0.0 && u.re <= 1.0; }

/* Roots in u to roots in z inside the circle of radius \p most; false if there is none. */
static bool to_circle(const struct cw_complex *u, int count, double most, struct root_set *z)
{
    for (int i = 0; i < count; i++) {
        struct cw_complex root = inside_circle(u[i]);
        if (on_band(u[i]) || !(cw_norm(root) < most * most)) {
            return false;
        }
        /* conjugates in u are conjugates in z; the order is positive imaginary part first */
        root.im = copysign(root.im, u[i].im);
        z->root[z->count++] = root;
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

/* How near, in radians a sample, a pair must come to the top of the band for its image to matter. */
static const double TOP_REACH = 1.6;

/* A filter as roots in z, before it is cut into sections. */
struct plan {
    double dc; /* gain at 0 Hz */
    struct root_set zeros, poles;
    int correction;
};

/* |1 - z e^{-jw}|^2 of a real root, or of a conjugate pair, in u: see cw_quadratic_power(). The sum
 * is worked out from the root in s, so that it keeps its digits where z is close to 1. */
struct mapped_factor {
    double sum, alternate, c2;
};

/* Roots of one kind (zeros or poles) in z, and their magnitudes. */
struct mapping {
    struct root_set z;
    int factors;
    struct mapped_factor factor[FACTORS_MAX];
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

/* One real root near z = -1, at the distance that a root in s has from the top of the band. */
static void map_to_top(struct mapping *to, double distance) { map_real(to, 1.0 + exp(-distance), -exp(-distance)); }

/* Roots within half the sample rate are mapped exactly. Near the top of the band a pair in z counts
 * double, because its two halves meet there, where the analogue magnitude sees only one: a real
 * root of the other kind takes one back. Just above the top a pair becomes one real root. */
static void map_roots(const struct root_set *from, struct mapping *same, struct mapping *other, double t)
{
    for (int i = 0; i < from->count; i++) {
        struct cw_complex p = from->root[i];
        if (p.im < 0.0) {
            continue;
        }
        bool within = p.im * t < PI && cw_abs(p) * t < PI;
        if (p.im == 0.0) {
            if (within) {
                map_real(same, -expm1(p.re * t), exp(p.re * t));
            }
            continue;
        }
        double distance = cw_abs(cw_c(p.re * t, p.im * t - PI));
        if (within) {
            map_pair(same, p, t);
        }
        if (distance < TOP_REACH) {
            map_to_top(within ? other : same, distance);
        }
    }
}

static double residual_at(const struct target *t, const struct mapping *zeros, const struct mapping *poles, double x,
                          double u)
{
    return analogue_power(&t->zeros, x) / analogue_power(&t->poles, x) * mapped_power(poles, u) / mapped_power(zeros, u);
}

static struct residual residual_of(const struct target *t, const struct mapping *zeros, const struct mapping *poles,
                                   double unit, const struct tuning *tuning)
{
    struct residual r;
    double base = residual_at(t, zeros, poles, 0.0, 0.0);
    for (int i = 0; i < PINS_MAX; i++) {
        double w = 2.0 * PI * tuning->pin[i], half = sin(0.5 * w);
        r.u[i] = half * half;
        r.g[i] = residual_at(t, zeros, poles, w / unit, r.u[i]) / base;
    }
    return r;
}

static bool accept(const struct correction *c, struct plan *plan)
{
    struct cw_complex n[CW_DEGREE_MAX], d[CW_DEGREE_MAX];
    int n_count = roots_in_u(c->n, c->zeros, n), d_count = roots_in_u(c->d, c->poles, d);
    struct root_set more_zeros = {0}, more_poles = {0};
    if (!to_circle(n, n_count, 0.9999, &more_zeros) || !to_circle(d, d_count, 0.999, &more_poles)) {
        return false;
    }
    append(&plan->zeros, more_zeros.root, more_zeros.count);
    append(&plan->poles, more_poles.root, more_poles.count);
    return true;
}

/* Add the correction to the plan: through all pins or, where that cannot be factored, through the
 * last of them alone, or none. Returns its number of zeros. */
static int correct(const struct target *t, const struct mapping *zeros, const struct mapping *poles, double rate,
                   struct plan *plan)
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

static double product_at_zero(const struct root_set *set)
{
    double product = 1.0;
    for (int i = 0; i < set->count; i++) {
        product *= set->root[i].im == 0.0 ? -set->root[i].re
                   : set->root[i].im > 0.0 ? cw_norm(set->root[i]) : 1.0;
    }
    return product;
}

static void plan_of(const struct target *t, double rate, struct plan *plan)
{
    double unit = CW_OMEGA_UNIT / rate;
    struct mapping zeros, poles;
    zeros.z.count = zeros.factors = poles.z.count = poles.factors = 0;
    map_roots(&t->zeros, &zeros, &poles, unit);
    map_roots(&t->poles, &poles, &zeros, unit);
    plan->zeros = zeros.z;
    plan->poles = poles.z;
    plan->dc = t->gain * product_at_zero(&t->zeros) / product_at_zero(&t->poles);
    bool flat = t->zeros.count == 0 && t->poles.count == 0;
    plan->correction = flat ? PINS_MAX : correct(t, &zeros, &poles, rate, plan);
}

/* ---- sections --------------------------------------------------------------------------------- */

/* 1 + c1 z^-1 + c2 z^-2 */
struct quadratic {
    double c1, c2;
    struct cw_complex root;
};

static void sort_falling(double *v, int n)
{
    for (int i = 1; i < n; i++) {
        for (int k = i; k > 0 && v[k] > v[k - 1]; k--) {
            double t = v[k];
            v[k] = v[k - 1];
            v[k - 1] = t;
        }
    }
}

/* Conjugate pairs as they are; real roots two by two in order of size. */
static int quadratics_of(const struct root_set *set, struct quadratic *out)
{
    double real[FACTORS_MAX];
    int reals = 0, count = 0;
    for (int i = 0; i < set->count; i++) {
        struct cw_complex z = set->root[i];
        if (z.im == 0.0) {
            real[reals++] = z.re;
        } else if (z.im > 0.0) {
            out[count++] = (struct quadratic){-2.0 * z.re, cw_norm(z), z};
        }
    }
    sort_falling(real, reals);
    for (int i = 0; i < reals; i += 2) {
        double a = real[i], b = i + 1 < reals ? real[i + 1] : 0.0;
        out[count++] = (struct quadratic){-(a + b), a * b, cw_c(a, 0.0)};
    }
    return count;
}

/* Each pole factor takes the zero factor nearest to it, so that no section boosts by much. */
static void sections_of(const struct plan *plan, struct cw_sections *out)
{
    struct quadratic zero[FACTORS_MAX], pole[FACTORS_MAX];
    int zeros = quadratics_of(&plan->zeros, zero), poles = quadratics_of(&plan->poles, pole);
    double at_dc = 1.0;
    out->count = 0;
    for (int i = 0; (i < poles || zeros > 0) && out->count < CW_SECTIONS_MAX; i++) {
        struct quadratic p = {0.0, 0.0, {0.0, 0.0}}, z = p;
        if (i < poles) {
            p = pole[i];
        }
        if (zeros > 0) {
            int best = 0;
            for (int k = 1; k < zeros; k++) {
                if (cw_norm(cw_sub(zero[k].root, p.root)) < cw_norm(cw_sub(zero[best].root, p.root))) {
                    best = k;
                }
            }
            z = zero[best];
            zero[best] = zero[--zeros];
        }
        out->section[out->count++] = (struct cw_biquad){1.0, z.c1, z.c2, p.c1, p.c2};
        at_dc *= (1.0 + z.c1 + z.c2) / (1.0 + p.c1 + p.c2);
    }
    out->gain = plan->dc / at_dc;
}

/* ---- the boost limit ---------------------------------------------------------------------------- */

/* |H|^2 of a filter as a product of ratios of quadratics in u, quick to evaluate. */
struct power_curve {
    int count;
    double gain, n[CW_SECTIONS_MAX][3], d[CW_SECTIONS_MAX][3];
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
        quadratic_in_u(b->b0, b->b1, b->b2, curve->n[i]);
        quadratic_in_u(1.0, b->a1, b->a2, curve->d[i]);
    }
}

static double power_at(const struct power_curve *c, double u)
{
    double top = c->gain, bottom = 1.0;
    for (int i = 0; i < c->count; i++) {
        top *= c->n[i][0] + u * (c->n[i][1] + u * c->n[i][2]);
        bottom *= c->d[i][0] + u * (c->d[i][1] + u * c->d[i][2]);
    }
    return top / bottom;
}

/* A maximum is looked for first at steps of a fifth of an octave, from the top of the band down to
 * 7 Hz at the highest rate, then between neighbours by golden section. */
enum { TOP_STEPS = 72, TOP_REFINE = 24 };
static const double TOP_STEP = 0.75; /* ratio of successive u, which goes as frequency squared */

static double refine_top(const struct power_curve *c, double lo, double hi)
{
    const double golden = 0.6180339887498949;
    double x1 = hi - golden * (hi - lo), x2 = lo + golden * (hi - lo);
    double p1 = power_at(c, x1), p2 = power_at(c, x2);
    for (int i = 0; i < TOP_REFINE; i++) {
        if (p1 > p2) {
            hi = x2;
            x2 = x1;
            p2 = p1;
            x1 = hi - golden * (hi - lo);
            p1 = power_at(c, x1);
        } else {
            lo = x1;
            x1 = x2;
            p1 = p2;
            x2 = lo + golden * (hi - lo);
            p2 = power_at(c, x2);
        }
    }
    return fmax(p1, p2);
}

/* The highest |H|^2. A sharp peak stands beside its pole, so poles that come near are followed. */
static double highest_power(const struct plan *plan, const struct cw_sections *s)
{
    struct power_curve curve;
    power_curve_of(s, &curve);
    double best = power_at(&curve, 0.0), at = 0.0, u = 1.0;
    for (int i = 0; i < TOP_STEPS; i++, u *= TOP_STEP) {
        double p = power_at(&curve, u);
        if (p > best) {
            best = p;
            at = u;
        }
    }
    if (at > 0.0) {
        best = fmax(best, refine_top(&curve, at * TOP_STEP, fmin(at / TOP_STEP, 1.0)));
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

/* Product of |1 - z e^{-jw}|^2 over a set of roots, as a polynomial in u. */
static struct cw_poly power_in_u(const struct root_set *set)
{
    struct cw_poly product = cw_poly_constant(1.0);
    for (int i = 0; i < set->count; i++) {
        struct cw_complex z = set->root[i];
        struct cw_poly one = {z.im == 0.0 ? 1 : 2, {0.0}};
        if (z.im >= 0.0) {
            quadratic_in_u(1.0, z.im == 0.0 ? -z.re : -2.0 * z.re, z.im == 0.0 ? 0.0 : cw_norm(z), one.c);
            product = cw_poly_mul(product, one);
        }
    }
    return product;
}

/* |H|^2 becomes |H|^2 / (1 + e |H|^2): new poles, same zeros. e is such that the highest point
 * comes down to the limit exactly, so a response below the limit keeps e = 0 and stays as it is. */
static void limit_boost(struct plan *plan, double limit_db, struct cw_sections *out)
{
    double limit = pow(10.0, 0.1 * limit_db), top = highest_power(plan, out);
    out->top = sqrt(top);
    if (!(top > limit * (1.0 + 1e-9))) {
        return;
    }
    double e = 1.0 / limit - 1.0 / top;
    struct cw_poly zeros = power_in_u(&plan->zeros), poles = power_in_u(&plan->poles);
    double scale = plan->dc * plan->dc * poles.c[0] / zeros.c[0];
    struct cw_poly capped = cw_poly_add(poles, cw_poly_scale(zeros, e * scale));
    struct root_set limited = {0};
    struct cw_complex u[CW_DEGREE_MAX];
    int count = roots_in_u(capped.c, capped.degree, u);
    out->limited = true;
    if (to_circle(u, count, 1.0, &limited)) {
        plan->poles = limited;
        plan->dc /= sqrt(1.0 + e * plan->dc * plan->dc);
        sections_of(plan, out);
        top = highest_power(plan, out);
    }
    /* Whatever rounding left, the bound holds. */
    out->gain *= top > limit ? sqrt(limit / top) : 1.0;
    out->top = sqrt(limit);
}

/* ---- public --------------------------------------------------------------------------------------- */

void cw_digital_design(const struct cw_transfer *candidate, const struct cw_transfer *recorded, double rate,
                       double limit_db, struct cw_sections *out)
{
    struct target target;
    struct plan plan;
    memset(out, 0, sizeof *out);
    if (!target_of(candidate, recorded, &target)) {
        out->silent = true;
        return;
    }
    plan_of(&target, rate, &plan);
    out->mirrored = target.mirrored;
    out->correction = plan.correction;
    sections_of(&plan, out);
    limit_boost(&plan, limit_db, out);
}

double cw_sections_power(const struct cw_sections *sections, double hz, double rate)
{
    double power = sections->gain * sections->gain;
    for (int i = 0; i < sections->count; i++) {
        power *= cw_biquad_power(&sections->section[i], hz, rate);
    }
    return power;
}
