/* SPDX-License-Identifier: ISC */
#include "core.h"

#include <math.h>
#include <stdint.h>

#include "complex_math.h"
#include "constants.h"
#include "lanes.h"
#include "polynomial.h"

/* For an inductance of 1, each corner and each resonance of the coil itself: the two branches' inductances, what stands
 * beside them, the logarithms of the branches' corners in hertz, and the tail in microseconds. */
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

enum { ROW = 6 };

static struct cw_inductor bare_skin(const struct cw_skin *skin, double own_hz)
{
    double t, u, row[ROW];
    int i = row_below(skin->corner, skin_corner_first, skin_corner_step, SKIN_CORNERS, &t);
    int k = row_below(own_hz, skin_own_first, skin_own_step, SKIN_RESONANCES, &u);
    for (int n = 0; n < ROW; n++) {
        row[n] = (1.0 - t) * ((1.0 - u) * skin_rows[i][k][n] + u * skin_rows[i][k + 1][n]) +
                 t * ((1.0 - u) * skin_rows[i + 1][k][n] + u * skin_rows[i + 1][k + 1][n]);
    }
    double l1 = skin->inductance * row[0], l2 = skin->inductance * row[1];
    return (struct cw_inductor){skin->beside + skin->inductance * row[2],
                                {{l1, l1 * CW_TAU * exp(row[3])}, {l2, l2 * CW_TAU * exp(row[4])}},
                                skin->inductance * row[5] * 1e-6};
}

/* Deep in the skin effect 1/mu_c = (sqrt(s t)/2 + 1/4)/mu, with t the rod's time constant. */
static struct cw_inductor skin_rods(double air, struct cw_rods_share share, double mu, double t, struct cw_metal metal,
                                    double own_hz)
{
    double n = share.demagnetising, outside = share.henry / (1.0 - n);
    double b = 1.0 + (1.0 - n) / (4.0 * n * mu);
    double root = 2.0 * mu * n * b / (1.0 - n);
    struct cw_skin skin = {air - outside, outside / (n * b), root * root / (CW_TAU * t)};
    /* More than at rest, where there is no skin yet. */
    double rest = air + share.henry * (mu - 1.0) / (1.0 + n * (mu - 1.0));
    return cw_core_skin(&skin, metal, own_hz * sqrt(rest / (skin.beside + skin.inductance)));
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
    return (struct cw_inductor){air + rest - branch, {{branch, branch * omega / slow}}, 0.0};
}

double cw_core_at_rest(double air, struct cw_rods_share share, struct cw_core_material material)
{
    double chi = material.permeability - 1.0;
    return air + share.henry * chi / (1.0 + share.demagnetising * chi);
}

struct cw_inductor cw_core_inductor(double air, struct cw_rods_share share, struct cw_core_material material,
                                    double radius, struct cw_metal metal, double own_hz)
{
    static const double slowest = 1e-7; /* second: below, nothing is lost within reach of hearing */
    double mu = material.permeability;
    double t = radius * radius * mu * CW_MU0 * material.conductivity;
    if (t >= slowest && share.demagnetising * mu > 2.0) {
        return skin_rods(air, share, mu, t, metal, own_hz);
    }
    struct cw_inductor inductor = {.lossless = cw_core_at_rest(air, share, material)};
    if (t >= slowest) {
        inductor = slow_rods(air, share, mu, t, own_hz);
    }
    cw_core_add_metal(&inductor, metal);
    return inductor;
}

/* ---- metal ------------------------------------------------------------------------------------- */

enum { POINTS = 18, ROOM = 20 /* whole vectors */, UNKNOWNS = 6, TAIL = 4, REST = 5, STEPS = 5 };

/* The inductor during the fit: logarithms of the branches' inductances and corners, the tail's conductance, and by how
 * much there is more inductance at rest than before. */
struct pair {
    double log_l[2], log_corner[2], siemens, more;
};

/* Where the core and the metal are to be met, 60 Hz to 18 kHz: what they lose of what is there at rest; what a
 * conductance g across an inductance takes off it until l is left, s g l^2 + (s g)^2 l^3; how much the square of an
 * error counts. */
struct goal {
    double omega[ROOM], counts[ROOM]; /* what fills the last vector up counts nothing */
    double lost_re[ROOM], lost_im[ROOM], tail_re[ROOM], tail_im[ROOM], tail2_re[ROOM], tail2_im[ROOM];
};

/* What the goal is made of: the frequencies, their logarithms over the coil's own resonance, and how much there are
 * pairs that ring there. */
struct asked {
    const struct cw_skin *skin;
    struct cw_branch metal;
    double rest, own_hz, pairs;
    double hz[ROOM], over_own[ROOM];
};

/* What the sums over the frequencies need of the inductor: the branches' inductances and time constants as they are. */
struct fitted {
    double l[2], time[2], siemens, more;
};

#define KERNEL(name) name##_2
#define LANES 2
#include "core_kernel.inc"

#define KERNEL(name) name##_4
#define LANES 4
#include "core_kernel.inc"

CW_FOUR_LANES static void set_goal_four(const struct asked *asked, struct goal *goal) { set_goal_4(asked, goal); }

CW_FOUR_LANES static void sum_points_four(const struct fitted *f, const struct goal *goal,
                                          double a[UNKNOWNS][UNKNOWNS + 1])
{
    sum_points_4(f, goal, a);
}

static void set_goal(const struct cw_skin *skin, double rest, struct cw_branch metal, double own_hz, struct goal *goal)
{
    static const double narrower = 0.986, log_narrower = -0.014098924379501648;
    double third = own_hz * own_hz * own_hz / (11.5e3 * 11.5e3 * 11.5e3);
    struct asked asked = {skin, metal, rest, own_hz, 1.0 / (1.0 + third * third * third * third), {0.0}, {0.0}};
    double hz = 60.0, ratio = 1.5685, log_ratio = 0.45011974864859577, over_own = log(hz / own_hz);
    for (int k = 0; k < ROOM; k++) {
        asked.hz[k] = hz;
        asked.over_own[k] = over_own;
        hz *= ratio;
        over_own += log_ratio;
        ratio *= narrower;
        log_ratio += log_narrower;
    }
    if (cw_has_four_lanes()) {
        set_goal_four(&asked, goal);
    } else {
        set_goal_2(&asked, goal);
    }
    for (int k = POINTS; k < ROOM; k++) {
        goal->counts[k] = 0.0;
    }
}

static void add_points(const struct pair *pair, const struct goal *goal, double a[UNKNOWNS][UNKNOWNS + 1])
{
    const struct fitted f = {{exp(pair->log_l[0]), exp(pair->log_l[1])},
                             {exp(-pair->log_corner[0]), exp(-pair->log_corner[1])},
                             pair->siemens,
                             pair->more};
    if (cw_has_four_lanes()) {
        sum_points_four(&f, goal, a);
    } else {
        sum_points_2(&f, goal, a);
    }
}

/* Solve a positive symmetric system, of which the upper half is given, by elimination; the answer stands in the last
 * column. */
static void eliminate(double a[UNKNOWNS][UNKNOWNS + 1])
{
    for (int i = 0; i < UNKNOWNS; i++) {
        double over = 1.0 / a[i][i];
        for (int r = i + 1; r < UNKNOWNS; r++) {
            double by = a[i][r] * over;
            for (int k = r; k <= UNKNOWNS; k++) {
                a[r][k] -= by * a[i][k];
            }
        }
        a[i][UNKNOWNS] *= over;
        for (int k = i + 1; k < UNKNOWNS; k++) {
            a[i][k] *= over;
        }
    }
    for (int i = UNKNOWNS - 1; i > 0; i--) {
        for (int r = 0; r < i; r++) {
            a[r][UNKNOWNS] -= a[r][i] * a[i][UNKNOWNS];
        }
    }
}

/* A step of Levenberg and Marquardt's with a fixed damping, and none longer than a factor of e^0.7. */
static void improve(struct pair *pair, const struct goal *goal)
{
    double a[UNKNOWNS][UNKNOWNS + 1];
    add_points(pair, goal, a);
    double trace = a[0][0] + a[1][1] + a[2][2] + a[3][3];
    a[TAIL][TAIL] *= 1.0 + 1e-4;
    a[REST][REST] *= 1.0 + 1e-4;
    for (int i = 0; i < TAIL; i++) {
        a[i][i] += 1e-4 * a[i][i] + 1e-7 * trace;
    }
    eliminate(a);
    for (int i = 0; i < 2; i++) {
        pair->log_l[i] += fmin(fmax(a[i][UNKNOWNS], -0.7), 0.7);
        pair->log_corner[i] += fmin(fmax(a[2 + i][UNKNOWNS], -0.7), 0.7);
    }
    pair->siemens += a[TAIL][UNKNOWNS];
    pair->more += a[REST][UNKNOWNS];
}

/* Two of the three put together: one inductance, its corner in between. */
static struct cw_branch together(struct cw_branch one, struct cw_branch other)
{
    double l = one.inductance + other.inductance;
    double log_corner = one.inductance / l * log(one.resistance / one.inductance) +
                        other.inductance / l * log(other.resistance / other.inductance);
    return (struct cw_branch){l, l * exp(log_corner)};
}

/* Start from the metal's branch joined to the two of the core by how near its corner is to theirs, and the core's tail;
 * so the result moves steadily with every value. */
static struct pair start_of(const struct cw_inductor *core, struct cw_branch metal)
{
    double corner[2], own = log(metal.resistance / metal.inductance);
    for (int i = 0; i < 2; i++) {
        corner[i] = log(core->branch[i].resistance / core->branch[i].inductance);
    }
    double to_second = fmin(fmax((own - corner[0]) / (corner[1] - corner[0]), 0.01), 0.99);
    double share[2] = {1.0 - to_second, to_second}, left = core->lossless - metal.inductance;
    struct pair pair = {.siemens = core->tail / (left * left)};
    for (int i = 0; i < 2; i++) {
        struct cw_branch part = {metal.inductance * share[i], metal.resistance * share[i]};
        struct cw_branch joined = together(core->branch[i], part);
        pair.log_l[i] = log(joined.inductance);
        pair.log_corner[i] = log(joined.resistance / joined.inductance);
    }
    return pair;
}

static double at_rest(const struct cw_inductor *inductor)
{
    return inductor->lossless + inductor->branch[0].inductance + inductor->branch[1].inductance;
}

/* Core and metal, from the core's own two branches. */
static void reduce(const struct cw_skin *skin, struct cw_branch metal, double own_hz, struct cw_inductor *inductor)
{
    /* Of what the core leaves to the metal and to what does not lose; and of the whole inductance at rest. */
    static const double least = 0.05, most_more = 0.02;
    double rest = at_rest(inductor);
    struct goal goal;
    set_goal(skin, rest, metal, own_hz, &goal);
    struct pair pair = start_of(inductor, metal);
    for (int i = 0; i < STEPS; i++) {
        improve(&pair, &goal);
    }
    double l[2] = {exp(pair.log_l[0]), exp(pair.log_l[1])}, kept = least * inductor->lossless;
    rest += fmin(fmax(pair.more, -most_more * rest), most_more * rest);
    double fits = fmin((rest - kept) / (l[0] + l[1]), 1.0);
    for (int i = 0; i < 2; i++) {
        l[i] *= fits;
        inductor->branch[i] = (struct cw_branch){l[i], l[i] * exp(pair.log_corner[i])};
    }
    inductor->lossless = rest - l[0] - l[1];
    inductor->tail = fmax(pair.siemens, 0.0) * inductor->lossless * inductor->lossless;
}

static struct cw_branch branch_of(const struct cw_inductor *inductor, struct cw_metal metal)
{
    static const double most = 0.9;
    double henry = fmin(metal.share * at_rest(inductor), most * inductor->lossless);
    return (struct cw_branch){henry, henry * CW_TAU * metal.corner};
}

struct cw_inductor cw_core_skin(const struct cw_skin *skin, struct cw_metal metal, double own_hz)
{
    struct cw_inductor inductor = bare_skin(skin, own_hz);
    struct cw_branch branch = branch_of(&inductor, metal);
    if (branch.inductance > 0.0) {
        reduce(skin, branch, own_hz, &inductor);
    }
    return inductor;
}

void cw_core_add_metal(struct cw_inductor *inductor, struct cw_metal metal)
{
    struct cw_branch branch = branch_of(inductor, metal);
    int free = inductor->branch[0].inductance > 0.0 ? 1 : 0;
    if (branch.inductance > 0.0) {
        inductor->lossless -= branch.inductance;
        inductor->branch[free] = branch;
    }
}
