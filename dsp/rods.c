/* SPDX-License-Identifier: ISC */
#include "rods.h"

#include <math.h>
#include <stdbool.h>

#include "constants.h"
#include "cubic.h"
#include "lanes.h"

enum { TERMS = CW_RODS_TERMS, NODES = 5, ANGLES = 3, PAIRS = 9 };
_Static_assert(CW_RODS_ELEMENTS == 1 + (CW_RODS - 1) * ANGLES && CW_RODS_ELEMENTS % 2 == 0, "elements go by pairs");

/* Which two Legendre terms an energy of the table is of: even ones and odd ones do not meet. */
static const int pair_of[PAIRS][2] = {{0, 0}, {0, 2}, {0, 4}, {2, 2}, {2, 4}, {4, 4}, {1, 1}, {1, 3}, {3, 3}};

/* own, even: of a rod in its own field, by its length over its diameter. others: the mean over the six rods of
 * each in the fields of the other five, times the square of the length over the cross-section, by
 * their distance over the length. */
#include "rods_table.inc"

/* Gauss-Legendre nodes and weights on -1..1 (Abramowitz and Stegun, table 25.4). */
static const double node5[NODES] = {-0.9061798459386640, -0.5384693101056831, 0.0, 0.5384693101056831,
                                    0.9061798459386640};
static const double weight5[NODES] = {0.2369268850561891, 0.4786286704993665, 0.5688888888888889, 0.4786286704993665,
                                      0.2369268850561891};
/* Three more on a quarter turn: the cosines of the places. */
static const double cosine[ANGLES] = {0.9843708307906816, 0.7071067811865476, 0.1761081130682609};
static const double weight3[ANGLES] = {0.2777777777777778, 0.4444444444444444, 0.2777777777777778};

/* ---- the coil's field -------------------------------------------------------------------------- */

/* Places on the axes of the rods, as their distances from the two ends of the winding, one after the other. What
 * the current has of field there is a sum over the ends, each odd in its distance: worked out for all ends side by
 * side, so that the compiler makes vectors of it. The count is a multiple of LANES. */
enum { LANES = 4, ENDS = (2 * NODES + LANES - 1) / LANES * LANES };
struct ends {
    int count;
    double z[ENDS], z2[ENDS];
    double sum[ENDS];
};

/* Sums of angles between nothing and a quarter turn, as the product of complex numbers that have them, and how often
 * it has passed half a turn. */
struct turning {
    double re[ENDS], im[ENDS], halves[ENDS];
};

/* Two straight sheets of half width a, for the rod at a distance x from another. By the angle under which a rectangle
 * is seen: a sheet's current has the field of the charged strips at its edges (textbook). */
INLINE void turn_on(const struct ends *e, double a, double x, struct turning *t)
{
    double far = x * x + a * a;
    for (int i = 0; i < e->count; i++) {
        double c = a * sqrt(far + e->z2[i]), s = x * fabs(e->z[i]), re = t->re[i], im = t->im[i];
        t->re[i] = re * c - im * s;
        t->im[i] = re * s + im * c;
        t->halves[i] += (t->im[i] < 0.0) != (im < 0.0) ? 1.0 : 0.0;
    }
}

/* The angles at both ends of the winding, each with the sign of its distance; no place is beyond both. */
static double angles_at(const struct ends *e, const struct turning *t, int i)
{
    double re[2], im[2], halves = 0.0;
    for (int k = 0; k < 2; k++) {
        double way = t->im[i + k] < 0.0 ? -1.0 : 1.0, sign = copysign(1.0, e->z[i + k]);
        re[k] = way * t->re[i + k];
        im[k] = sign * way * t->im[i + k];
        halves += sign * t->halves[i + k];
    }
    double angle = atan2(re[0] * im[1] + im[0] * re[1], re[0] * re[1] - im[0] * im[1]);
    bool turned = angle < 0.0 && im[0] >= 0.0 && im[1] >= 0.0;
    return CW_PI * (halves + (turned ? 2.0 : 0.0)) + angle;
}

/* Elements of a cylinder as far from a place as the roots of r2 say, by pairs: one division for both. */
INLINE void add_elements(struct ends *e, const double r2[2], const double weight[2])
{
    for (int i = 0; i < e->count; i++) {
        double one = sqrt(r2[0] + e->z2[i]), other = sqrt(r2[1] + e->z2[i]);
        e->sum[i] += e->z[i] * (weight[0] * other + weight[1] * one) / (one * other);
    }
}

INLINE void add_turns(const struct cw_rods_turns *turns, double spacing, struct ends *e, struct turning *t)
{
    for (int i = 0; i < CW_RODS_BUILDS; i++) {
        for (int n = 1; n < CW_RODS; n++) {
            turn_on(e, turns->radius[i], n * spacing, t);
        }
        for (int k = 0; k < CW_RODS_ELEMENTS; k += 2) {
            add_elements(e, turns->r2[i] + k, turns->weight[i] + k);
        }
    }
}

static void add_turns_two(const struct cw_rods_turns *turns, double spacing, struct ends *e, struct turning *t)
{
    add_turns(turns, spacing, e, t);
}

CW_FOUR_LANES static void add_turns_four(const struct cw_rods_turns *turns, double spacing, struct ends *e,
                                         struct turning *t)
{
    add_turns(turns, spacing, e, t);
}

/* Two half cylinders of each radius, by Biot and Savart's law: from the rod in the centre, and from the others by a
 * quarter turn's three places. */
static void turns_of(const struct cw_rods_coil *coil, double spacing, struct cw_rods_turns *turns)
{
    for (int i = 0; i < CW_RODS_BUILDS; i++) {
        double a = coil->mean_radius + (i - 0.5) * coil->build / sqrt(3.0);
        turns->radius[i] = a;
        turns->r2[i][0] = a * a;
        turns->weight[i][0] = 0.5 * CW_PI;
        for (int k = 1; k < CW_RODS_ELEMENTS; k++) {
            const int away = (k + ANGLES - 1) / ANGLES; /* rods */
            double d = away * spacing, c = cosine[(k - 1) % ANGLES];
            turns->r2[i][k] = d * d + 2.0 * a * d * c + a * a;
            turns->weight[i][k] = 0.5 * CW_PI * weight3[(k - 1) % ANGLES] * a * (a + d * c) / turns->r2[i][k];
        }
    }
}

/* Field along the axis at some heights over the middle of the winding, the mean over the axes of the rods. */
static void coil_fields(const struct cw_rods_coil *coil, const struct cw_rods_in_coil *placed, const double *z,
                        int count, double *field)
{
    struct ends e = {.count = (2 * count + LANES - 1) / LANES * LANES};
    struct turning t;
    for (int i = 0; i < e.count; i++) {
        double at = i / 2 < count ? z[i / 2] : 0.0;
        e.z[i] = 0.5 * coil->height + (i % 2 == 0 ? at : -at);
        e.z2[i] = e.z[i] * e.z[i];
        t.re[i] = 1.0;
        t.im[i] = t.halves[i] = 0.0;
    }
    if (cw_has_four_lanes()) {
        add_turns_four(&placed->turns, placed->spacing, &e, &t);
    } else {
        add_turns_two(&placed->turns, placed->spacing, &e, &t);
    }
    for (int i = 0; i < count; i++) {
        double sum = e.sum[2 * i] + e.sum[2 * i + 1] + angles_at(&e, &t, 2 * i);
        field[i] = sum / (CW_PI * CW_RODS * CW_RODS_BUILDS * coil->height);
    }
}

/* ---- the rods ---------------------------------------------------------------------------------- */

static void legendre(double u, double p[TERMS])
{
    p[0] = 1.0;
    p[1] = u;
    for (int n = 1; n + 1 < TERMS; n++) {
        p[n + 1] = ((2 * n + 1) * u * p[n] - n * p[n - 1]) / (n + 1);
    }
}

/* From the axis of a rod to the mean over its section: a field without curl or sources falls off from the
 * axis by r^2/4 of its second derivative along it. */
static void axis_to_section(double diameter_over_length, double b[TERMS])
{
    double k = diameter_over_length * diameter_over_length / 8.0;
    b[0] -= k * (3.0 * b[2] + 10.0 * b[4]);
    b[1] -= k * 15.0 * b[3];
    b[2] -= k * 35.0 * b[4];
}

/* A row of a table between its rows, by a cubic in the logarithm. */
static void between_rows(const double (*rows)[PAIRS], int count, double first, double at, double row[PAIRS])
{
    double w[4];
    int i = cw_cubic_weights(log(at / first) / rows_step, count, w);
    for (int k = 0; k < PAIRS; k++) {
        row[k] = w[0] * rows[i][k] + w[1] * rows[i + 1][k] + w[2] * rows[i + 2][k] + w[3] * rows[i + 3][k];
    }
}

static void energies(struct cw_rods_in_coil *placed)
{
    const struct cw_rods *rods = &placed->rods;
    double own[PAIRS], even[PAIRS], others[PAIRS], slim = rods->length / rods->diameter;
    double section = CW_PI / 4.0 / (slim * slim);
    between_rows(own_rows, OWN_ROWS, own_first, slim, own);
    between_rows(even_rows, OWN_ROWS, own_first, slim, even);
    between_rows(others_rows, OTHERS_ROWS, others_first, placed->spacing / rods->length, others);
    for (int k = 0; k < PAIRS; k++) {
        int i = pair_of[k][0], j = pair_of[k][1];
        placed->energy[i][j] = placed->energy[j][i] = own[k] + section * others[k];
        placed->even[i][j] = placed->even[j][i] = even[k] + section * others[k];
    }
}

/* Middle of a rod over the middle of the winding. */
static double middle_of(const struct cw_rods *rods, const struct cw_rods_coil *coil)
{
    return 0.5 * coil->height + rods->above - 0.5 * rods->length;
}

void cw_rods_place(const struct cw_rods *rods, const struct cw_rods_coil *coil, struct cw_rods_in_coil *placed)
{
    *placed = (struct cw_rods_in_coil){.rods = *rods, .spacing = coil->straight / (CW_RODS - 1)};
    placed->volume = CW_RODS * CW_PI / 4.0 * rods->diameter * rods->diameter * rods->length;
    double middle = middle_of(rods, coil);
    double z[NODES], h[NODES];
    for (int i = 0; i < NODES; i++) {
        z[i] = middle + 0.5 * rods->length * node5[i];
    }
    turns_of(coil, placed->spacing, &placed->turns);
    coil_fields(coil, placed, z, NODES, h);
    for (int i = 0; i < NODES; i++) {
        double p[TERMS];
        legendre(node5[i], p);
        for (int j = 0; j < TERMS; j++) {
            placed->field[j] += 0.5 * (2 * j + 1) * weight5[i] * h[i] * p[j];
        }
    }
    axis_to_section(rods->diameter / rods->length, placed->field);
    energies(placed);
}

/* Solve (1/((2j + 1) chi) + E) m = f for the terms first, first + 2 ... by elimination; the matrix is
 * positive, so that no row need change its place. */
static void solve_parity(const struct cw_rods_in_coil *placed, const double energy[TERMS][TERMS], double chi, int first,
                         double m[TERMS])
{
    double a[3][4];
    int count = (TERMS - first + 1) / 2;
    for (int i = 0; i < count; i++) {
        int j = first + 2 * i;
        for (int k = 0; k < count; k++) {
            a[i][k] = energy[j][first + 2 * k];
        }
        a[i][i] += 1.0 / ((2 * j + 1) * chi);
        a[i][count] = placed->field[j] / (2 * j + 1);
    }
    for (int i = 0; i < count; i++) {
        for (int r = i + 1; r < count; r++) {
            double by = a[r][i] / a[i][i];
            for (int k = i; k <= count; k++) {
                a[r][k] -= by * a[i][k];
            }
        }
    }
    for (int i = count - 1; i >= 0; i--) {
        double rest = a[i][count];
        for (int k = i + 1; k < count; k++) {
            rest -= a[i][k] * m[first + 2 * k];
        }
        m[first + 2 * i] = rest / a[i][i];
    }
}

void cw_rods_magnetise(const struct cw_rods_in_coil *placed, double susceptibility, double magnetisation[TERMS])
{
    solve_parity(placed, placed->even, susceptibility, 0, magnetisation);
    solve_parity(placed, placed->even, susceptibility, 1, magnetisation);
}

/* What the rods add to the inductance of one turn: CW_MU0 times the integral of the magnetisation and the
 * coil's field for one ampere. */
static double added(const struct cw_rods_in_coil *placed, double chi)
{
    double m[TERMS], sum = 0.0;
    solve_parity(placed, placed->energy, chi, 0, m);
    solve_parity(placed, placed->energy, chi, 1, m);
    for (int j = 0; j < TERMS; j++) {
        sum += m[j] * placed->field[j] / (2 * j + 1);
    }
    return CW_MU0 * placed->volume * sum;
}

struct cw_rods_share cw_rods_added(const struct cw_rods_in_coil *placed, double one, double other)
{
    /* 1/added = 1/(henry chi) + N/henry: a straight line in 1/chi. */
    double y1 = 1.0 / added(placed, one), y2 = 1.0 / added(placed, other);
    double slope = (y2 - y1) / (1.0 / other - 1.0 / one);
    struct cw_rods_share share = {1.0 / slope, (y1 - slope / one) / slope};
    return share;
}

/* ---- the field at the string ------------------------------------------------------------------- */

/* Charges at heights below the string, as many as go side by side; the field of each, and its slope. */
enum { CHARGES = (NODES + 2 + LANES - 1) / LANES * LANES };
struct charges {
    double charge[CHARGES], below[CHARGES];
    double field[CHARGES], slope[CHARGES];
};

/* One unit of charge for each area: of a disc on its axis, and of as much in points to the side. */
INLINE void set_fields(struct charges *c, double radius, double spacing)
{
    for (int i = 0; i < CHARGES; i++) {
        double far2 = c->below[i] * c->below[i] + radius * radius, far = sqrt(far2);
        c->field[i] = 0.5 * (1.0 - c->below[i] / far);
        c->slope[i] = -0.5 * radius * radius / (far2 * far);
    }
    for (int n = 1; n < CW_RODS; n++) {
        double x2 = n * n * spacing * spacing, of_each = (2.0 * (CW_RODS - n) / CW_RODS) * 0.25 * radius * radius;
        for (int i = 0; i < CHARGES; i++) {
            double along = c->below[i], far2 = x2 + along * along, one = of_each / (far2 * sqrt(far2));
            c->field[i] += one * along;
            c->slope[i] += one * (x2 - 2.0 * along * along) / far2;
        }
    }
}

CW_FOUR_LANES static void set_fields_four(struct charges *c, double radius, double spacing)
{
    set_fields(c, radius, spacing);
}

/* All charges of a row of rods. */
static double of_charges(const struct cw_rods_in_coil *placed, struct charges *c, double *slope)
{
    double sum = 0.0, radius = 0.5 * placed->rods.diameter;
    if (cw_has_four_lanes()) {
        set_fields_four(c, radius, placed->spacing);
    } else {
        set_fields(c, radius, placed->spacing);
    }
    for (int i = 0; i < CHARGES; i++) {
        sum += c->charge[i] * c->field[i];
        *slope += c->charge[i] * c->slope[i];
    }
    return sum;
}

/* Derivative of a sum of Legendre terms, by the derivatives of the first five written out. */
static double derivative(const double m[TERMS], double u)
{
    return m[1] + 3.0 * u * m[2] + (7.5 * u * u - 1.5) * m[3] + (17.5 * u * u - 7.5) * u * m[4];
}

double cw_rods_field_above(const struct cw_rods_in_coil *placed, const struct cw_rods_coil *coil, const double m[TERMS],
                           double distance, double *slope)
{
    static const double step = 1e-4; /* metre: for the slope of the coil's own field */
    double length = placed->rods.length, z = 0.5 * coil->height + placed->rods.above + distance;
    double top = m[0] + m[1] + m[2] + m[3] + m[4], bottom = m[0] - m[1] + m[2] - m[3] + m[4];
    double around[2];
    coil_fields(coil, placed, (double[]){z - step, z + step}, 2, around);
    *slope = (around[1] - around[0]) / (2.0 * step);
    struct charges c = {{top, -bottom}, {distance, distance + length}, {0.0}, {0.0}};
    for (int i = 0; i < NODES; i++) { /* within the rod the charge is minus the magnetisation's slope */
        c.charge[2 + i] = -0.5 * weight5[i] * derivative(m, node5[i]);
        c.below[2 + i] = distance + 0.5 * length * (1.0 - node5[i]);
    }
    for (int i = 2 + NODES; i < CHARGES; i++) {
        c.below[i] = distance; /* of no charge */
    }
    return 0.5 * (around[0] + around[1]) + of_charges(placed, &c, slope);
}
