/* SPDX-License-Identifier: ISC */
#include "inductance.h"

#include <assert.h>
#include <math.h>

#include "constants.h"

enum { RADII = 3, HEIGHTS = 6, FAR_NODES = 3 };

/* Gauss-Legendre nodes and weights on 0..1 (Abramowitz and Stegun, table 25.4, rescaled). */
static const double node3[3] = {0.1127016653792583, 0.5, 0.8872983346207417};
static const double weight3[3] = {0.2777777777777778, 0.4444444444444444, 0.2777777777777778};
static const double node6[6] = {0.0337652428984240, 0.1693953067668678, 0.3806904069584016,
                                0.6193095930415985, 0.8306046932331322, 0.9662347571015760};
static const double weight6[6] = {0.0856622461895852, 0.1803807865240693, 0.2339569672863455,
                                  0.2339569672863455, 0.1803807865240693, 0.0856622461895852};

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
 * section, its logarithmic part in closed form by the geometric mean distance, the rest by Gauss
 * quadrature. Within 0.07 % of the exact integral for height/mean radius 0.1 to 7 and build/mean radius
 * 0.02 to 1.7; against Nagaoka's coefficient within 0.1 % at a height of ten mean radii, 0.4 % at 15 (the
 * most that the parameters allow) and 1.3 % at 20. */
static double circular(double mean_radius, double height, double build, double log_gmd)
{
    double smooth = 0.0; /* M without its logarithmic part CW_MU0 a (ln(8 a / d) - 2) */
    double constant = log(8.0 * mean_radius) - 2.0;
    for (int i = 0; i < RADII; i++) {
        double r1 = mean_radius + build * (node3[i] - 0.5);
        for (int j = 0; j <= i; j++) {
            double r2 = mean_radius + build * (node3[j] - 0.5);
            double pair = weight3[i] * weight3[j] * (i == j ? 1.0 : 2.0);
            for (int k = 0; k < HEIGHTS; k++) {
                double z = height * node6[k];
                double log_d = 0.5 * log((r1 - r2) * (r1 - r2) + z * z);
                double rest = cw_mutual_circles(r1, r2, z) - CW_MU0 * mean_radius * (constant - log_d);
                smooth += pair * 2.0 * weight6[k] * (1.0 - node6[k]) * rest;
            }
        }
    }
    return smooth + CW_MU0 * mean_radius * (constant - log_gmd);
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
