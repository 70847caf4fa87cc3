/* SPDX-License-Identifier: ISC */
/* Makes dsp/skin_table.inc: two branches, an inductance with a resistance across it each, the rest without loss, and a
 * tail, what a conductance across all of the coil's inductance takes off it, that stand for
 * 1/(1 + sqrt(s/(2 pi corner))) in a coil that rings at a frequency of its own.
 *
 * What counts is decibels: of a usual pickup's impedance to 20 kHz, where its own resonance magnifies an error most, of
 * its response to 10 kHz with cables of 0.5 to 10 m, and of a pair that a capacitor splits. For small errors all of
 * them are linear in the error of the inductance. For two corners the inductances follow by weighted least squares; the
 * weights go to where the error is largest (C. L. Lawson's way to the least maximum, 1961, from memory); the corners by
 * a pattern search (R. Hooke and T. A. Jeeves, J. ACM 8, 1961). A row starts from its neighbour. */
#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "constants.h"

enum {
    CORNERS = 13,
    RESONANCES = 9,
    EVEN = 56,
    ROUND = 20,
    POINTS = EVEN + ROUND,
    LOADS = 4,
    SIGHTS = 2 * LOADS + 4,
    LINES = POINTS * SIGHTS
};
enum { ROUNDS = 25, TAIL = 3, UNKNOWNS = 4 };

static const double tau = CW_TAU, from_hz = 30.0, to_hz = 20e3;

/* The usual coil: some half of its inductance at rest in the rods (steel slugs 49 %, screws 56 %, by the model), 290 Hz
 * between its resistance and its inductance. */
static const double rods = 0.54, slow_hz = 290.0;

/* By that much more of a tail errors are least in the network itself: the sights are straight lines, it is not. */
static const double more_tail = 1.02;

/* Usual loads: cables of 0.5 to 10 m and an input, farad; controls and input, siemens. */
static const double load[LOADS] = {150e-12, 350e-12, 600e-12, 1100e-12}, siemens = 1.0 / 200e3;

/* Of a pair: what a split's capacitor stands across, as a share of the inductance at the leads; and 22 nF. */
static const double half = 0.40, split_farad = 22e-9;

/* Inductance at the leads of a usual pickup that rings at own_hz by itself, henry: a pair of some 4 H at 10 kHz, one
 * coil of 1.7 H at 14.5 kHz, two in parallel of 1 H at 18 kHz, by the model. */
static double usual_henry(double own_hz) { return fmin(4.0 * pow(10e3 / own_hz, 2.4), 6.0); }

/* Above it there is hardly a pair in series to be split. */
static const double split_below = 11e3;

/* Bounds of the errors, dB: of the impedance, of which 0.1 is asked, and the response. */
static const double z_bound = 0.07, h_bound = 0.12, h_to = 10e3;

/* Bound of what is lost, as a share of the resistance in series, round the usual resonances: what a bench reads as
 * loss. Ours. */
static const double loss_bound = 0.025, loss_from = 1.5e3, loss_to = 8e3;

struct fit {
    double l[UNKNOWNS]; /* of both branches, and the rest; the tail, microseconds */
    double worst;       /* over its bound */
};

/* By how much, over its bound, an error of the inductance of 1 is seen at a frequency; and where it is the tail's,
 * through which the EMF does not pass. */
struct sight {
    int point;
    double complex inductance, tail;
};

struct goal {
    double complex s[POINTS], want[POINTS], whole[POINTS];
    struct sight sight[LINES];
    int sights;
};

static void see(struct goal *goal, int point, double complex emf, double complex network)
{
    goal->sight[goal->sights++] = (struct sight){point, emf + network, network};
}

/* Of the response with an admittance across the coil, for each henry at the leads. */
static double complex across(double complex s, double complex z, double complex y) { return -s * y / (1.0 + z * y); }

static void set_point(struct goal *goal, int i, double hz, double corner, double own_hz)
{
    const double db = 20.0 / log(10.0), own = 1.0 / pow(tau * own_hz, 2.0), h = db * rods / h_bound;
    const double henry = usual_henry(own_hz), split = own_hz < split_below ? henry * half * split_farad : 0.0;
    double complex s = I * tau * hz, want = 1.0 / (1.0 + csqrt(I * hz / corner)), l = 1.0 - rods + rods * want;
    double complex z = tau * slow_hz + s * l, part = 1.0 / (1.0 + s * split * z);
    double complex of_z = db * rods / z_bound * s / z / (1.0 + s * own * z);
    goal->s[i] = s;
    goal->want[i] = want;
    goal->whole[i] = l;
    see(goal, i, 0.0, of_z);
    if (split > 0.0) {
        see(goal, i, 0.0, of_z * (1.0 + part * part) / (1.0 + part));
    }
    if (hz > h_to) {
        return;
    }
    see(goal, i, h / l, -h * part * part / (1.0 + part) * s * s * split);
    if (hz > loss_from && hz < loss_to) {
        see(goal, i, 0.0, rods / loss_bound * s / creal(z));
    }
    for (int k = 0; k < LOADS; k++) {
        double complex y = s * (own + henry * load[k]) + henry * siemens;
        see(goal, i, h / l, h * across(s, z, y));
        if (split > 0.0) { /* and what a split leaves */
            see(goal, i, h / l, h * across(s, z, s * own + half * (y - s * own)));
        }
    }
}

static void set_goal(struct goal *goal, double corner, double own_hz)
{
    goal->sights = 0;
    for (int i = 0; i < EVEN; i++) {
        set_point(goal, i, from_hz * pow(to_hz / from_hz, i / (EVEN - 1.0)), corner, own_hz);
    }
    for (int i = 0; i < ROUND; i++) { /* where the coil rings by itself, as its inductance has fallen there */
        set_point(goal, EVEN + i, fmin(own_hz * (0.9 + 0.02 * i), to_hz), corner, own_hz);
    }
}

static void solve(double a[UNKNOWNS][UNKNOWNS + 1], double x[UNKNOWNS])
{
    for (int i = 0; i < UNKNOWNS; i++) {
        for (int r = i + 1; r < UNKNOWNS; r++) {
            double by = a[r][i] / a[i][i];
            for (int k = i; k <= UNKNOWNS; k++) {
                a[r][k] -= by * a[i][k];
            }
        }
    }
    for (int i = UNKNOWNS - 1; i >= 0; i--) {
        x[i] = a[i][UNKNOWNS];
        for (int k = i + 1; k < UNKNOWNS; k++) {
            x[i] -= a[i][k] * x[k];
        }
        x[i] /= a[i][i];
    }
}

/* The linear problem for two corners: a line for each sight, in decibels over their bound. */
static void set_lines(const struct goal *goal, const double log_corner[2], double line[LINES][UNKNOWNS + 1])
{
    const double slow[2] = {1.0 / (tau * exp(log_corner[0])), 1.0 / (tau * exp(log_corner[1]))};
    for (int i = 0; i < goal->sights; i++) {
        const struct sight *sight = &goal->sight[i];
        double complex s = goal->s[sight->point], seen = sight->inductance;
        line[i][0] = creal(seen / (1.0 + s * slow[0]));
        line[i][1] = creal(seen / (1.0 + s * slow[1]));
        line[i][2] = creal(seen);
        line[i][UNKNOWNS] = creal(seen * goal->want[sight->point]);
    }
}

/* What a conductance g across an inductance m leaves is l = m/(1 + s g m): m stands over l by s g l^2/(1 - s g l). */
static void set_tails(const struct goal *goal, double tail, double line[LINES][UNKNOWNS + 1])
{
    for (int i = 0; i < goal->sights; i++) {
        const struct sight *sight = &goal->sight[i];
        double complex l = goal->whole[sight->point], sl = goal->s[sight->point] * 1e-6 * l;
        line[i][TAIL] = creal(sight->tail * -sl * l / (1.0 - rods * tail * sl));
    }
}

/* Least squares of the lines by their weights. */
static void least_squares(int lines, const double line[LINES][UNKNOWNS + 1], const double weight[LINES],
                          double l[UNKNOWNS])
{
    double a[UNKNOWNS][UNKNOWNS + 1] = {{0.0}};
    for (int i = 0; i < lines; i++) {
        for (int r = 0; r < UNKNOWNS; r++) {
            for (int k = r; k <= UNKNOWNS; k++) {
                a[r][k] += weight[i] * line[i][r] * line[i][k];
            }
        }
    }
    for (int r = 1; r < UNKNOWNS; r++) {
        for (int k = 0; k < r; k++) {
            a[r][k] = a[k][r];
        }
    }
    solve(a, l);
}

static struct fit inductances(const struct goal *goal, const double log_corner[2])
{
    static double line[LINES][UNKNOWNS + 1], weight[LINES];
    struct fit fit = {.l[TAIL] = 1.0};
    set_lines(goal, log_corner, line);
    for (int i = 0; i < goal->sights; i++) {
        weight[i] = 1.0 / goal->sights;
    }
    for (int round = 0; round < ROUNDS; round++) {
        double sum = 0.0;
        set_tails(goal, fit.l[TAIL], line);
        least_squares(goal->sights, (const double(*)[UNKNOWNS + 1]) line, weight, fit.l);
        fit.worst = 0.0;
        for (int i = 0; i < goal->sights; i++) {
            double *of = line[i];
            double error =
                fabs(fit.l[0] * of[0] + fit.l[1] * of[1] + fit.l[2] * of[2] + fit.l[TAIL] * of[TAIL] - of[UNKNOWNS]);
            fit.worst = fmax(fit.worst, error);
            weight[i] *= error + 1e-6;
            sum += weight[i];
        }
        for (int i = 0; i < goal->sights; i++) {
            weight[i] /= sum;
        }
    }
    return fit;
}

static struct fit search(const struct goal *goal, double log_corner[2])
{
    struct fit best = inductances(goal, log_corner);
    for (double step = 0.2; step > 1e-3; step *= 0.5) {
        for (int moved = 1; moved;) {
            moved = 0;
            for (int way = 0; way < 8; way++) {
                static const double to[8][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}};
                double trial[2] = {log_corner[0] + step * to[way][0], log_corner[1] + step * to[way][1]};
                struct fit fit = inductances(goal, trial);
                if (fit.worst < best.worst * (1.0 - 1e-9) && fit.l[0] > 0.0 && fit.l[1] > 0.0 && fit.l[TAIL] > 0.0) {
                    best = fit;
                    memcpy(log_corner, trial, sizeof trial);
                    moved = 1;
                }
            }
        }
    }
    return best;
}

int main(void)
{
    const double corner_first = 1000.0, corner_step = log(2.0), own_first = 4525.0, own_step = 0.25;
    double start[2] = {log(400.0), log(6000.0)};
    printf("/* SPDX-License-Identifier: ISC */\n/* Made by dsp/tables/skin.c (`make tables`). */\n/* clang-format off "
           "*/\n");
    printf("enum { SKIN_CORNERS = %d, SKIN_RESONANCES = %d };\n", CORNERS, RESONANCES);
    printf("static const double skin_corner_first = %.17g, skin_corner_step = %.17g;\n", corner_first, corner_step);
    printf("static const double skin_own_first = %.17g, skin_own_step = %.17g;\n", own_first, own_step);
    printf("static const double skin_rows[SKIN_CORNERS][SKIN_RESONANCES][6] = {\n");
    for (int i = 0; i < CORNERS; i++) {
        double log_corner[2] = {start[0], start[1]};
        printf("    {\n");
        for (int k = 0; k < RESONANCES; k++) {
            static struct goal goal;
            set_goal(&goal, corner_first * exp(corner_step * i), own_first * exp(own_step * k));
            struct fit fit = search(&goal, log_corner);
            if (k == 0) {
                memcpy(start, log_corner, sizeof start);
            }
            double left = 1.0 - rods + rods * fit.l[2]; /* the whole part that does not lose */
            printf("        {%.6f, %.6f, %.6f, %.6f, %.6f, %.6f},\n", fit.l[0], fit.l[1], fit.l[2], log_corner[0],
                   log_corner[1], more_tail * fit.l[TAIL] * left * left);
        }
        printf("    },\n");
    }
    printf("};\n");
    return 0;
}
