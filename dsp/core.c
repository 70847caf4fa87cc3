/* SPDX-License-Identifier: ISC */
#include "core.h"

#include <math.h>

#include "complex_math.h"
#include "constants.h"
#include "polynomial.h"

/* For an inductance of 1, each corner and each resonance of the coil itself: the two branches' inductances, what stands
 * beside them, and the logarithms of the branches' corners in hertz. */
#include "skin_table.inc"

/* ---- rods -------------------------------------------------------------------------------------- */

/* Where a value stands between the rows of a table that are even in the logarithm: the row below, and how far on. */
static int row_below(double value, double first, double step, int rows, double *on)
{
    double place = fmin(fmax(log(value / first) / step, 0.0), rows - 1.0);
    int below = (int)fmin(floor(place), rows - 2.0);
    *on = place - below;
    return below;
}

struct cw_inductor cw_core_skin(double inductance, double corner, double own_hz)
{
    double t, u, row[5];
    int i = row_below(corner, skin_corner_first, skin_corner_step, SKIN_CORNERS, &t);
    int k = row_below(own_hz, skin_own_first, skin_own_step, SKIN_RESONANCES, &u);
    for (int n = 0; n < 5; n++) {
        row[n] = (1.0 - t) * ((1.0 - u) * skin_rows[i][k][n] + u * skin_rows[i][k + 1][n]) +
                 t * ((1.0 - u) * skin_rows[i + 1][k][n] + u * skin_rows[i + 1][k + 1][n]);
    }
    double l1 = inductance * row[0], l2 = inductance * row[1];
    return (struct cw_inductor){inductance * row[2],
                                {{l1, l1 * CW_TAU * exp(row[3])}, {l2, l2 * CW_TAU * exp(row[4])}}};
}

/* Deep in the skin effect 1/mu_c = (sqrt(s t)/2 + 1/4)/mu, with t the rod's time constant. */
static struct cw_inductor skin_rods(double air, struct cw_rods_share share, double mu, double t, double own_hz)
{
    double n = share.demagnetising, outside = share.henry / (1.0 - n);
    double b = 1.0 + (1.0 - n) / (4.0 * n * mu);
    double root = 2.0 * mu * n * b / (1.0 - n);
    struct cw_inductor inductor = cw_core_skin(outside / (n * b), root * root / (CW_TAU * t), own_hz);
    inductor.lossless += air - outside;
    return inductor;
}

/* 2 J1(z)/(z J0(z)) at z^2 = -j x, by the continued fraction of J1/J0 (Abramowitz and Stegun 9.1.73, from memory); for
 * x below some 50. */
static struct cw_complex bessel_ratio(double x)
{
    struct cw_complex tail = cw_c(1.0, 0.0);
    for (int n = 12; n >= 1; n--) {
        struct cw_complex term = cw_div(cw_c(0.0, x / (4.0 * n * (n + 1))), tail);
        tail = cw_c(1.0 + term.re, term.im);
    }
    return cw_div(cw_c(1.0, 0.0), tail);
}

/* A pole that is exact at rest and where the coil rings: of what is lost there, b j w T/(1 + j w T), the real part over
 * the imaginary one is w T. */
static struct cw_inductor slow_rods(double air, struct cw_rods_share share, double mu, double t, double own_hz)
{
    double omega = CW_TAU * fmin(own_hz, 50.0 / (CW_TAU * t)), n = share.demagnetising;
    double rest = share.henry * (mu - 1.0) / (1.0 + n * (mu - 1.0));
    struct cw_complex mu_c = bessel_ratio(omega * t), chi = cw_c(mu * mu_c.re - 1.0, mu * mu_c.im);
    struct cw_complex there = cw_div(chi, cw_c(1.0 + n * chi.re, n * chi.im));
    double lost = rest - share.henry * there.re, turned = -share.henry * there.im;
    double slow = lost / turned, branch = lost + turned / slow;
    return (struct cw_inductor){air + rest - branch, {{branch, branch * omega / slow}}};
}

double cw_core_at_rest(double air, struct cw_rods_share share, struct cw_core_material material)
{
    double chi = material.permeability - 1.0;
    return air + share.henry * chi / (1.0 + share.demagnetising * chi);
}

struct cw_inductor cw_core_inductor(double air, struct cw_rods_share share, struct cw_core_material material,
                                    double radius, double own_hz)
{
    static const double slowest = 1e-7; /* second: below, nothing is lost within reach of hearing */
    double mu = material.permeability;
    double t = radius * radius * mu * CW_MU0 * material.conductivity;
    if (t < slowest) {
        return (struct cw_inductor){.lossless = cw_core_at_rest(air, share, material)};
    }
    return share.demagnetising * mu > 2.0 ? skin_rods(air, share, mu, t, own_hz) : slow_rods(air, share, mu, t, own_hz);
}

/* ---- metal ------------------------------------------------------------------------------------- */

enum { POINTS = 14, UNKNOWNS = 4, STEPS = 5 };

/* What a branch loses of its inductance up to omega, as a share: x/(1 + x), x = j omega/corner. */
struct lost {
    double re, im;
};

static struct lost lost_of(double omega_over_corner)
{
    double x = omega_over_corner, size = 1.0 + x * x;
    return (struct lost){x * x / size, x / size};
}

/* The two branches during the fit: logarithms of inductance and corner. */
struct pair {
    double log_l[2], log_corner[2];
};

/* Where the three branches are to be met: 60 Hz to 20 kHz, what they lose there, and how much the square of an error
 * counts. */
struct goal {
    double omega[POINTS], counts[POINTS];
    struct lost henry[POINTS];
};

/* A resonance counts for the frequencies around it. off: the logarithm of the distance */
static double nearness(double off, double width)
{
    double square = off * off / (width * width);
    return 1.0 / (1.0 + square * square);
}

/* Round the usual loaded resonances an error is seen four times as well as elsewhere, round the coil's own seven
 * times, and hardly beyond it, where the capacitance rules. Metal and core leave it less inductance than at rest. */
static double counts(double hz, double own_hz, double log_of_ratio)
{
    static const double loaded = 1.0647107369924282, own = 0.18232155679395463; /* log 2.9, log 1.2 */
    double over = fmax(hz / (1.2 * own_hz), 1.0);
    double count =
        (1.0 + 3.0 * nearness(log_of_ratio + loaded, 0.7) + 6.0 * nearness(log_of_ratio - own, 0.35)) / (over * over);
    return count * count * hz / (hz + 60.0);
}

static struct goal goal_of(const struct cw_branch three[3], double own_hz)
{
    static const double ratio = 1.5634, log_ratio = 0.44686293680409295;
    struct goal goal;
    double hz = 60.0, off = log(hz / own_hz);
    for (int k = 0; k < POINTS; k++, hz *= ratio, off += log_ratio) {
        double omega = CW_TAU * hz;
        goal.omega[k] = omega;
        goal.counts[k] = counts(hz, own_hz, off);
        goal.henry[k] = (struct lost){0.0, 0.0};
        for (int i = 0; i < 3; i++) {
            struct lost want = lost_of(omega * three[i].inductance / three[i].resistance);
            goal.henry[k].re += three[i].inductance * want.re;
            goal.henry[k].im += three[i].inductance * want.im;
        }
    }
    return goal;
}

/* The linear problem: derivatives, and what is missing, at each frequency. */
static void add_points(const struct pair *pair, const struct goal *goal, double a[UNKNOWNS][UNKNOWNS + 1])
{
    const double l[2] = {exp(pair->log_l[0]), exp(pair->log_l[1])};
    const double time[2] = {exp(-pair->log_corner[0]), exp(-pair->log_corner[1])};
    for (int point = 0; point < POINTS; point++) {
        double re[UNKNOWNS + 1], im[UNKNOWNS + 1];
        re[UNKNOWNS] = goal->henry[point].re;
        im[UNKNOWNS] = goal->henry[point].im;
        for (int i = 0; i < 2; i++) {
            struct lost have = lost_of(goal->omega[point] * time[i]);
            re[UNKNOWNS] -= l[i] * have.re;
            im[UNKNOWNS] -= l[i] * have.im;
            re[i] = l[i] * have.re;
            im[i] = l[i] * have.im;
            /* d/d log corner of x/(1 + x) is -x/(1 + x)^2. */
            re[2 + i] = -l[i] * 2.0 * have.im * have.im;
            im[2 + i] = -l[i] * have.im * (1.0 - 2.0 * have.re);
        }
        for (int i = 0; i < UNKNOWNS; i++) {
            for (int k = 0; k <= UNKNOWNS; k++) {
                a[i][k] += goal->counts[point] * (re[i] * re[k] + im[i] * im[k]);
            }
        }
    }
}

/* Solve a positive symmetric system by elimination; the answer stands in the last column. */
static void eliminate(double a[UNKNOWNS][UNKNOWNS + 1])
{
    for (int i = 0; i < UNKNOWNS; i++) {
        for (int r = 0; r < UNKNOWNS; r++) {
            double by = r == i ? 0.0 : a[r][i] / a[i][i];
            for (int k = i; k <= UNKNOWNS; k++) {
                a[r][k] -= by * a[i][k];
            }
        }
    }
    for (int i = 0; i < UNKNOWNS; i++) {
        a[i][UNKNOWNS] /= a[i][i];
    }
}

/* A step of Levenberg and Marquardt's with a fixed damping, and none longer than a factor of e^0.7. */
static void improve(struct pair *pair, const struct goal *goal)
{
    double a[UNKNOWNS][UNKNOWNS + 1] = {{0.0}};
    add_points(pair, goal, a);
    double trace = a[0][0] + a[1][1] + a[2][2] + a[3][3];
    for (int i = 0; i < UNKNOWNS; i++) {
        a[i][i] += 1e-4 * a[i][i] + 1e-7 * trace;
    }
    eliminate(a);
    for (int i = 0; i < 2; i++) {
        pair->log_l[i] += fmin(fmax(a[i][UNKNOWNS], -0.7), 0.7);
        pair->log_corner[i] += fmin(fmax(a[2 + i][UNKNOWNS], -0.7), 0.7);
    }
}

/* Two of the three put together: one inductance, its corner in between. */
static struct cw_branch together(struct cw_branch one, struct cw_branch other)
{
    double l = one.inductance + other.inductance;
    double log_corner = one.inductance / l * log(one.resistance / one.inductance) +
                        other.inductance / l * log(other.resistance / other.inductance);
    return (struct cw_branch){l, l * exp(log_corner)};
}

/* Start from the metal's branch joined to the two of the core by how near its corner is to theirs; so the
 * result moves steadily with every value. */
static struct pair start_of(const struct cw_branch three[3])
{
    double corner[3];
    for (int i = 0; i < 3; i++) {
        corner[i] = log(three[i].resistance / three[i].inductance);
    }
    double to_second = fmin(fmax((corner[2] - corner[0]) / (corner[1] - corner[0]), 0.01), 0.99);
    struct cw_branch part[2] = {{three[2].inductance * (1.0 - to_second), three[2].resistance * (1.0 - to_second)},
                                {three[2].inductance * to_second, three[2].resistance * to_second}};
    struct pair pair;
    for (int i = 0; i < 2; i++) {
        struct cw_branch joined = together(three[i], part[i]);
        pair.log_l[i] = log(joined.inductance);
        pair.log_corner[i] = log(joined.resistance / joined.inductance);
    }
    return pair;
}

static void reduce(struct cw_inductor *inductor, struct cw_branch metal, double own_hz)
{
    const struct cw_branch three[3] = {inductor->branch[0], inductor->branch[1], metal};
    double total = inductor->lossless;
    for (int i = 0; i < 3; i++) {
        total += three[i].inductance;
    }
    const struct goal goal = goal_of(three, own_hz);
    struct pair pair = start_of(three);
    for (int i = 0; i < STEPS; i++) {
        improve(&pair, &goal);
    }
    for (int i = 0; i < 2; i++) {
        double l = exp(pair.log_l[i]);
        inductor->branch[i] = (struct cw_branch){l, l * exp(pair.log_corner[i])};
        total -= l;
    }
    inductor->lossless = total;
}

void cw_core_add_metal(struct cw_inductor *inductor, struct cw_metal metal, double own_hz)
{
    static const double most = 0.9;
    double all = inductor->lossless + inductor->branch[0].inductance + inductor->branch[1].inductance;
    double henry = fmin(metal.share * all, most * inductor->lossless);
    if (henry <= 0.0) {
        return;
    }
    struct cw_branch branch = {henry, henry * 2.0 * CW_PI * metal.corner};
    inductor->lossless -= henry;
    for (int i = 0; i < CW_BRANCHES; i++) {
        if (inductor->branch[i].inductance <= 0.0) {
            inductor->branch[i] = branch;
            return;
        }
    }
    reduce(inductor, branch, own_hz);
}
