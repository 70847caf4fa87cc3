/* SPDX-License-Identifier: ISC */
#include "chance.h"

#include <math.h>

static double log_choose(int n, int k) { return lgamma(n + 1.0) - lgamma(k + 1.0) - lgamma(n - k + 1.0); }

double cw_binomial_tail(int trials, int right, double p)
{
    if (right <= 0) {
        return 1.0;
    }
    if (right > trials || p <= 0.0) {
        return 0.0;
    }
    if (p >= 1.0) {
        return 1.0;
    }
    /* From the largest term of the tail to the smallest on either side. */
    double sum = 0.0;
    for (int k = trials; k >= right; k--) {
        sum += exp(log_choose(trials, k) + k * log(p) + (trials - k) * log1p(-p));
    }
    return fmin(sum, 1.0);
}

int cw_fewest_right(int trials, double guess, double level)
{
    double tail = 0.0;
    int right = trials + 1;
    while (right > 0) {
        double term =
            exp(log_choose(trials, right - 1) + (right - 1) * log(guess) + (trials - right + 1) * log1p(-guess));
        if (tail + term > level) {
            break;
        }
        tail += term;
        right--;
    }
    return right;
}

/* The continued fraction by Lentz's method (W. J. Lentz, Applied Optics 15, 1976; as modified by I. J. Thompson
 * and A. R. Barnett, 1986): it converges quickly for x below (a + 1) / (a + b + 2). */
static double beta_fraction(double a, double b, double x)
{
    const double tiny = 1e-300;
    double c = 1.0, d = 1.0 - (a + b) * x / (a + 1.0);
    d = 1.0 / (fabs(d) < tiny ? tiny : d);
    double h = d;
    for (int m = 1; m <= 5000; m++) {
        double even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        double odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        for (int half = 0; half < 2; half++) {
            double step = half ? odd : even;
            d = 1.0 + step * d;
            c = 1.0 + step / c;
            d = 1.0 / (fabs(d) < tiny ? tiny : d);
            c = fabs(c) < tiny ? tiny : c;
            h *= d * c;
        }
        if (fabs(d * c - 1.0) < 1e-15) {
            break;
        }
    }
    return h;
}

double cw_incomplete_beta(double a, double b, double x)
{
    if (x <= 0.0) {
        return 0.0;
    }
    if (x >= 1.0) {
        return 1.0;
    }
    double front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x));
    if (x < (a + 1.0) / (a + b + 2.0)) {
        return front * beta_fraction(a, b, x) / a;
    }
    return 1.0 - front * beta_fraction(b, a, 1.0 - x) / b;
}

/* Where the incomplete beta function reaches a probability. */
static double beta_quantile(double a, double b, double probability)
{
    double low = 0.0, high = 1.0;
    for (int i = 0; i < 100; i++) {
        double middle = 0.5 * (low + high);
        if (cw_incomplete_beta(a, b, middle) < probability) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return 0.5 * (low + high);
}

void cw_clopper_pearson(int trials, int right, double confidence, double *low, double *high)
{
    double outside = 0.5 * (1.0 - confidence);
    *low = right <= 0 ? 0.0 : beta_quantile(right, trials - right + 1.0, outside);
    *high = right >= trials ? 1.0 : beta_quantile(right + 1.0, trials - right, 1.0 - outside);
}

double cw_power(int trials, double p, double guess, double level)
{
    return cw_binomial_tail(trials, cw_fewest_right(trials, guess, level), p);
}

int cw_trials_for_power(double p, double guess, double level, double power)
{
    /* Twice the trials that a normal distribution asks for, with some room, are beyond the last dip. */
    double gap = fabs(p - guess);
    double enough = gap > 0.0 ? 60.0 + 24.0 / (gap * gap) : CW_TRIALS_MAX;
    int most = enough < CW_TRIALS_MAX ? (int)enough : CW_TRIALS_MAX;
    if (p <= guess || cw_power(most, p, guess, level) < power) {
        return 0;
    }
    int trials = most;
    while (trials > 1 && cw_power(trials - 1, p, guess, level) >= power) {
        trials--;
    }
    return trials;
}

double cw_evidence(int trials, int right)
{
    double a = right + 1.0, b = trials - right + 1.0;
    double log_beta = lgamma(a) + lgamma(b) - lgamma(a + b);
    return exp((trials + 1.0) * log(2.0) + log_beta) * cw_incomplete_beta(b, a, 0.5);
}
