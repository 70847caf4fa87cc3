#include "transfer.h"

#include <float.h>
#include <math.h>
#include <stdint.h>

#include "complex_math.h"

struct cw_poly cw_poly_constant(double c)
{
    struct cw_poly p = {0, {c}};
    return p;
}

struct cw_poly cw_poly_linear(double c0, double c1)
{
    struct cw_poly p = {c1 != 0.0 ? 1 : 0, {c0, c1 * CW_OMEGA_UNIT}};
    return p;
}

/* a + factor b */
static struct cw_poly combine(const struct cw_poly *a, const struct cw_poly *b, double factor)
{
    struct cw_poly r = *a;
    for (int i = a->degree + 1; i <= b->degree; i++) {
        r.c[i] = 0.0;
    }
    for (int i = 0; i <= b->degree; i++) {
        r.c[i] += factor * b->c[i];
    }
    r.degree = a->degree > b->degree ? a->degree : b->degree;
    return r;
}

struct cw_poly cw_poly_add(struct cw_poly a, struct cw_poly b) { return combine(&a, &b, 1.0); }
struct cw_poly cw_poly_sub(struct cw_poly a, struct cw_poly b) { return combine(&a, &b, -1.0); }

struct cw_poly cw_poly_mul(struct cw_poly a, struct cw_poly b)
{
    struct cw_poly r = {0, {0.0}};
    r.degree = a.degree + b.degree;
    for (int i = 0; i <= a.degree; i++) {
        for (int k = 0; k <= b.degree; k++) {
            r.c[i + k] += a.c[i] * b.c[k];
        }
    }
    return r;
}

struct cw_poly cw_poly_scale(struct cw_poly a, double factor)
{
    for (int i = 0; i <= a.degree; i++) {
        a.c[i] *= factor;
    }
    return a;
}

struct cw_poly cw_poly_times_s(struct cw_poly a, double factor)
{
    for (int i = a.degree; i >= 0; i--) {
        a.c[i + 1] = a.c[i] * factor * CW_OMEGA_UNIT;
    }
    a.c[0] = 0.0;
    a.degree++;
    return a;
}

/* Even and odd part of p(jx): p = even + j odd. */
static struct cw_complex at_imaginary(const struct cw_poly *p, double x)
{
    double y = -x * x, even = 0.0, odd = 0.0;
    for (int i = p->degree; i >= 0; i--) {
        if (i & 1) {
            odd = odd * y + p->c[i];
        } else {
            even = even * y + p->c[i];
        }
    }
    return cw_c(even, odd * x);
}

struct cw_complex cw_transfer_at(const struct cw_transfer *h, double hz)
{
    double x = hz * 1e-3;
    return cw_div(at_imaginary(&h->num, x), at_imaginary(&h->den, x));
}

double cw_transfer_power(const struct cw_transfer *h, double hz)
{
    double x = hz * 1e-3;
    return cw_norm(at_imaginary(&h->num, x)) / cw_norm(at_imaginary(&h->den, x));
}

double cw_transfer_db(const struct cw_transfer *h, double hz) { return 10.0 * log10(cw_transfer_power(h, hz)); }

/* ---- roots ------------------------------------------------------------------------------- */

/* log2 and its inverse, within a tenth: straight between powers of two. */
static double rough_log2(double v)
{
    int exponent;
    double mantissa = frexp(v, &exponent);
    return exponent + 2.0 * (mantissa - 1.0);
}
static double rough_exp2(double v)
{
    double whole = floor(v);
    return ldexp(1.0 + (v - whole), (int)whole);
}

/* Starting points: the upper hull of (i, log|c_i|) says how many roots lie near which radius. */
static void start_points(const double *c, int n, struct cw_complex *z)
{
    int hull[CW_DEGREE_MAX + 1], count = 0;
    double height[CW_DEGREE_MAX + 1];
    for (int i = 0; i <= n; i++) {
        height[i] = c[i] != 0.0 ? rough_log2(fabs(c[i])) : -1e300;
        while (count >= 2 && (height[hull[count - 1]] - height[hull[count - 2]]) * (i - hull[count - 2]) <=
                                 (height[i] - height[hull[count - 2]]) * (hull[count - 1] - hull[count - 2])) {
            count--;
        }
        hull[count++] = i;
    }
    /* The golden angle spreads any number of points, and none meets the real axis or another's conjugate. */
    const struct cw_complex turn = {-0.7373688780783197, 0.6754902942615238};
    struct cw_complex direction = {0.7648421872844885, 0.644217687237691};
    for (int edge = 1; edge < count; edge++) {
        int m = hull[edge] - hull[edge - 1];
        double radius = rough_exp2(fmin(fmax((height[hull[edge - 1]] - height[hull[edge]]) / m, -500.0), 500.0));
        for (int j = hull[edge - 1]; j < hull[edge]; j++) {
            z[j] = cw_c(radius * direction.re, radius * direction.im);
            direction = cw_mul(direction, turn);
        }
    }
}

/* Two roots side by side, so that what one waits for leaves room for the other. Compilers split
 * the vectors where the processor's are shorter. */
typedef double pair __attribute__((vector_size(16)));
typedef int64_t pair_mask __attribute__((vector_size(16)));

enum { LANES = 2 };

struct complex_pair {
    pair re, im;
};

/* Newton's step p/p' at two points; settled[] is set where p is zero within rounding. Outside the
 * unit circle the reversed polynomial is used, so that nothing overflows. */
static void newton_steps(const double *c, int n, const struct complex_pair *z, struct complex_pair *step, bool *settled)
{
    pair norm = z->re * z->re + z->im * z->im;
    pair_mask outside = norm > 1.0;
    /* x = 1/z outside, z inside */
    pair xr = (pair)(((pair_mask)(z->re / norm) & outside) | ((pair_mask)z->re & ~outside));
    pair xi = (pair)(((pair_mask)(-z->im / norm) & outside) | ((pair_mask)z->im & ~outside));
    pair size = {sqrt(xr[0] * xr[0] + xi[0] * xi[0]), sqrt(xr[1] * xr[1] + xi[1] * xi[1])};
    pair zero = {0.0, 0.0}, pr = zero, pi = zero, dr = zero, di = zero, bound = zero;
    for (int i = 0; i <= n; i++) {
        pair forward = zero + c[i], backward = zero + c[n - i];
        pair coefficient = (pair)(((pair_mask)forward & outside) | ((pair_mask)backward & ~outside));
        pair next = dr * xr - di * xi + pr;
        di = dr * xi + di * xr + pi;
        dr = next;
        next = pr * xr - pi * xi + coefficient;
        pi = pr * xi + pi * xr;
        pr = next;
        bound = bound * size + (pair)((pair_mask)coefficient & INT64_MAX); /* the sign bit off: |c| */
    }
    for (int k = 0; k < LANES; k++) {
        struct cw_complex p = cw_c(pr[k], pi[k]), d = cw_c(dr[k], di[k]), x = cw_c(xr[k], xi[k]);
        double least = 4.0 * DBL_EPSILON * bound[k];
        settled[k] = cw_norm(p) <= least * least;
        if (outside[k]) {
            /* For q(x) = x^n p(1/x): p'/p (z) = x (n - x q'/q). */
            d = cw_mul(x, cw_sub(cw_c(n * p.re, n * p.im), cw_mul(x, d)));
        }
        struct cw_complex s = cw_div(p, d);
        step->re[k] = s.re;
        step->im[k] = s.im;
    }
}

/* For each of two points, the sum of 1/(z - z_k) over all roots but itself. */
static struct complex_pair repulsions(const struct complex_pair *z, const struct cw_complex *roots, int n)
{
    struct complex_pair sum = {{0.0, 0.0}, {0.0, 0.0}};
    for (int k = 0; k < n; k++) {
        pair re = z->re - roots[k].re, im = z->im - roots[k].im;
        pair inverse = 1.0 / (re * re + im * im + DBL_MIN); /* at itself: 0 times a finite number */
        sum.re += re * inverse;
        sum.im -= im * inverse;
    }
    return sum;
}

enum { SWEEPS_MOST = 80 };

/* Ehrlich and Aberth's move of one root; returns true when it has settled. The iteration converges
 * with the third power, so after a move of a hundred millionth there is nothing left to move. */
static const double SMALL_MOVE = 1e-16;

static bool move_root(struct cw_complex *z, struct cw_complex step, struct cw_complex repulsion, bool settled)
{
    struct cw_complex move = cw_div(step, cw_sub(cw_c(1.0, 0.0), cw_mul(step, repulsion)));
    if (!(isfinite(move.re) && isfinite(move.im))) {
        *z = settled ? *z : cw_mul(*z, cw_c(1.0, 1e-3));
        return settled;
    }
    *z = cw_sub(*z, move);
    return settled || cw_norm(move) <= SMALL_MOVE * cw_norm(*z);
}

/* One sweep over all roots, two at a time; returns true when every root has settled. */
static bool sweep(const double *c, int n, struct cw_complex *z, bool *done)
{
    bool all = true;
    for (int first = 0; first < n; first += LANES) {
        int second = first + 1 < n ? first + 1 : first;
        if (done[first] && done[second]) {
            continue;
        }
        struct complex_pair at = {{z[first].re, z[second].re}, {z[first].im, z[second].im}}, step, push;
        bool settled[LANES];
        newton_steps(c, n, &at, &step, settled);
        push = repulsions(&at, z, n);
        for (int k = 0; k < LANES && first + k < n; k++) {
            int i = first + k;
            if (!done[i]) {
                done[i] = move_root(&z[i], cw_c(step.re[k], step.im[k]), cw_c(push.re[k], push.im[k]), settled[k]);
                all = all && done[i];
            }
        }
    }
    return all;
}

static void swap_roots(struct cw_complex *a, struct cw_complex *b)
{
    struct cw_complex t = *a;
    *a = *b;
    *b = t;
}

/* Make the set exactly symmetric about the real axis. A root joins the one nearest to its own
 * conjugate; where that is itself, it is real. */
static void pair_conjugates(struct cw_complex *z, int n)
{
    for (int i = 0; i < n; i++) {
        if (z[i].im == 0.0) {
            continue;
        }
        struct cw_complex mirror = cw_c(z[i].re, -z[i].im);
        int best = i;
        for (int k = i + 1; k < n; k++) {
            if (cw_norm(cw_sub(z[k], mirror)) < cw_norm(cw_sub(z[best], mirror))) {
                best = k;
            }
        }
        if (best == i) {
            z[i].im = 0.0;
            continue;
        }
        swap_roots(&z[i + 1], &z[best]);
        double re = 0.5 * (z[i].re + z[i + 1].re), im = 0.5 * fabs(z[i].im - z[i + 1].im);
        z[i] = cw_c(re, im);
        z[i + 1] = cw_c(re, -im);
        i++;
    }
}

/* Roots of c0 + c1 x + c2 x^2, c0 and c2 not 0, so that neither loses digits. */
static void solve_quadratic(const double *c, struct cw_complex *z)
{
    double half = -0.5 * c[1], square = half * half - c[0] * c[2];
    if (square < 0.0) {
        z[0] = cw_c(half / c[2], sqrt(-square) / fabs(c[2]));
        z[1] = cw_c(z[0].re, -z[0].im);
    } else {
        double far = half + copysign(sqrt(square), half);
        z[0] = cw_c(far / c[2], 0.0);
        z[1] = cw_c(c[0] / far, 0.0);
    }
}

static void iterate(const double *c, int n, struct cw_complex *z)
{
    bool done[CW_DEGREE_MAX] = {false};
    for (int i = 0; i < SWEEPS_MOST && !sweep(c, n, z, done); i++) {
    }
    pair_conjugates(z, n);
}

int cw_poly_roots(const struct cw_poly *poly, struct cw_complex *roots)
{
    int n = poly->degree, low = 0;
    while (n > 0 && poly->c[n] == 0.0) {
        n--;
    }
    while (low < n && poly->c[low] == 0.0) {
        roots[low++] = cw_c(0.0, 0.0);
    }
    const double *c = poly->c + low;
    struct cw_complex *z = roots + low;
    if (n - low == 1) {
        z[0] = cw_c(-c[0] / c[1], 0.0);
    } else if (n - low == 2) {
        solve_quadratic(c, z);
    } else if (n - low > 2) {
        start_points(c, n - low, z);
        iterate(c, n - low, z);
    }
    return n;
}

int cw_poly_roots_near(const struct cw_poly *poly, struct cw_complex *roots)
{
    bool plain = poly->degree < 3 || poly->c[poly->degree] == 0.0 || poly->c[0] == 0.0;
    if (plain) {
        return cw_poly_roots(poly, roots);
    }
    iterate(poly->c, poly->degree, roots);
    return poly->degree;
}

static void remove_root(struct cw_complex *z, int *count, int at, int how_many)
{
    for (int i = at; i + how_many < *count; i++) {
        z[i] = z[i + how_many];
    }
    *count -= how_many;
}

/* Equal coils have a mode that the output does not see; what is common to num and den goes. */
static void cancel_common(struct cw_roots *r)
{
    for (int i = 0; i < r->zeros;) {
        int width = r->zero[i].im != 0.0 ? 2 : 1, match = -1;
        for (int k = 0; k < r->poles && match < 0; k++) {
            bool same_kind = (r->pole[k].im != 0.0) == (width == 2);
            if (same_kind && cw_norm(cw_sub(r->zero[i], r->pole[k])) <= 1e-18 * cw_norm(r->pole[k])) {
                match = k;
            }
        }
        if (match >= 0) {
            remove_root(r->zero, &r->zeros, i, width);
            remove_root(r->pole, &r->poles, match, width);
        } else {
            i += width;
        }
    }
}

bool cw_transfer_roots(const struct cw_transfer *h, struct cw_roots *roots)
{
    int n = h->num.degree, d = h->den.degree;
    while (n > 0 && h->num.c[n] == 0.0) {
        n--;
    }
    while (d > 0 && h->den.c[d] == 0.0) {
        d--;
    }
    if (h->num.c[n] == 0.0) {
        return false;
    }
    roots->gain = h->num.c[n] / h->den.c[d];
    roots->zeros = cw_poly_roots(&h->num, roots->zero);
    roots->poles = cw_poly_roots(&h->den, roots->pole);
    cancel_common(roots);
    return true;
}

/* ---- resonance --------------------------------------------------------------------------- */

enum { PEAK_STEPS = 161 }; /* twelve to the octave, 20 Hz to 200 kHz */

static double peak_hz(double step) { return 20.0 * exp2(step * (13.2877123795494 / (PEAK_STEPS - 1))); }

/* The step of the highest local maximum; 0 where there is none. A rise of less than 0.005 dB is
 * rounding or of no use. */
static int highest_maximum(const double *power)
{
    const double rise = 1.00115;
    double lowest = power[0];
    int best = 0;
    for (int i = 1; i < PEAK_STEPS - 1; i++) {
        lowest = power[i] < lowest ? power[i] : lowest;
        bool top = power[i] > power[i - 1] && power[i] >= power[i + 1] && power[i] > rise * lowest;
        best = top && (best == 0 || power[i] > power[best]) ? i : best;
    }
    return best;
}

struct cw_peak cw_transfer_peak(const struct cw_transfer *h)
{
    struct cw_peak peak = {0.0, 0.0};
    double base = cw_transfer_power(h, 0.0), power[PEAK_STEPS];
    for (int i = 0; i < PEAK_STEPS; i++) {
        power[i] = cw_transfer_power(h, peak_hz(i));
    }
    int at = highest_maximum(power);
    if (at == 0 || !(base > 0.0)) {
        return peak;
    }
    /* Golden section on the logarithmic frequency axis. */
    const double golden = 0.6180339887498949;
    double lo = at - 1, hi = at + 1;
    double x1 = hi - golden * (hi - lo), x2 = lo + golden * (hi - lo);
    double p1 = cw_transfer_power(h, peak_hz(x1)), p2 = cw_transfer_power(h, peak_hz(x2));
    for (int i = 0; i < 28; i++) {
        if (p1 > p2) {
            hi = x2;
            x2 = x1;
            p2 = p1;
            x1 = hi - golden * (hi - lo);
            p1 = cw_transfer_power(h, peak_hz(x1));
        } else {
            lo = x1;
            x1 = x2;
            p1 = p2;
            x2 = lo + golden * (hi - lo);
            p2 = cw_transfer_power(h, peak_hz(x2));
        }
    }
    peak.hz = peak_hz(0.5 * (lo + hi));
    peak.db = 10.0 * log10((p1 > p2 ? p1 : p2) / base);
    return peak;
}
