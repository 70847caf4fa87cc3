/* SPDX-License-Identifier: ISC */
#include "rod.h"

#include <math.h>

#include "constants.h"

static const double mu0 = 1.25663706143591729539e-6 /* 4 pi 1e-7, as the check vectors have it */;

double rod_demagnetising(double ratio)
{
    double square = ratio * ratio - 1, root = sqrt(square);
    return (ratio / root * log(ratio + root) - 1) / square;
}

/* J1(z)/J0(z) = (z/2) / (1 - (z^2/8) / (1 - (z^2/24) / (1 - ...))), from far enough behind. */
double complex rod_bessel_ratio(double complex z)
{
    double complex tail = 1, square = z * z;
    for (int n = 400 + 4 * (int)cabs(z); n >= 1; n--) {
        tail = 1 - square / (4.0 * n * (n + 1)) / tail;
    }
    return 1 / tail;
}

double complex rod_permeability(const struct rod *rod, double hz)
{
    double complex z = csqrt(-I * CW_TAU * hz * rod->permeability * mu0 * rod->conductivity) * rod->radius;
    return rod->permeability * rod_bessel_ratio(z);
}

double complex rod_apparent(const struct rod *rod, double hz)
{
    double complex mu = rod_permeability(rod, hz);
    return mu / (1 + rod->demagnetising * (mu - 1));
}

double complex rod_inductance(const struct rod_coil *coil, double hz)
{
    return coil->air * (1 + coil->share * (rod_apparent(&coil->rod, hz) - 1));
}

struct rod_semi rod_semi_of(const struct rod_coil *coil)
{
    double n = coil->rod.demagnetising, part = coil->air * coil->share;
    double b = 1 + (1 - n) / (4 * n * coil->rod.permeability);
    double k = 2 * part * sqrt(coil->rod.permeability / (mu0 * coil->rod.conductivity)) / ((1 - n) * coil->rod.radius);
    return (struct rod_semi){coil->air * (1 - coil->share), part / (n * b), k};
}

double complex rod_semi_inductance(const struct rod_semi *semi, double hz)
{
    double complex s = I * CW_TAU * hz;
    return semi->la + (hz > 0 ? 1 / (1 / semi->le + csqrt(s) / semi->k) : semi->le);
}

double complex rod_impedance(double complex henry, double ohm, double farad, double hz)
{
    double complex s = I * CW_TAU * hz;
    return 1 / (1 / (ohm + s * henry) + s * farad);
}

struct rod_coil rod_check_coil(void)
{
    struct rod_coil coil = {.air = 1,
                            .share = 0.06148561480,
                            .rod = {200, 5.8e6, 2.4e-3, rod_demagnetising(4)},
                            .ohm = 8e3,
                            .farad = 120e-12};
    coil.air = 4.5 / creal(rod_inductance(&coil, 0)); /* 2.636522 H */
    return coil;
}
