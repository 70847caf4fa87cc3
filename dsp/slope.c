/* SPDX-License-Identifier: ISC */
#include "slope.h"

#include <math.h>
#include <string.h>

#include "complex_math.h"
#include "constants.h"
#include "match.h"
#include "poly_roots.h"
#include "polynomial.h"
#include "roots.h"
#include "setup.h"

_Static_assert((int)CW_SLOPE_POLES == (int)CW_SLOPE_ROOTS, "filters have room for another number of roots");

enum { TERMS = CW_SLOPE_POLES + 1 };

/* Where the poles stand, Hz: found by random search as those that leave the least worst error over splits
 * of every kind, bridge and neck, either coil kept; tests/test_places prints what they leave. */
static const double pole_hz[CW_SLOPE_POLES] = {608, 2563, 3186, 4521, 6704, 10349};
/* The band that is met; above it the last value stands. */
static const double MET_LOW_HZ = 80.0, MET_HIGH_HZ = 10500.0;
/* What stands above is held less firmly; without it the fit could cross zero there. */
static const double ABOVE_WEIGHT = 0.02;

/* u = sin^2(w/2) of a pole at exp(-2 pi f / rate), its sign reversed: |1 - p e^-jw|^2 goes as u + this. */
static double pole_u(int i, double rate)
{
    /* kept apart where the rate is too low for all of them */
    double x = CW_PI * fmin(pole_hz[i], 0.4 * rate * (1.0 - 0.05 * (CW_SLOPE_POLES - i))) / rate,
           half = 0.5 * (exp(x) - exp(-x));
    return half * half;
}

/* A change within its bounds, and of that a share in dB. */
static double bounded(double power, double share)
{
    double change = log(power), part = change / (CW_SLOPE_MOST_DB * (0.1 * 2.302585092994046)); /* ln 10 */
    return exp(share * change / sqrt(sqrt(1.0 + part * part * part * part)));
}

/* Normal equations of the squared relative error, and their solution by elimination; they are
 * symmetric and positive definite thanks to a small ridge. */
struct equations {
    double a[TERMS][TERMS + 1];
};

static void add_point(struct equations *e, const double basis[TERMS], double power, double weight)
{
    double by = weight / power, by_square = by / power;
    for (int i = 0; i < TERMS; i++) {
        for (int k = 0; k <= i; k++) {
            e->a[i][k] += by_square * basis[i] * basis[k];
        }
        e->a[i][TERMS] += by * basis[i];
    }
}

static void solve(struct equations *e, double c[TERMS])
{
    for (int i = 0; i < TERMS; i++) {
        e->a[i][i] += 1e-7;
        for (int k = 0; k < i; k++) {
            e->a[k][i] = e->a[i][k];
        }
    }
    for (int col = 0; col < TERMS; col++) {
        for (int row = col + 1; row < TERMS; row++) {
            double factor = e->a[row][col] / e->a[col][col];
            for (int k = col; k <= TERMS; k++) {
                e->a[row][k] -= factor * e->a[col][k];
            }
        }
    }
    for (int i = TERMS - 1; i >= 0; i--) {
        c[i] = e->a[i][TERMS];
        for (int k = i + 1; k < TERMS; k++) {
            c[i] -= e->a[i][k] * c[k];
        }
        c[i] /= e->a[i][i];
    }
}

static void basis_at(double u, const double pole[CW_SLOPE_POLES], double basis[TERMS])
{
    basis[0] = 1.0;
    for (int i = 0; i < CW_SLOPE_POLES; i++) {
        basis[i + 1] = pole[i] / (u + pole[i]);
    }
}

/* c0 + sum ck pk / (u + pk) as a polynomial in u over prod (u + pk). */
static void numerator(const double c[TERMS], const double pole[CW_SLOPE_POLES], double n[TERMS])
{
    memset(n, 0, TERMS * sizeof *n);
    for (int term = 0; term < TERMS; term++) {
        double product[TERMS] = {term == 0 ? c[0] : c[term] * pole[term - 1]};
        int degree = 0;
        for (int i = 0; i < CW_SLOPE_POLES; i++) {
            if (i == term - 1) {
                continue;
            }
            for (int k = ++degree; k > 0; k--) {
                product[k] = product[k - 1] + pole[i] * product[k];
            }
            product[0] *= pole[i];
        }
        for (int k = 0; k < TERMS; k++) {
            n[k] += product[k];
        }
    }
}

static void fit(const double power[CW_PLACE_POINTS], const double pole[CW_SLOPE_POLES], double rate, double c[TERMS])
{
    struct equations e;
    memset(&e, 0, sizeof e);
    double last = power[0], top = fmin(MET_HIGH_HZ, 0.45 * rate);
    for (int i = 0; cw_place_hz(i) < 0.5 * rate; i++) {
        double hz = cw_place_hz(i), half = sin(CW_PI * hz / rate), basis[TERMS];
        bool met = hz <= top;
        if (hz < MET_LOW_HZ) {
            continue;
        }
        last = met ? power[i] : last;
        basis_at(half * half, pole, basis);
        add_point(&e, basis, last, met ? 1.0 : ABOVE_WEIGHT);
    }
    solve(&e, c);
}

/* Zeros and poles in z. Returns false where a zero would lie on the circle. */
static bool factor(const struct cw_slope *slope, struct cw_root_set *zeros, struct cw_root_set *poles)
{
    struct cw_complex u[CW_SLOPE_POLES], pole_in_u[CW_SLOPE_POLES];
    for (int i = 0; i < CW_SLOPE_POLES; i++) {
        pole_in_u[i] = cw_c(-slope->pole[i], 0.0);
    }
    zeros->count = poles->count = 0;
    return cw_roots_to_circle(u, cw_poly_roots(slope->n, CW_SLOPE_POLES, u), 0.99999, zeros) &&
           cw_roots_to_circle(pole_in_u, CW_SLOPE_POLES, 0.999999, poles);
}

bool cw_slope_try(const double power[CW_PLACE_POINTS], double rate, int number, struct cw_slope *slope)
{
    const double share = ldexp(1.0, -number);
    double wish[CW_PLACE_POINTS];
    slope->rate = rate;
    for (int i = 0; i < CW_SLOPE_POLES; i++) {
        slope->pole[i] = pole_u(i, rate);
    }
    for (int i = 0; i < CW_PLACE_POINTS; i++) {
        wish[i] = bounded(power[i], share);
    }
    fit(wish, slope->pole, rate, slope->c);
    numerator(slope->c, slope->pole, slope->n);
    struct cw_root_set zeros, poles;
    return cw_slope_power(slope, 0.0) > 0.0 && factor(slope, &zeros, &poles);
}

bool cw_slope_fit(const double power[CW_PLACE_POINTS], double rate, struct cw_slope *slope)
{
    bool found = false;
    for (int number = 0; number < CW_SLOPE_TRIES && !found; number++) {
        found = cw_slope_try(power, rate, number, slope);
    }
    return found;
}

bool cw_slope_between(const struct cw_setup *candidate, const struct cw_setup *recorded,
                      struct cw_place_means *candidate_means, struct cw_place_means *recorded_means, double rate,
                      struct cw_slope *slope)
{
    double power[CW_PLACE_POINTS], divided[CW_PLACE_POINTS];
    cw_place_power_of(candidate, candidate_means, power);
    cw_place_power_of(recorded, recorded_means, divided);
    return cw_place_change(power, divided, power) && cw_slope_fit(power, rate, slope);
}

double cw_slope_power(const struct cw_slope *slope, double hz)
{
    double half = sin(CW_PI * hz / slope->rate), basis[TERMS], power = 0.0;
    basis_at(half * half, slope->pole, basis);
    for (int i = 0; i < TERMS; i++) {
        power += slope->c[i] * basis[i];
    }
    return power;
}

void cw_slope_append(const struct cw_slope *slope, struct cw_plan *plan)
{
    struct cw_root_set zeros, poles;
    if (!factor(slope, &zeros, &poles) || plan->zeros.count + zeros.count + CW_DELAY_ZEROS > CW_FACTORS_MAX ||
        plan->poles.count + poles.count > CW_FACTORS_MAX) {
        return;
    }
    (void)cw_roots_append(&plan->zeros, zeros.root, zeros.count);
    (void)cw_roots_append(&plan->poles, poles.root, poles.count);
    plan->dc *= sqrt(cw_slope_power(slope, 0.0));
}
