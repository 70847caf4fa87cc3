/* SPDX-License-Identifier: ISC */
#include "fit_search.h"

#include <complex.h>
#include <math.h>
#include <string.h>

#include "c_complex.h"
#include "constants.h"
#include "fit_request.h"
#include "least_squares.h"
#include "statistics.h"

/* Of a sum of some 1e3: what is left of a standard deviation is a thousandth. */
static const double ENOUGH = 1e-8;

/* The take in which the pickup shows best. */
static int clearest(const struct cw_instrument_request *request)
{
    int best = 0;
    double most = -1.0;
    for (int t = 0; t < request->takes; t++) {
        const struct cw_instrument_take *take = &request->take[t];
        double clear = request->load[t].ohm > 0.0 ? 0.0 : take->leads ? 100.0 : take->volume + take->tone;
        if (clear > most) {
            most = clear;
            best = t;
        }
    }
    return best;
}

/* Resistance from the lowest points, inductance from those near 120 Hz, capacitance from where Z is largest. */
static void begin(const struct cw_fit_problem *problem, double *p)
{
    int best = clearest(problem->request), n = problem->points[best];
    const struct cw_fit_point *point = problem->point[best];
    double re[5] = {0.0}, henry[5] = {0.0}, top = 0.0, top_hz = 5e3;
    int at = 0;
    for (int i = 0; i < n; i++) {
        double complex g = cw_as_c(point[i].g), z = CW_FIT_SERIES_OHM * (1.0 + g) / (1.0 - g);
        if (i < 5) {
            re[i] = creal(z);
        }
        if (point[i].hz > 100.0 && at < 5) {
            henry[at++] = cimag(z) / (CW_TAU * point[i].hz);
        }
        if (point[i].hz > 800.0 && cabs(z) > top) {
            top = cabs(z);
            top_hz = point[i].hz;
        }
    }
    cw_sort(re, 5);
    cw_sort(henry, 5);
    for (int i = 0; i < problem->count; i++) {
        p[i] = problem->expected[i].middle;
    }
    double l = fmin(fmax(henry[2], 0.2), 20.0), w = CW_TAU * top_hz;
    p[CW_FIT_LOG_RESISTANCE] = log(fmin(fmax(re[2], 300.0), 40e3));
    p[CW_FIT_LOG_INDUCTANCE] = log(l);
    p[CW_FIT_LOG_CAPACITANCE] = log(fmin(fmax(1.2 / (w * w * l) - problem->request->load[best].farad, 10e-12), 2e-9));
}

bool cw_fit_search(const struct cw_fit_problem *problem, const double *from, enum cw_fit_value other, double *p,
                   double *sum)
{
    const struct cw_squares squares = {cw_fit_residuals, problem, problem->count, problem->rows, ENOUGH};
    begin(problem, p);
    if (from) {
        memcpy(p, from, (size_t)problem->count * sizeof *p);
        p[other] = problem->expected[other].middle;
    }
    return cw_squares_least(&squares, p, sum);
}
