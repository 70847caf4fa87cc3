/* SPDX-License-Identifier: ISC */
#include "capacitance.h"

#include <assert.h>
#include <math.h>

static const double epsilon0 = 8.8541878128e-12;

/* Share of the cross-section that touching wires take in a hexagonal lay: pi / (2 sqrt 3). */
static const double densest = 0.90689968211710892530;

double cw_lay_pitch(const struct cw_lay *lay)
{
    assert(lay->packing > 0.0 && lay->packing < 0.907);
    return lay->overall * sqrt(fmax(densest / lay->packing, 1.0));
}

/* Integral over -pi/6..pi/6 of 1/(2 (enamel + gap)) with enamel = ln(D/d)/e1 and
 * gap = (1 - cos t + g)/e2, that is of 1/(2 (p - q cos t)) with the p and q below. */
static double cell(const struct cw_lay *lay, double gap_over_diameter)
{
    double q = 1.0 / lay->filling;
    double p = log(lay->overall / lay->bare) / lay->enamel + q * (1.0 + gap_over_diameter);
    const double tan_half = 0.26794919243112270647; /* tan(pi/12) */
    return 2.0 / sqrt(p * p - q * q) * atan(sqrt((p + q) / (p - q)) * tan_half);
}

double cw_lay_capacitance(const struct cw_lay *lay)
{
    assert(lay->bare > 0.0 && lay->overall > lay->bare && lay->enamel >= 1.0 && lay->filling >= 1.0);
    /* Gauss-Legendre, three nodes over gaps of 0..2 mean widths. */
    static const double node[3] = {0.2254033307585166, 1.0, 1.7745966692414834};
    static const double weight[3] = {0.2777777777777778, 0.4444444444444444, 0.2777777777777778};
    double mean_gap = cw_lay_pitch(lay) / lay->overall - 1.0;
    double sum = 0.0;
    for (int i = 0; i < 3; i++) {
        sum += weight[i] * cell(lay, node[i] * mean_gap);
    }
    return epsilon0 * sum;
}

double cw_capacitance_winding(const struct cw_lay *lay, double turns, double layers, double mean_turn)
{
    assert(turns > 0.0 && mean_turn > 0.0);
    double n = fmax(layers, 2.0);
    /* Each wire has two neighbours in the next layer. */
    double layer = 2.0 * cw_lay_capacitance(lay) * mean_turn * turns / n;
    return 4.0 / 3.0 * layer * (n - 1.0) / (n * n);
}
