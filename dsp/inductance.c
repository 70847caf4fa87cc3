/* SPDX-License-Identifier: ISC */
#include "inductance.h"

#include <assert.h>
#include <math.h>

#include "constants.h"
#include "cubic.h"

/* For a circular coil of mean radius 1: by rows the logarithm of its height, by columns its build. */
#include "circle_table.inc"

enum { FAR_NODES = 3 };

/* Gauss-Legendre nodes and weights on 0..1 (Abramowitz and Stegun, table 25.4, rescaled). */
static const double node3[3] = {0.1127016653792583, 0.5, 0.8872983346207417};
static const double weight3[3] = {0.2777777777777778, 0.4444444444444444, 0.2777777777777778};

/* Complete elliptic integrals of complementary parameter m1 = 1 - k^2, 0 < m1 <= 1. */
static double elliptic_k(double m1, double log_m1)
{
    double a = 1.38629436112 + m1 * (0.09666344259 + m1 * (0.03590092383 + m1 * (0.03742563713 + m1 * 0.01451196212)));
    double b = 0.5 + m1 * (0.12498593597 + m1 * (0.06880248576 + m1 * (0.03328355346 + m1 * 0.00441787012)));
    return a - b * log_m1;
}

static double elliptic_e(double m1, double log_m1)
{
    double a = 1.0 + m1 * (0.44325141463 + m1 * (0.06260601220 + m1 * (0.04757383546 + m1 * 0.01736506451)));
    double b = m1 * (0.24998368310 + m1 * (0.09200180037 + m1 * (0.04069697526 + m1 * 0.00526449639)));
    return a - b * log_m1;
}

double cw_mutual_circles(double r1, double r2, double z)
{
    assert(r1 > 0.0 && r2 > 0.0 && (r1 != r2 || z != 0.0));
    double far = (r1 + r2) * (r1 + r2) + z * z;
    double near = (r1 - r2) * (r1 - r2) + z * z;
    double m1 = near / far;
    double log_m1 = log(m1);
    double root = sqrt(far); /* M = CW_MU0 root ((1 - k^2/2) K - E) */
    return CW_MU0 * root * (0.5 * (1.0 + m1) * elliptic_k(m1, log_m1) - elliptic_e(m1, log_m1));
}

double cw_log_gmd_rectangle(double width, double height)
{
    assert(width > 0.0 && height > 0.0);
    double w = width, h = height;
    double p = w * w, q = h * h;
    return 0.5 * log(p + q) - q / (12.0 * p) * log1p(p / q) - p / (12.0 * q) * log1p(q / p) +
           2.0 * h / (3.0 * w) * atan(w / h) + 2.0 * w / (3.0 * h) * atan(h / w) - 25.0 / 12.0;
}

/* Mean log distance of two equal upright rectangles side by side. The difference of two points of
 * an interval is spread as a triangle, hence the weights 2 (1 - u). */
static double log_gmd_apart(double spacing, double width, double height)
{
    double sum = 0.0;
    for (int i = 0; i < FAR_NODES; i++) {
        double x = node3[i] * width;
        double closer = (spacing - x) * (spacing - x), further = (spacing + x) * (spacing + x);
        for (int j = 0; j < FAR_NODES; j++) {
            double z = node3[j] * height;
            double weight = weight3[i] * (1.0 - node3[i]) * weight3[j] * (1.0 - node3[j]);
            sum += weight * log((closer + z * z) * (further + z * z));
        }
    }
    return sum; /* 4 of the weights times 1/4 of the product's log */
}

/* Inductance of a circular coil of rectangular section: the mean of Maxwell's mutual inductance over the
 * section, its logarithmic part in closed form by the geometric mean distance, the rest from a table that was
 * worked out beforehand. Against the exact integral and Nagaoka's coefficient: tests/test_inductance.c. */
static double circular(double mean_radius, double height, double build, double log_gmd)
{
    double row[4], column[4], rest = 0.0;
    int i = cw_cubic_weights(log(height / mean_radius / circle_first) / circle_step, CIRCLE_ROWS, row);
    int k = cw_cubic_weights(build / mean_radius / circle_build_step + 1.0, CIRCLE_COLUMNS, column);
    for (int r = 0; r < 4; r++) {
        const double *at = circle_rest[i + r] + k;
        rest += row[r] * (column[0] * at[0] + column[1] * at[1] + column[2] * at[2] + column[3] * at[3]);
    }
    return CW_MU0 * mean_radius * (rest + log(8.0 * mean_radius) - 2.0 - log_gmd);
}

double cw_inductance_racetrack(double straight, double inner_radius, double height, double build)
{
    assert(straight >= 0.0 && inner_radius >= 0.0 && height > 0.0 && build > 0.0);
    double a = inner_radius + build / 2.0;
    double log_gmd = cw_log_gmd_rectangle(build, height);
    double circle = circular(a, height, build, log_gmd);
    double bars = CW_MU0 / CW_PI * straight * (log_gmd_apart(2.0 * a, build, height) - log_gmd);
    double s = straight / a;
    double g2 = exp(2.0 * log_gmd) / (a * a);
    double joint = CW_MU0 * a * s / (8.27 + 5.07 * s + (8.5 + 1.3 * s) * g2);
    return circle + bars + joint;
}
