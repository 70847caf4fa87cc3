/* SPDX-License-Identifier: ISC */
/* Makes dsp/skin_table.inc: two branches, an inductance with a resistance across it each, and the rest
 * without loss, that stand for 1/(1 + sqrt(s/(2 pi corner))) between 60 Hz and 20 kHz.
 *
 * For two corners the inductances follow by weighted least squares; the weights go to where the error is
 * largest (C. L. Lawson's way to the least maximum, 1961, from memory); the corners by a pattern search
 * (R. Hooke and T. A. Jeeves, J. ACM 8, 1961). A corner starts from the one before. */
#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ROWS = 25, POINTS = 80, ROUNDS = 60, UNKNOWNS = 3 };

static const double from_hz = 60.0, to_hz = 20e3;

struct fit {
    double l[UNKNOWNS]; /* of both branches, and the rest */
    double worst;
};

static double frequency(int i) { return from_hz * pow(to_hz / from_hz, i / (POINTS - 1.0)); }

/* How much an error of the inductance counts in decibels: little below the corner of resistance and
 * inductance (some 280 Hz), some three times as much round the usual loaded resonances, eight times round
 * the usual unloaded ones, and less and less beyond, where the capacitance rules. Ours. */
static double counts(double hz)
{
    double loaded = log(hz / 3300.0) / 0.6, unloaded = log(hz / 6900.0) / 0.3;
    double resonances = 2.0 / (1.0 + pow(loaded, 4.0)) + 7.0 / (1.0 + pow(unloaded, 4.0));
    return hz / hypot(hz, 60.0) * (resonances + 1.0 / (1.0 + pow(hz / 11e3, 2.0)));
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

static struct fit inductances(double corner, const double log_corner[2])
{
    double complex want[POINTS], basis[POINTS][UNKNOWNS];
    double weight[POINTS];
    for (int i = 0; i < POINTS; i++) {
        double complex s = I * frequency(i);
        want[i] = 1.0 / (1.0 + csqrt(s / corner));
        basis[i][0] = 1.0 / (1.0 + s / exp(log_corner[0]));
        basis[i][1] = 1.0 / (1.0 + s / exp(log_corner[1]));
        basis[i][2] = 1.0;
        weight[i] = counts(frequency(i)) * counts(frequency(i));
    }
    struct fit fit;
    for (int round = 0; round < ROUNDS; round++) {
        double a[UNKNOWNS][UNKNOWNS + 1] = {{0.0}}, error[POINTS], sum = 0.0;
        for (int i = 0; i < POINTS; i++) {
            for (int r = 0; r < UNKNOWNS; r++) {
                for (int k = 0; k < UNKNOWNS; k++) {
                    a[r][k] += weight[i] * creal(basis[i][k] * conj(basis[i][r]));
                }
                a[r][UNKNOWNS] += weight[i] * creal(want[i] * conj(basis[i][r]));
            }
        }
        solve(a, fit.l);
        fit.worst = 0.0;
        for (int i = 0; i < POINTS; i++) {
            error[i] = cabs(fit.l[0] * basis[i][0] + fit.l[1] * basis[i][1] + fit.l[2] - want[i]);
            error[i] *= counts(frequency(i));
            fit.worst = fmax(fit.worst, error[i]);
            weight[i] *= error[i]; /* within its count already */
            sum += weight[i];
        }
        for (int i = 0; i < POINTS; i++) {
            weight[i] *= POINTS / sum;
        }
    }
    return fit;
}

static struct fit search(double corner, double log_corner[2])
{
    struct fit best = inductances(corner, log_corner);
    for (double step = 0.5; step > 1e-5; step *= 0.5) {
        for (int moved = 1; moved;) {
            moved = 0;
            for (int way = 0; way < 8; way++) {
                static const double to[8][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}};
                double trial[2] = {log_corner[0] + step * to[way][0], log_corner[1] + step * to[way][1]};
                struct fit fit = inductances(corner, trial);
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
    const double first = 1000.0, step = log(2.0) / 2.0;
    double log_corner[2] = {log(400.0), log(6000.0)};
    printf("/* SPDX-License-Identifier: ISC */\n/* Made by dsp/tables/skin.c (`make tables`). */\n/* clang-format off "
           "*/\n");
    printf("enum { SKIN_ROWS = %d };\n", ROWS);
    printf("static const double skin_first = %.17g, skin_step = %.17g;\n", first, step);
    printf("static const double skin_rows[SKIN_ROWS][5] = {\n");
    for (int i = 0; i < ROWS; i++) {
        double corner = first * exp(step * i);
        struct fit fit = search(corner, log_corner);
        printf("    {%.6f, %.6f, %.6f, %.6f, %.6f},\n", fit.l[0], fit.l[1], fit.l[2], log_corner[0], log_corner[1]);
    }
    printf("};\n");
    return 0;
}
