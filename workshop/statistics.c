/* SPDX-License-Identifier: ISC */
#include "statistics.h"

#include <math.h>
#include <stdlib.h>

#include "chance.h"
#include "constants.h"

/* ---- samples ---- */

double cw_mean(const double *value, size_t count)
{
    double sum = 0.0, rest = 0.0;
    for (size_t i = 0; i < count; i++) {
        sum += value[i];
    }
    double mean = count ? sum / (double)count : 0.0;
    for (size_t i = 0; i < count; i++) {
        rest += value[i] - mean;
    }
    return count ? mean + rest / (double)count : 0.0;
}

double cw_deviation(const double *value, size_t count)
{
    double mean = cw_mean(value, count), squares = 0.0, rest = 0.0;
    for (size_t i = 0; i < count; i++) {
        double d = value[i] - mean;
        squares += d * d;
        rest += d;
    }
    return count < 2 ? 0.0 : sqrt((squares - rest * rest / (double)count) / (double)(count - 1));
}

double cw_autocorrelation(const double *value, size_t count)
{
    double mean = cw_mean(value, count), neighbours = 0.0, squares = 0.0;
    for (size_t i = 0; i < count; i++) {
        double d = value[i] - mean;
        squares += d * d;
        neighbours += i + 1 < count ? d * (value[i + 1] - mean) : 0.0;
    }
    return squares > 0.0 ? neighbours / squares : 0.0;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

void cw_sort(double *value, size_t count) { qsort(value, count, sizeof *value, by_value); }

double cw_quantile(const double *rising, size_t count, double share)
{
    double at = share * (double)(count - 1);
    size_t below = (size_t)at;
    if (below + 1 >= count) {
        return rising[count - 1];
    }
    return rising[below] + (at - (double)below) * (rising[below + 1] - rising[below]);
}

/* ---- distributions ---- */

double cw_normal(double z) { return 0.5 * erfc(-z * sqrt(0.5)); }

/* Where a rising function reaches a value: halved until doubles can no more. */
static double where(double (*of)(double x, double parameter), double parameter, double value, double low, double high)
{
    for (int i = 0; i < 200 && low < high; i++) {
        double middle = low + 0.5 * (high - low);
        if (middle <= low || middle >= high) {
            break;
        }
        if (of(middle, parameter) < value) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low + 0.5 * (high - low);
}

static double normal_below(double z, double unused)
{
    (void)unused;
    return cw_normal(z);
}

/* The lower half is searched: there small probabilities are exact. */
double cw_normal_quantile(double probability)
{
    if (probability > 0.5) {
        return -cw_normal_quantile(1.0 - probability);
    }
    return where(normal_below, 0.0, probability, -40.0, 0.0);
}

/* By the incomplete beta function: DLMF 8.17 and M. Abramowitz and I. A. Stegun, 26.7.1. */
static double student_below(double t, double freedom)
{
    double tail = 0.5 * cw_incomplete_beta(0.5 * freedom, 0.5, freedom / (freedom + t * t));
    return t > 0.0 ? 1.0 - tail : tail;
}

double cw_student_quantile(double probability, double freedom)
{
    if (probability > 0.5) {
        return -cw_student_quantile(1.0 - probability, freedom);
    }
    if (freedom > 1e7) {
        return cw_normal_quantile(probability);
    }
    return where(student_below, freedom, probability, -1e9, 0.0);
}

static double gamma_series(double a, double x)
{
    double term = 1.0 / a, sum = term;
    for (double n = a + 1.0; term > 1e-17 * sum; n += 1.0) {
        term *= x / n;
        sum += term;
    }
    return sum * exp(a * log(x) - x - lgamma(a));
}

/* The upper one by its continued fraction (DLMF 8.9.2), by Lentz's method. */
static double gamma_fraction(double a, double x)
{
    double b = x + 1.0 - a, c = 1e300, d = 1.0 / b, h = d;
    for (int i = 1; i < 10000; i++) {
        double an = -i * (i - a);
        b += 2.0;
        d = 1.0 / (an * d + b);
        c = b + an / c;
        h *= c * d;
        if (fabs(c * d - 1.0) < 1e-16) {
            break;
        }
    }
    return h * exp(a * log(x) - x - lgamma(a));
}

double cw_incomplete_gamma(double a, double x)
{
    if (x <= 0.0) {
        return 0.0;
    }
    return x < a + 1.0 ? gamma_series(a, x) : 1.0 - gamma_fraction(a, x);
}

static double chi_square_below(double x, double freedom) { return cw_incomplete_gamma(0.5 * freedom, 0.5 * x); }

double cw_chi_square_quantile(double probability, double freedom)
{
    return where(chi_square_below, freedom, probability, 0.0, 40.0 * freedom + 400.0);
}

/* ---- constants of charts ---- */

static double normal_density(double z) { return exp(-0.5 * z * z) / sqrt(CW_TAU); }

/* n (n - 1) times the integral of phi(x) phi(x + w) (Phi(x + w) - Phi(x))^(n - 2). */
static double range_density(double w, int n)
{
    const double step = 0.1, edge = 9.0; /* the trapezoid rule is exact here to rounding */
    double sum = 0.0;
    for (double x = -edge - w; x < edge; x += step) {
        sum += normal_density(x) * normal_density(x + w) * pow(cw_normal(x + w) - cw_normal(x), n - 2);
    }
    return n * (n - 1) * sum * step;
}

struct cw_range_of cw_range_of_normals(int n)
{
    enum { PARTS = 2400 }; /* by Simpson's rule */
    const double widest = 15.0, step = widest / PARTS;
    double first = 0.0, second = 0.0;
    for (int i = 0; i <= PARTS; i++) {
        double w = i * step, weight = i == 0 || i == PARTS ? 1.0 : i % 2 ? 4.0 : 2.0;
        double density = weight * range_density(w, n) * step / 3.0;
        first += w * density;
        second += w * w * density;
    }
    return (struct cw_range_of){first, sqrt(second - first * first)};
}

double cw_c4(int n) { return sqrt(2.0 / (n - 1)) * exp(lgamma(0.5 * n) - lgamma(0.5 * (n - 1))); }
