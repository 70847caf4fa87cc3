/* SPDX-License-Identifier: ISC */
#include "core.h"

#include <math.h>

#include "constants.h"

/* For an inductance of 1 and each corner: the two branches' inductances, what stands beside them, and the
 * logarithms of the branches' corners in hertz. */
#include "skin_table.inc"

/* ---- rods -------------------------------------------------------------------------------------- */

struct cw_inductor cw_core_skin(double inductance, double corner)
{
    double place = fmin(fmax(log(corner / skin_first) / skin_step, 0.0), SKIN_ROWS - 1.0);
    int i = (int)fmin(floor(place), SKIN_ROWS - 2.0);
    double t = place - i, row[5];
    for (int k = 0; k < 5; k++) {
        row[k] = (1.0 - t) * skin_rows[i][k] + t * skin_rows[i + 1][k];
    }
    double l1 = inductance * row[0], l2 = inductance * row[1];
    return (struct cw_inductor){inductance * row[2],
                                {{l1, l1 * 2.0 * CW_PI * exp(row[3])}, {l2, l2 * 2.0 * CW_PI * exp(row[4])}}};
}

/* Deep in the skin effect 1/mu_c = (sqrt(s t)/2 + 1/4)/mu, with t the rod's time constant. */
static struct cw_inductor skin_rods(double air, struct cw_rods_share share, double mu, double t)
{
    double n = share.demagnetising, outside = share.henry / (1.0 - n);
    double b = 1.0 + (1.0 - n) / (4.0 * n * mu);
    double root = 2.0 * mu * n * b / (1.0 - n);
    struct cw_inductor inductor = cw_core_skin(outside / (n * b), root * root / (2.0 * CW_PI * t));
    inductor.lossless += air - outside;
    return inductor;
}

/* Up to the square of the frequency mu_c = mu (1/4 + 3/4/(1 + s t/6)): a pole, which demagnetisation moves. */
static struct cw_inductor slow_rods(double air, struct cw_rods_share share, double mu, double t)
{
    double n = share.demagnetising, low = mu - 1.0, high = 0.25 * mu - 1.0;
    double l_low = share.henry * low / (1.0 + n * low), l_high = share.henry * high / (1.0 + n * high);
    double time = t / 6.0 * (1.0 + n * high) / (1.0 + n * low);
    double branch = l_low - l_high;
    return (struct cw_inductor){air + l_high, {{branch, branch / time}}};
}

double cw_core_at_rest(double air, struct cw_rods_share share, struct cw_core_material material)
{
    double chi = material.permeability - 1.0;
    return air + share.henry * chi / (1.0 + share.demagnetising * chi);
}

struct cw_inductor cw_core_inductor(double air, struct cw_rods_share share, struct cw_core_material material,
                                    double radius)
{
    static const double slowest = 1e-7; /* second: below, nothing is lost within reach of hearing */
    double mu = material.permeability;
    double t = radius * radius * mu * CW_MU0 * material.conductivity;
    if (t < slowest) {
        return (struct cw_inductor){.lossless = cw_core_at_rest(air, share, material)};
    }
    return share.demagnetising * mu > 2.0 ? skin_rods(air, share, mu, t) : slow_rods(air, share, mu, t);
}

/* ---- metal ------------------------------------------------------------------------------------- */

enum { POINTS = 10, UNKNOWNS = 4, STEPS = 5 };

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

/* Where the three branches are to be met: 60 Hz to 20 kHz, and what they lose there. How much the square of an error
 * counts is as in dsp/tables/skin.c, smoother. */
struct goal {
    double omega[POINTS];
    struct lost henry[POINTS];
};
static const double counts[POINTS] = {0.16, 0.5, 0.8, 1.0, 1.0, 2.0, 9.0, 25.0, 4.0, 0.2};

static struct goal goal_of(const struct cw_branch three[3])
{
    static const double ratio = 1.9069;
    struct goal goal;
    double omega = 2.0 * CW_PI * 60.0;
    for (int k = 0; k < POINTS; k++, omega *= ratio) {
        goal.omega[k] = omega;
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
                a[i][k] += counts[point] * (re[i] * re[k] + im[i] * im[k]);
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

static void reduce(struct cw_inductor *inductor, struct cw_branch metal)
{
    const struct cw_branch three[3] = {inductor->branch[0], inductor->branch[1], metal};
    double total = inductor->lossless;
    for (int i = 0; i < 3; i++) {
        total += three[i].inductance;
    }
    const struct goal goal = goal_of(three);
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

void cw_core_add_metal(struct cw_inductor *inductor, struct cw_metal metal)
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
    reduce(inductor, branch);
}
