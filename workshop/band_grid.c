/* SPDX-License-Identifier: ISC */
#include "band_grid.h"

#include <math.h>
#include <string.h>

static const double LOWEST = 20.0, OCTAVES = 9.965784284662087, SILENT_DB = -200.0;

/* Between two points the filters are looked at so many times. */
enum { FINE = 8, STEPS = (CW_BAND_GRID_POINTS - 1) * FINE + 1 };

/* What a point adds to a band, against all of it, that is not worth its while. */
static const double NEGLIGIBLE = 1e-7;

/* A value between points 1 and 2 of four, by a cubic with the slopes that the neighbours give (E. Catmull, R. Rom,
 * 1974; from memory). */
static void cubic(double at, double share[4])
{
    double a = at, a2 = a * a, a3 = a2 * a;
    share[0] = 0.5 * (-a3 + 2.0 * a2 - a);
    share[1] = 0.5 * (3.0 * a3 - 5.0 * a2 + 2.0);
    share[2] = 0.5 * (-3.0 * a3 + 4.0 * a2 + a);
    share[3] = 0.5 * (a3 - a2);
}

static int inside(int point) { return point < 0 ? 0 : point >= CW_BAND_GRID_POINTS ? CW_BAND_GRID_POINTS - 1 : point; }

static void lay_band(struct cw_band_grid *grid, int band)
{
    double centre = cw_audible_hz(band), p = 4.0 * centre / (24.7 * (0.00437 * centre + 1.0)), sum = 0.0;
    double *weight = grid->weight[band];
    for (int i = 0; i < STEPS; i++) {
        double hz = LOWEST * exp2(OCTAVES * i / (STEPS - 1)), pg = p * fabs(hz / centre - 1.0);
        double w = (1.0 + pg) * exp(-pg), share[4];
        sum += w;
        cubic((double)(i % FINE) / FINE, share);
        for (int k = 0; k < 4; k++) {
            weight[inside(i / FINE - 1 + k)] += w * share[k];
        }
    }
    grid->first[band] = CW_BAND_GRID_POINTS;
    for (int i = 0; i < CW_BAND_GRID_POINTS; i++) {
        weight[i] /= sum;
        if (fabs(weight[i]) > NEGLIGIBLE) {
            grid->first[band] = i < grid->first[band] ? i : grid->first[band];
            grid->end[band] = i + 1;
        }
    }
}

void cw_band_grid_init(struct cw_band_grid *grid)
{
    memset(grid, 0, sizeof *grid);
    for (int i = 0; i < CW_BAND_GRID_POINTS; i++) {
        grid->hz[i] = LOWEST * exp2(OCTAVES * i / (CW_BAND_GRID_POINTS - 1));
    }
    for (int band = 0; band < CW_AUDIBLE_BANDS; band++) {
        lay_band(grid, band);
    }
}

void cw_band_grid_power(const struct cw_band_grid *grid, const struct cw_transfer *h, double power[CW_BAND_GRID_POINTS])
{
    for (int i = 0; i < CW_BAND_GRID_POINTS; i++) {
        power[i] = cw_transfer_power(h, grid->hz[i]);
    }
}

void cw_band_grid_levels(const struct cw_band_grid *grid, const double power[CW_BAND_GRID_POINTS],
                         double level[CW_AUDIBLE_BANDS])
{
    for (int band = 0; band < CW_AUDIBLE_BANDS; band++) {
        double sum = 0.0;
        for (int i = grid->first[band]; i < grid->end[band]; i++) {
            sum += grid->weight[band][i] * power[i];
        }
        level[band] = sum > 1e-20 ? 10.0 * log10(sum) : SILENT_DB;
    }
}

double cw_band_grid_peak(const double power[CW_BAND_GRID_POINTS], double at_rest)
{
    int top = 0;
    for (int i = 1; i < CW_BAND_GRID_POINTS - 1; i++) {
        top = power[i] > power[top] ? i : top;
    }
    if (top == 0 || power[top + 1] > power[top] || !(at_rest > 0.0)) {
        return 0.0;
    }
    /* Around a resonance 1/power is a parabola. */
    double before = at_rest / power[top - 1], at = at_rest / power[top], after = at_rest / power[top + 1];
    double bend = before - 2.0 * at + after, slope = 0.5 * (after - before);
    return -10.0 * log10(bend > 0.0 ? at - 0.5 * slope * slope / bend : at);
}
