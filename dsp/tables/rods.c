/* SPDX-License-Identifier: ISC */
/* Makes dsp/rods_table.inc: energies of magnetised rods in their own field and in each other's.
 *
 * own: a rod in a field that is a Legendre polynomial P_j along its axis (and, off it, without curl or sources)
 * has charge on its whole surface, such that the field along the normal is mu times as strong inside as outside
 * (method of moments with rings of charge; R. F. Harrington, Field Computation by Moment Methods, 1968, from
 * memory; the potential of a ring by Gauss's arithmetic-geometric mean). That gives X_jk, what the fields j and
 * k do through it, and with G_jj = 1/(2j + 1) the matrix E = G X^-1 G - G/chi by which dsp/rods.c solves for
 * other permeabilities; taken at a susceptibility of 30, between what steel has at rest and at 20 kHz. What a
 * slug adds to a coil is then within 2 % of what the rings give for susceptibilities of 1 to 2000.
 *
 * even: the same for a rod whose magnetisation is the same all over its section, a solenoid (textbook):
 *   delta_jk/(2j + 1) - 1/l integral P_j(z) P_k(z') M(z - z')/(mu0 pi a^2) dz dz'
 * with M the mutual inductance of two circles of its radius a (J. C. Maxwell, Treatise, art. 701). For the terms 0
 * and 0 that is one less Nagaoka's coefficient. It tells where along the rod the magnetisation is, which the
 * matrix above, made for what comes of it in the end, does not.
 *
 * others: rods beside each other are lines of dipoles,
 *   1/l integral P_j(z) P_k(z') (p^2 - 2 (z - z')^2)/(4 pi (p^2 + (z - z')^2)^(5/2)) dz dz' A,
 * and the mean over six rods counts a distance of n rods 2 (6 - n)/6 times. */
#include <math.h>
#include <stdio.h>

#include "../constants.h"
#include "../inductance.h"
#include "constants.h"
#include "inductance.h"

static const double pi = CW_PI;
static const double mu0 = CW_MU0;
static const double reference_chi = 30.0;

enum { TERMS = 5, PAIRS = 9, RODS = 6, OWN_ROWS = 13, OTHERS_ROWS = 17, CELLS = 100 };
enum { SIDE = 80, END = 20, RINGS = SIDE + 2 * END };

static const int pair_of[PAIRS][2] = {{0, 0}, {0, 2}, {0, 4}, {2, 2}, {2, 4}, {4, 4}, {1, 1}, {1, 3}, {3, 3}};

/* Gauss-Legendre nodes and weights on -1..1 (Abramowitz and Stegun, table 25.4). */
static const double node[5] = {-0.9061798459386640, -0.5384693101056831, 0.0, 0.5384693101056831, 0.9061798459386640};
static const double weight[5] = {0.2369268850561891, 0.4786286704993665, 0.5688888888888889, 0.4786286704993665,
                                 0.2369268850561891};

static double legendre(int n, double u)
{
    double p[TERMS] = {1.0, u};
    for (int k = 1; k + 1 < TERMS; k++) {
        p[k + 1] = ((2 * k + 1) * u * p[k] - k * p[k - 1]) / (k + 1);
    }
    return p[n];
}

/* Integral of q_j(u) q_k(u + t) + q_j(u + t) q_k(u) over the u for which both lie in -1..1: exact. */
static double correlation(int j, int k, double t)
{
    double half = 0.5 * (2.0 - t), middle = -0.5 * t, sum = 0.0;
    for (int i = 0; i < 5; i++) {
        double u = middle + half * node[i];
        sum += weight[i] * half * (legendre(j, u) * legendre(k, u + t) + legendre(j, u + t) * legendre(k, u));
    }
    return sum;
}

/* The dipoles of the other rods, times length^2/section, times the half length. */
static double dipoles(double t, double spacing)
{
    double sum = 0.0, z = 0.5 * t;
    for (int n = 1; n < RODS; n++) {
        double p = n * spacing, far = p * p + z * z;
        sum += 2.0 * (RODS - n) / RODS * (p * p - 2.0 * z * z) / (4.0 * pi * far * far * sqrt(far));
    }
    return 0.5 * sum;
}

/* M/(mu0 pi a^2) times the half length, at a distance of t half lengths. */
static double circles(double t, double aspect)
{
    double a = 0.5 / aspect;
    return 0.5 * cw_mutual_circles(a, a, 0.5 * t) / (mu0 * pi * a * a);
}

/* Over t = 0..2 in half lengths, with cells that shrink towards 0, where M has a logarithm. */
static double over_distances(int j, int k, double (*kernel)(double t, double parameter), double parameter)
{
    double sum = 0.0;
    for (int cell = 0; cell < CELLS; cell++) {
        for (int i = 0; i < 5; i++) {
            double s = (cell + 0.5 * (1.0 + node[i])) / CELLS, t = 2.0 * s * s * s;
            sum += 0.25 * weight[i] / CELLS * 6.0 * s * s * correlation(j, k, t) * kernel(t, parameter);
        }
    }
    return sum;
}

/* ---- a rod by rings of charge ------------------------------------------------------------------ */

struct ring {
    double r, z, nr, nz, area;
};

/* Half a length of 1, finer towards the edges. */
static void make_rings(struct ring ring[RINGS], double radius)
{
    for (int i = 0; i < SIDE; i++) {
        double t0 = -cos(pi * i / SIDE), t1 = -cos(pi * (i + 1) / SIDE);
        ring[i] = (struct ring){radius, 0.5 * (t0 + t1), 1.0, 0.0, 2.0 * pi * radius * (t1 - t0)};
    }
    for (int i = 0; i < END; i++) {
        double r0 = radius * sin(0.5 * pi * i / END), r1 = radius * sin(0.5 * pi * (i + 1) / END);
        double area = pi * (r1 * r1 - r0 * r0), r = sqrt(0.5 * (r0 * r0 + r1 * r1));
        ring[SIDE + i] = (struct ring){r, 1.0, 0.0, 1.0, area};
        ring[SIDE + END + i] = (struct ring){r, -1.0, 0.0, -1.0, area};
    }
}

static double potential_of_ring(double ring_r, double r, double z)
{
    double a = hypot(ring_r + r, z), b = hypot(ring_r - r, z);
    for (int i = 0; i < 12; i++) {
        double mean = 0.5 * (a + b);
        b = sqrt(a * b);
        a = mean;
    }
    return 1.0 / (4.0 * pi * a);
}

/* Field along the normal at one ring by the charge of another, over its charge for each area. */
static double field_along(const struct ring *at, const struct ring *of)
{
    const double step = 1e-5;
    double up = potential_of_ring(of->r, at->r + step * at->nr, at->z - of->z + step * at->nz);
    double down = potential_of_ring(of->r, fabs(at->r - step * at->nr), at->z - of->z - step * at->nz);
    return (down - up) / (2.0 * step) * of->area;
}

/* A field P_j(z) on the axis, off it by powers of the radius: its potential and its part along a normal. */
static double harmonic(int j, const struct ring *at, double *along)
{
    static const double p[TERMS][TERMS] = {
        {1.0}, {0.0, 1.0}, {-0.5, 0.0, 1.5}, {0.0, -1.5, 0.0, 2.5}, {0.375, 0.0, -3.75, 0.0, 4.375}};
    double f[TERMS + 1] = {0.0}, potential = 0.0, hr = 0.0, hz = 0.0, factor = 1.0;
    for (int i = 0; i < TERMS; i++) {
        f[i + 1] = p[j][i] / (i + 1.0);
    }
    for (int k = 0; 2 * k <= TERMS; k++) { /* (-1)^k (r/2)^2k / k!^2 of the 2k-th derivative */
        double value = 0.0, slope = 0.0;
        for (int i = TERMS; i >= 0; i--) {
            slope = slope * at->z + value;
            value = value * at->z + f[i];
        }
        potential += factor * value;
        hz += factor * slope;
        hr += at->r > 0.0 ? 2.0 * k * factor / at->r * value : 0.0;
        factor *= -0.25 * at->r * at->r / ((k + 1.0) * (k + 1.0));
        for (int twice = 0; twice < 2; twice++) {
            for (int i = 0; i < TERMS; i++) {
                f[i] = (i + 1.0) * f[i + 1];
            }
            f[TERMS] = 0.0;
        }
    }
    *along = hr * at->nr + hz * at->nz;
    return potential;
}

/* Gauss and Jordan, without pivots: the systems are diagonally heavy or positive. */
static void eliminate(int n, int columns, double *a, int stride)
{
    for (int i = 0; i < n; i++) {
        for (int r = 0; r < n; r++) {
            double by = r == i ? 0.0 : a[r * stride + i] / a[i * stride + i];
            for (int k = i; by != 0.0 && k < n + columns; k++) {
                a[r * stride + k] -= by * a[i * stride + k];
            }
        }
    }
    for (int i = 0; i < n; i++) {
        for (int k = n; k < n + columns; k++) {
            a[i * stride + k] /= a[i * stride + i];
        }
    }
}

/* Y_jk: the moments in the harmonics k of the charge that the harmonic j makes, over the volume. */
static void response(double radius, double y[TERMS][TERMS])
{
    static struct ring ring[RINGS];
    static double a[RINGS][RINGS + TERMS];
    make_rings(ring, radius);
    for (int i = 0; i < RINGS; i++) {
        for (int k = 0; k < RINGS; k++) {
            a[i][k] = i == k ? 0.0 : -field_along(&ring[i], &ring[k]);
        }
        for (int j = 0; j < TERMS; j++) {
            harmonic(j, &ring[i], &a[i][RINGS + j]);
        }
    }
    for (int k = 0; k < RINGS; k++) { /* half of a charge's flux leaves through the surface: Gauss's law */
        double flux = 0.0;
        for (int i = 0; i < RINGS; i++) {
            flux -= i == k ? 0.0 : a[i][k] * ring[i].area;
        }
        a[k][k] = 1.0 / reference_chi + flux / ring[k].area;
    }
    eliminate(RINGS, TERMS, &a[0][0], RINGS + TERMS);
    for (int j = 0; j < TERMS; j++) {
        for (int k = 0; k < TERMS; k++) {
            double unused;
            y[j][k] = 0.0;
            for (int i = 0; i < RINGS; i++) {
                y[j][k] += a[i][RINGS + j] * harmonic(k, &ring[i], &unused) * ring[i].area;
            }
            y[j][k] /= 2.0 * pi * radius * radius;
        }
    }
}

/* From Legendre terms on the axis to those of the mean over the section: as axis_to_section() of dsp/rods.c. */
static void section_of_axis(double radius, double t[TERMS][TERMS])
{
    double k = radius * radius / 8.0;
    for (int i = 0; i < TERMS; i++) {
        for (int j = 0; j < TERMS; j++) {
            t[i][j] = i == j;
        }
    }
    t[0][2] = -3.0 * k;
    t[0][4] = -10.0 * k;
    t[1][3] = -15.0 * k;
    t[2][4] = -35.0 * k;
}

/* E = G X^-1 G - G/chi, X^-1 = T Y^-1 T'. */
static void of_own(double aspect, double e[TERMS][TERMS])
{
    double radius = 1.0 / aspect, y[TERMS][TERMS], t[TERMS][TERMS], a[TERMS][2 * TERMS] = {{0.0}};
    response(radius, y);
    section_of_axis(radius, t);
    for (int i = 0; i < TERMS; i++) {
        for (int k = 0; k < TERMS; k++) {
            a[i][k] = 0.5 * (y[i][k] + y[k][i]);
        }
        a[i][TERMS + i] = 1.0;
    }
    eliminate(TERMS, TERMS, &a[0][0], 2 * TERMS);
    for (int j = 0; j < TERMS; j++) {
        for (int k = 0; k < TERMS; k++) {
            double x = 0.0;
            for (int p = 0; p < TERMS; p++) {
                for (int q = 0; q < TERMS; q++) {
                    x += t[j][p] * a[p][TERMS + q] * t[k][q];
                }
            }
            double g = 1.0 / ((2 * j + 1) * (2 * k + 1));
            e[j][k] = g * x - (j == k ? 1.0 / ((2 * j + 1) * reference_chi) : 0.0);
        }
    }
}

/* ---- the file ---------------------------------------------------------------------------------- */

static double own_energy(int j, int k, double aspect)
{
    static double e[TERMS][TERMS], last;
    if (aspect != last) {
        of_own(aspect, e);
        last = aspect;
    }
    return e[j][k];
}

static double even_energy(int j, int k, double aspect)
{
    return (j == k ? 1.0 / (2 * j + 1) : 0.0) - over_distances(j, k, circles, aspect);
}

static double others_energy(int j, int k, double spacing) { return over_distances(j, k, dipoles, spacing); }

static void print_rows(const char *name, int rows, double first, double step,
                       double (*energy)(int j, int k, double parameter))
{
    printf("static const double %s_rows[][PAIRS] = {\n", name);
    for (int i = 0; i < rows; i++) {
        double at = first * exp(step * i);
        printf("    {");
        for (int k = 0; k < PAIRS; k++) {
            printf("%s%.8f", k ? ", " : "", energy(pair_of[k][0], pair_of[k][1], at));
        }
        printf("},\n");
    }
    printf("};\n");
}

int main(void)
{
    const double own_first = 2.0, others_first = 0.15, step = log(2.0) / 4.0;
    printf("/* SPDX-License-Identifier: ISC */\n/* Made by dsp/tables/rods.c (`make tables`). */\n");
    printf("enum { OWN_ROWS = %d, OTHERS_ROWS = %d };\n", OWN_ROWS, OTHERS_ROWS);
    printf("static const double own_first = %.17g, others_first = %.17g, rows_step = %.17g;\n", own_first, others_first,
           step);
    print_rows("own", OWN_ROWS, own_first, step, own_energy);
    print_rows("even", OWN_ROWS, own_first, step, even_energy);
    print_rows("others", OTHERS_ROWS, others_first, step, others_energy);
    return 0;
}
