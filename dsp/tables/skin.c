/* SPDX-License-Identifier: ISC */
/* Makes dsp/skin_table.inc: two branches, an inductance with a resistance across it each, and the rest
 * without loss, that stand for 1/(1 + sqrt(s/(2 pi corner))) in a coil that rings at a frequency of its own.
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

enum { CORNERS = 13, RESONANCES = 9, POINTS = 80, LOADS = 4, SIGHTS = 2 * LOADS + 3, LINES = POINTS * SIGHTS };
enum { ROUNDS = 25, UNKNOWNS = 3 };

static const double tau = CW_TAU, from_hz = 30.0, to_hz = 20e3;

/* The usual coil: half of its inductance at rest in the rods (steel slugs 48 %, screws 56 %, by the model), 330 Hz
 * between its resistance and its inductance. */
static const double rods = 0.5, slow_hz = 330.0;

/* Usual loads: cables of 0.5 to 10 m and an input, farad; controls and input, siemens. */
static const double load[LOADS] = {150e-12, 350e-12, 600e-12, 1100e-12}, siemens = 1.0 / 200e3;

/* Of a pair: what a split's capacitor stands across, as a share of the inductance at the leads; and 22 nF. */
static const double half = 0.44, split_farad = 22e-9;

/* Inductance at the leads of a usual pickup that rings at own_hz by itself, henry: a pair of some 4 H at 10 kHz, one
 * coil of 1.7 H at 14.5 kHz, two in parallel of 1 H at 18 kHz, by the model. */
static double usual_henry(double own_hz) { return fmin(4.0 * pow(10e3 / own_hz, 2.4), 6.0); }

/* Above it there is hardly a pair in series to be split. */
static const double split_below = 13e3;

/* Bounds that are asked of the errors, dB: of the impedance and the response. */
static const double z_bound = 0.1, h_bound = 0.12, h_to = 10e3;

/* Bound of what is lost, as a share of the resistance in series, round the usual resonances: what a bench reads as
 * loss. Ours. */
static const double loss_bound = 0.025, loss_from = 1.5e3, loss_to = 8e3;

struct fit {
    double l[UNKNOWNS]; /* of both branches, and the rest */
    double worst;       /* over its bound */
};

/* By how much, over its bound, an error of the inductance of 1 is seen at each frequency, in each of the sights. */
struct goal {
    double complex s[POINTS], want[POINTS], seen[POINTS][SIGHTS];
};

static double complex of_response(double complex s, double complex z, double complex l, double complex y)
{
    return 1.0 / l - s * y / (1.0 + z * y); /* the EMF falls as the inductance */
}

static void set_goal(struct goal *goal, double corner, double own_hz)
{
    const double db = 20.0 / log(10.0), own = 1.0 / pow(tau * own_hz, 2.0);
    const double henry = usual_henry(own_hz), split = own_hz < split_below ? henry * half * split_farad : 0.0;
    for (int i = 0; i < POINTS; i++) {
        double hz = from_hz * pow(to_hz / from_hz, i / (POINTS - 1.0));
        double complex s = I * tau * hz, want = 1.0 / (1.0 + csqrt(I * hz / corner)), l = 1.0 - rods + rods * want;
        double complex z = tau * slow_hz + s * l, *seen = goal->seen[i], part = 1.0 / (1.0 + s * split * z);
        goal->s[i] = I * hz;
        goal->want[i] = want;
        memset(seen, 0, sizeof goal->seen[i]);
        seen[0] = db * rods / z_bound * s / z / (1.0 + s * own * z);
        if (hz > h_to) {
            continue;
        }
        seen[1] = db * rods / h_bound * (1.0 / l - part * part / (1.0 + part) * s * s * split);
        if (hz > loss_from && hz < loss_to) {
            seen[SIGHTS - 1] = rods / loss_bound * s / creal(z);
        }
        for (int k = 0; k < LOADS; k++) {
            double complex y = s * (own + henry * load[k]) + henry * siemens;
            seen[2 + k] = db * rods / h_bound * of_response(s, z, l, y);
            if (split > 0.0) { /* and what a split leaves */
                seen[2 + LOADS + k] = db * rods / h_bound * of_response(s, z, l, s * own + half * (y - s * own));
            }
        }
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

/* The linear problem for two corners: a line for each frequency and sight, in decibels over their bound. */
static void set_lines(const struct goal *goal, const double log_corner[2], double line[LINES][UNKNOWNS + 1])
{
    for (int i = 0; i < POINTS; i++) {
        const double complex basis[UNKNOWNS + 1] = {1.0 / (1.0 + goal->s[i] / exp(log_corner[0])),
                                                    1.0 / (1.0 + goal->s[i] / exp(log_corner[1])), 1.0, goal->want[i]};
        for (int k = 0; k < SIGHTS; k++) {
            for (int j = 0; j <= UNKNOWNS; j++) {
                line[i * SIGHTS + k][j] = creal(goal->seen[i][k] * basis[j]);
            }
        }
    }
}

static struct fit inductances(const struct goal *goal, const double log_corner[2])
{
    static double line[LINES][UNKNOWNS + 1], weight[LINES];
    struct fit fit;
    set_lines(goal, log_corner, line);
    for (int i = 0; i < LINES; i++) {
        weight[i] = 1.0 / LINES;
    }
    for (int round = 0; round < ROUNDS; round++) {
        double a[UNKNOWNS][UNKNOWNS + 1] = {{0.0}}, sum = 0.0;
        for (int i = 0; i < LINES; i++) {
            for (int r = 0; r < UNKNOWNS; r++) {
                for (int k = 0; k <= UNKNOWNS; k++) {
                    a[r][k] += weight[i] * line[i][r] * line[i][k];
                }
            }
        }
        solve(a, fit.l);
        fit.worst = 0.0;
        for (int i = 0; i < LINES; i++) {
            double *of = line[i];
            double error = fabs(fit.l[0] * of[0] + fit.l[1] * of[1] + fit.l[2] * of[2] - of[3]);
            fit.worst = fmax(fit.worst, error);
            weight[i] *= error + 1e-6;
            sum += weight[i];
        }
        for (int i = 0; i < LINES; i++) {
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
                if (fit.worst < best.worst * (1.0 - 1e-9) && fit.l[0] > 0.0 && fit.l[1] > 0.0) {
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
    const double corner_first = 1000.0, corner_step = log(2.0), own_first = 5000.0, own_step = 0.25;
    double start[2] = {log(400.0), log(6000.0)};
    printf("/* SPDX-License-Identifier: ISC */\n/* Made by dsp/tables/skin.c (`make tables`). */\n/* clang-format off "
           "*/\n");
    printf("enum { SKIN_CORNERS = %d, SKIN_RESONANCES = %d };\n", CORNERS, RESONANCES);
    printf("static const double skin_corner_first = %.17g, skin_corner_step = %.17g;\n", corner_first, corner_step);
    printf("static const double skin_own_first = %.17g, skin_own_step = %.17g;\n", own_first, own_step);
    printf("static const double skin_rows[SKIN_CORNERS][SKIN_RESONANCES][5] = {\n");
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
            printf("        {%.6f, %.6f, %.6f, %.6f, %.6f},\n", fit.l[0], fit.l[1], fit.l[2], log_corner[0],
                   log_corner[1]);
        }
        printf("    },\n");
    }
    printf("};\n");
    return 0;
}
