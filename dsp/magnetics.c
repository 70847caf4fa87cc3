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

double cw_demagnetising_bar(double along, double across)
{
    assert(along > 0.0 && across > 0.0);
    return across / (along + across);
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

struct cw_permeability cw_rod_permeability(double mu, double conductivity, double radius, double hz)
{
    assert(mu > 0.0 && conductivity >= 0.0 && radius > 0.0 && hz >= 0.0);
    /* (ka)^2 = -2j (a/delta)^2. With u = (ka/2)^2 = -j x:
     * 2 J1/(ka J0) = 1/(1 - (u/(1*2))/(1 - (u/(2*3))/(1 - ...))), taken from the far end. What stands
     * below the n-th fraction bar is v[n]/v[n + 1] with v[n] = v[n + 1] - u/(n (n + 1)) v[n + 2]. */
    double x = 0.5 * radius * radius * CW_PI * hz * mu * CW_MU0 * conductivity;
    int terms = 12 + (int)fmin(2.0 * sqrt(x), 60.0);
    double re = 1.0, im = 0.0, last_re = 1.0, last_im = 0.0;
    for (int n = terms; n >= 1; n--) {
        double share = x / ((double)n * (n + 1.0)), next_re = re - share * last_im, next_im = im + share * last_re;
        last_re = re;
        last_im = im;
        re = next_re;
        im = next_im;
        if (fabs(re) + fabs(im) > 1e100) { /* only the ratio counts */
            re *= 1e-100;
            im *= 1e-100;
            last_re *= 1e-100;
            last_im *= 1e-100;
        }
    }
    double size = mu / (re * re + im * im);
    return (struct cw_permeability){(last_re * re + last_im * im) * size, (last_im * re - last_re * im) * size};
}

struct cw_permeability cw_apparent_permeability(struct cw_permeability mu, double demagnetising)
{
    assert(demagnetising >= 0.0 && demagnetising < 1.0);
    double re = 1.0 + demagnetising * (mu.re - 1.0);
    double im = demagnetising * mu.im;
    double size = re * re + im * im;
    return (struct cw_permeability){(mu.re * re + mu.im * im) / size, (mu.im * re - mu.re * im) / size};
}
