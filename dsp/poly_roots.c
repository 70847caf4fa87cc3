/* SPDX-License-Identifier: ISC */
#include "poly_roots.h"

#include <assert.h>
#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "complex_math.h"
#include "lanes.h"

/* log2 and its inverse, within a tenth: straight between powers of two, as a double's bits are. v above 0 */
static double rough_log2(double v)
{
    int64_t bits;
    memcpy(&bits, &v, sizeof bits);
    return (double)bits * 0x1p-52 - 1023.0;
}

static double rough_exp2(double v)
{
    const int64_t bits = (int64_t)((v + 1023.0) * 0x1p52);
    double power;
    memcpy(&power, &bits, sizeof power);
    return power;
}

/* Starting points: the upper hull of (i, log|c_i|) says how many roots lie near which radius. */
static void start_points(const double *c, int n, struct cw_complex *z)
{
    int hull[CW_ROOTS_MAX + 1], count = 0;
    double height[CW_ROOTS_MAX + 1];
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

/* Ehrlich and Aberth's move of one root; returns true when it has settled. The iteration converges
 * with the third power, so after a move of a hundred millionth there is nothing left to move. */
static const double SMALL_MOVE = 1e-8 * 1e-8; /* squared */

/* Where the value is nothing but rounding, a step is too; a last move by several of them would throw a root out of its
 * cluster. */
static const double POLISH_MOST = 4.0 * 4.0; /* squared */

/* The roots while they move. What fills the last vector up counts as done. */
enum { LANES_MOST = 4 };
struct work {
    double re[CW_ROOTS_MAX + LANES_MOST], im[CW_ROOTS_MAX + LANES_MOST];
    int64_t done[CW_ROOTS_MAX + LANES_MOST]; /* all bits, or none */
};

/* Coefficients, and their sizes; near: of squares below it every power of a root is far from what a double holds. */
struct polynomial {
    int degree;
    double c[CW_ROOTS_MAX + 1], size[CW_ROOTS_MAX + 1];
    double near;
};

/* What p(z) comes to by rounding alone, as a share of the sum of its terms' sizes. */
static const double ROUNDING = 4.0 * DBL_EPSILON;

#define KERNEL(name) name##_2
#define LANES 2
#include "poly_roots_kernel.inc"

#define KERNEL(name) name##_4
#define LANES 4
#include "poly_roots_kernel.inc"

CW_FOUR_LANES static bool iterate_four(const struct polynomial *p, int sweeps, struct work *w)
{
    return iterate_4(p, sweeps, w);
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

/* Returns whether all roots have settled. */
static bool iterate(const double *c, int n, int sweeps, struct cw_complex *z)
{
    struct work w;
    struct polynomial p = {.degree = n, .near = ldexp(1.0, 800 / n)};
    for (int i = 0; i <= n; i++) {
        p.c[i] = c[i];
        p.size[i] = fabs(c[i]);
    }
    for (int i = 0; i < n + LANES_MOST; i++) {
        w.re[i] = i < n ? z[i].re : 1.0;
        w.im[i] = i < n ? z[i].im : 1.0;
        w.done[i] = i < n ? 0 : -1;
    }
    const bool settled = cw_has_four_lanes() ? iterate_four(&p, sweeps, &w) : iterate_2(&p, sweeps, &w);
    for (int i = 0; i < n; i++) {
        z[i] = cw_c(w.re[i], w.im[i]);
    }
    return settled;
}

static void multiply(struct cw_complex *z, int n, double by)
{
    for (int i = 0; i < n; i++) {
        z[i] = cw_c(by * z[i].re, by * z[i].im);
    }
}

/* Coefficients whose largest is between a half and one, so that no product of two is beyond what a double
 * holds. A power of two leaves their digits alone. */
static void scale(const double *from, int n, double *c)
{
    double largest = 0.0;
    int exponent;
    for (int i = 0; i <= n; i++) {
        largest = fmax(largest, fabs(from[i]));
    }
    frexp(largest, &exponent);
    double factor = ldexp(1.0, exponent < -1000 ? 1000 : -exponent);
    for (int i = 0; i <= n; i++) {
        c[i] = factor * from[i];
    }
}

/* The most that the first and the last coefficient are moved against one another: what holds any such pair. */
enum { BALANCE_MOST = 1000 };

/* Another unit for the roots, a power of two, in which the first and the last coefficient are alike in size: so that
 * next to no root the value or the slope is below what a double holds squared. Returns the unit. */
static double balance(double *c, int n)
{
    int first, last;
    frexp(c[0], &first);
    frexp(c[n], &last);
    int apart = first - last;
    apart = apart > BALANCE_MOST ? BALANCE_MOST : apart < -BALANCE_MOST ? -BALANCE_MOST : apart;
    double unit = ldexp(1.0, apart / n), power = unit;
    for (int i = 1; i <= n; i++, power *= unit) {
        c[i] *= power;
    }
    scale(c, n, c);
    return unit;
}

int cw_poly_roots(const double *coefficient, int n, struct cw_complex *roots)
{
    assert(n >= 0 && n <= CW_ROOTS_MAX);
    double c[CW_ROOTS_MAX + 1];
    int low = 0;
    while (n > 0 && coefficient[n] == 0.0) {
        n--;
    }
    while (low < n && coefficient[low] == 0.0) {
        roots[low++] = cw_c(0.0, 0.0);
    }
    struct cw_complex *z = roots + low;
    int degree = n - low;
    scale(coefficient + low, degree, c);
    if (degree == 1) {
        z[0] = cw_c(-c[0] / c[1], 0.0);
    } else if (degree == 2) {
        solve_quadratic(c, z);
    } else if (degree > 2) {
        double unit = balance(c, degree);
        start_points(c, degree, z);
        (void)iterate(c, degree, CW_ROOTS_SWEEPS, z);
        pair_conjugates(z, degree);
        multiply(z, degree, unit);
    }
    return n;
}

int cw_poly_roots_near(const double *coefficient, int n, struct cw_complex *roots, int *sweeps)
{
    assert(n >= 0 && n <= CW_ROOTS_MAX);
    double c[CW_ROOTS_MAX + 1];
    bool plain = n < 3 || coefficient[n] == 0.0 || coefficient[0] == 0.0;
    if (plain) {
        return cw_poly_roots(coefficient, n, roots);
    }
    scale(coefficient, n, c);
    double unit = balance(c, n);
    multiply(roots, n, 1.0 / unit);
    const int most = *sweeps < CW_ROOTS_SWEEPS_ONCE ? *sweeps : CW_ROOTS_SWEEPS_ONCE;
    *sweeps -= most;
    const bool settled = iterate(c, n, most, roots) || *sweeps == 0;
    if (settled) {
        pair_conjugates(roots, n);
    }
    multiply(roots, n, unit);
    return settled ? n : -1;
}
