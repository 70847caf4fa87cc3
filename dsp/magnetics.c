/* SPDX-License-Identifier: ISC */
#include "magnetics.h"

#include <assert.h>
#include <math.h>

#include "constants.h"

double cw_demagnetising_spheroid(double aspect)
{
    assert(aspect > 1.0);
    double q = aspect * aspect - 1.0;
    double root = sqrt(q);
    return (aspect / root * log(aspect + root) - 1.0) / q;
}

/* Fullness gives the hyperbola's parameter: its (BH)max over Br Hc is ((1 - sqrt(1 - a))/a)^2. */
static double hyperbola(const struct cw_magnet_info *magnet)
{
    double fullness = magnet->energy_product / (magnet->remanence * magnet->coercivity);
    return (2.0 * sqrt(fullness) - 1.0) / fullness;
}

double cw_magnet_working_point(const struct cw_magnet_info *magnet, double demagnetising)
{
    assert(demagnetising > 0.0 && demagnetising < 1.0);
    /* With h = |H|/Hc and the load line B = line h: a line h^2 - (line + Br) h + Br = 0. */
    double br = magnet->remanence;
    double line = CW_MU0 * magnet->coercivity * (1.0 - demagnetising) / demagnetising;
    double b = line + br;
    double h = 2.0 * br / (b + sqrt(b * b - 4.0 * hyperbola(magnet) * line * br));
    return line * h;
}
