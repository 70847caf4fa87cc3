/* SPDX-License-Identifier: ISC */
/* Makes dsp/circle_table.inc: the inductance of a circular coil of rectangular section, over mu0 times its mean
 * radius, without its part by the geometric mean distance, ln(8 a/g) - 2. The rest is the mean over the section of
 * what Maxwell's mutual inductance of two circles is more than mu0 a (ln(8 a/d) - 2), by Gauss quadrature. */
#include <math.h>
#include <stdio.h>

#include "constants.h"
#include "inductance.h"

enum { NODES = 16, ROWS = 48, COLUMNS = 10 };

static double node[NODES], weight[NODES];

/* Gauss-Legendre nodes and weights on 0..1, by Newton's method. */
static void make_nodes(void)
{
    for (int i = 0; i < NODES; i++) {
        double x = cos(CW_PI * (i + 0.75) / (NODES + 0.5)), slope = 1.0;
        for (int step = 0; step < 20; step++) {
            double p = 1.0, last = 0.0;
            for (int n = 0; n < NODES; n++) {
                double next = ((2 * n + 1) * x * p - n * last) / (n + 1);
                last = p;
                p = next;
            }
            slope = NODES * (x * p - last) / (x * x - 1.0);
            x -= p / slope;
        }
        node[i] = 0.5 * (1.0 + x);
        weight[i] = 1.0 / ((1.0 - x * x) * slope * slope);
    }
}

/* Mean radius 1. The difference of two heights is spread as a triangle; its square root is the variable, so that
 * nodes are dense where circles are near one another in a tall coil. */
static double rest(double height, double build)
{
    double sum = 0.0, constant = log(8.0) - 2.0;
    for (int i = 0; i < NODES; i++) {
        for (int j = 0; j < NODES; j++) {
            double r1 = 1.0 + build * (node[i] - 0.5), r2 = 1.0 + build * (node[j] - 0.5);
            for (int k = 0; k < NODES; k++) {
                double u = node[k] * node[k], z = height * u;
                double counts = weight[i] * weight[j] * weight[k] * 2.0 * node[k] * 2.0 * (1.0 - u);
                double log_d = 0.5 * log((r1 - r2) * (r1 - r2) + z * z);
                sum += counts * (cw_mutual_circles(r1, r2, z) / CW_MU0 - (constant - log_d));
            }
        }
    }
    return sum;
}

int main(void)
{
    const double first = 0.08, step = 0.125, build_step = 0.25;
    make_nodes();
    printf("/* SPDX-License-Identifier: ISC */\n/* Made by dsp/tables/circle.c (`make tables`). */\n");
    printf("enum { CIRCLE_ROWS = %d, CIRCLE_COLUMNS = %d };\n", ROWS, COLUMNS);
    printf("static const double circle_first = %.17g, circle_step = %.17g, circle_build_step = %.17g;\n", first, step,
           build_step);
    printf("static const double circle_rest[CIRCLE_ROWS][CIRCLE_COLUMNS] = {\n");
    for (int i = 0; i < ROWS; i++) {
        printf("    {");
        for (int k = 0; k < COLUMNS; k++) {
            printf("%s%.7f", k ? ", " : "", rest(first * exp(step * i), build_step * (k - 1)));
        }
        printf("},\n");
    }
    printf("};\n");
    return 0;
}
