/* SPDX-License-Identifier: ISC */
#include "jig.h"

#include <complex.h>
#include <math.h>

#include "c_complex.h"
#include "constants.h"

static const double FLOOR = 3e-4;

struct cw_complex cw_jig_impedance(const struct cw_jig *jig, struct cw_complex measured)
{
    double complex m = cw_as_c(measured), o = cw_as_c(jig->open), s = cw_as_c(jig->shorted), l = cw_as_c(jig->known);
    return cw_of_c(cw_as_c(jig->load) * (s - m) * (l - o) / ((m - o) * (s - l)));
}

double cw_jig_error(const struct cw_jig *jig, struct cw_complex measured, double sigma)
{
    double complex m = cw_as_c(measured), o = cw_as_c(jig->open);
    return hypot(sigma * cabs(1.0 / m + 1.0 / (o - m)), FLOOR);
}

/* The node sees the series resistor against input and cable: m_o = g Y_s / (Y_s + Y), and the known load
 * fixes g, which is the same in both. */
double cw_jig_open_capacitance(const struct cw_jig *jig, double series_ohm, double hz)
{
    double complex o = cw_as_c(jig->open), l = cw_as_c(jig->known), y = 1.0 / cw_as_c(jig->load);
    /* 1/m = (1 + Z_s Y_node)/g: two takes, unknown g and Y_node */
    double complex ratio = o / l; /* (1 + Z_s (Y + y)) / (1 + Z_s Y) */
    double complex node = series_ohm * y / (ratio - 1.0);
    return cimag((node - 1.0) / series_ohm) / (CW_TAU * hz);
}
