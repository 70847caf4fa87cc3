/* SPDX-License-Identifier: ISC */
#include "fit_left.h"

#include <math.h>
#include <stdlib.h>

#include "constants.h"
#include "fit_request.h"
#include "statistics.h"

/* How residuals scatter near a point, from neighbour to neighbour, whatever the circuit leaves of them: the middle of
 * their differences, over what it is for normal ones of deviation 1. */
static double scatter_near(const double *row, int points, int at)
{
    static const double middle_of_normal = 0.6744897501960817;
    enum { NEAR = 20 };
    double difference[4 * NEAR];
    size_t n = 0;
    for (int i = at - NEAR > 0 ? at - NEAR : 1; i < points && i < at + NEAR; i++) {
        for (int part = 0; part < 2; part++) {
            difference[n++] = fabs(row[2 * i + part] - row[2 * i - 2 + part]) / sqrt(2.0);
        }
    }
    if (n < 8) {
        return 1.0;
    }
    cw_sort(difference, n);
    return cw_quantile(difference, n, 0.5) / middle_of_normal;
}

bool cw_fit_learn_noise(const struct cw_fit_problem *problem, const double *p, double noise[][CW_FIT_POINTS])
{
    double *row = malloc((size_t)problem->rows * sizeof *row);
    if (!row) {
        return false;
    }
    cw_fit_residuals(p, row, problem->rows, problem);
    const double *at = row;
    for (int t = 0; t < problem->request->takes; t++) {
        for (int i = 0; i < problem->points[t]; i++) {
            noise[t][i] = hypot(noise[t][i], CW_FIT_MISFIT) * scatter_near(at, problem->points[t], i);
        }
        at += 2 * problem->points[t];
    }
    free(row);
    return true;
}

/* The middle of a take's errors, as a share of the source: G is twice that, each of its parts has half the square. */
static double noise_of(const struct cw_fit_problem *problem, int take)
{
    double share[CW_FIT_POINTS];
    size_t count = (size_t)problem->points[take];
    for (size_t i = 0; i < count; i++) {
        share[i] = problem->point[take][i].sigma / sqrt(2.0);
    }
    cw_sort(share, count);
    return cw_quantile(share, count, 0.5);
}

/* The sum of squares of a row's smoothest terms, every \p stride th number of it: each is 1 of noise alone (the cosines
 * are orthonormal: Ahmed, Natarajan and Rao, IEEE Trans. Comput. C-23, 1974). */
static double smooth_terms(const double *row, int points, int stride, int terms)
{
    double sum = 0.0;
    for (int k = 0; k < terms; k++) {
        double term = 0.0;
        for (int i = 0; i < points; i++) {
            term += row[stride * i] * cos(0.5 * CW_TAU * k * (i + 0.5) / points);
        }
        sum += term * term * (k > 0 ? 2.0 : 1.0) / points;
    }
    return sum;
}

/* By how much what is left of the curves goes one way over stretches of them: what a wrong circuit leaves is smooth,
 * noise has a share of each term. Against the chi-squared distribution of the terms, in its standard deviations; that a
 * fit takes some of them for itself is left aside. */
static double one_side_of(const struct cw_fit_problem *problem, const double *row)
{
    enum { TERMS = 8 };
    double sum = 0.0, count = 0.0;
    for (int t = 0; t < problem->request->takes; t++) {
        int points = problem->points[t], terms = points < TERMS ? points : TERMS;
        sum += smooth_terms(row, points, 2, terms) + smooth_terms(row + 1, points, 2, terms);
        count += 2.0 * terms;
        row += 2 * points;
    }
    return (sum - count) / sqrt(2.0 * fmax(count, 1.0));
}

bool cw_fit_judge(const struct cw_fit_problem *problem, const double *p, struct cw_instrument_fit *fit)
{
    double *row = malloc((size_t)problem->rows * sizeof *row), all = 0.0;
    if (!row) {
        return false;
    }
    cw_fit_residuals(p, row, problem->rows, problem);
    const double *at = row;
    for (int t = 0; t < problem->request->takes; t++) {
        double sum = 0.0;
        for (int i = 0; i < 2 * problem->points[t]; i++, at++) {
            sum += *at * *at;
        }
        fit->chi_take[t] = sum / fmax(2.0 * problem->points[t], 1.0);
        fit->noise_take[t] = noise_of(problem, t);
        all += sum;
    }
    fit->freedom = problem->rows - 2 * problem->count - 1;
    fit->chi_square = all / fmax(fit->freedom, 1.0);
    fit->one_side = one_side_of(problem, row);
    free(row);
    return true;
}
