/* SPDX-License-Identifier: ISC */
#include "instrument.h"

#include <complex.h>
#include <math.h>

#include "c_complex.h"
#include "constants.h"

/* Ohm that stand for a wire and siemens that stand for nothing. */
static const double NEARLY = 1e-9;

/* 1/z by its square: the division that C asks for guards against sizes that no circuit has, and was half of a fit. */
static double complex inverse(double complex z)
{
    double square = 1.0 / (creal(z) * creal(z) + cimag(z) * cimag(z));
    return creal(z) * square - I * (cimag(z) * square);
}

/* The root of a number on the right side. */
static double complex root(double complex z)
{
    double re = sqrt(0.5 * (sqrt(creal(z) * creal(z) + cimag(z) * cimag(z)) + creal(z)));
    return re + I * (0.5 * cimag(z) / re);
}

/* sqrt(s) as a round rod has it: (F(x) - 1) 2/sqrt(T). F's continued fraction (Abramowitz and Stegun 9.1.73) ends in a
 * root after its second term, with two numbers for which F - 1 is right to 0.6 % everywhere. */
static double complex skin(double w, double time)
{
    if (time <= 0.0) {
        return sqrt(0.5 * w) * (1.0 + I);
    }
    double complex x = I * w * time, end = 2.3118136 + root(3.57501207 * 3.57501207 + x);
    return I * w * sqrt(time) * inverse(4.0 + x * inverse(end));
}

static double complex inductance(const struct cw_instrument *i, double hz)
{
    double w = CW_TAU * hz;
    double complex deep = i->le * i->per_k * skin(w, i->skin_time), slow = I * w * i->le * i->per_r;
    double complex eddy = slow * inverse(1.0 + 0.5 * slow * inverse(1.0 + 0.25 * slow));
    return i->la + i->le * inverse(1.0 + deep + eddy) + i->metal * inverse(1.0 + I * (hz / i->metal_corner));
}

struct cw_complex cw_instrument_inductance(const struct cw_instrument *i, double hz)
{
    return cw_of_c(inductance(i, hz));
}

double cw_instrument_loss(const struct cw_instrument *i, double hz)
{
    return creal(1.0 / (I * CW_TAU * hz * inductance(i, hz))) + i->leak + CW_TAU * hz * i->capacitance * i->loss_angle;
}

/* Resistance and inductor in series, without the capacitance. */
static double complex branch(const struct cw_instrument *i, double hz)
{
    double complex z = I * CW_TAU * hz * inductance(i, hz);
    return i->resistance + z * inverse(1.0 + i->leak * z);
}

static double complex tone_admittance(const struct cw_instrument *i, double share, double hz)
{
    double complex capacitor = I * CW_TAU * hz * i->tone_cap;
    return capacitor * inverse(1.0 + capacitor * i->tone_pot * share);
}

/* Hot to wiper: the track's upper part with the treble bleed across it, ohm. */
static double complex upper(const struct cw_instrument *i, double share, double hz)
{
    double track = (1.0 - share) * i->volume_pot;
    if (i->bleed_cap <= 0.0) {
        return track;
    }
    double complex bleed = i->bleed_resistor + 1.0 / (I * CW_TAU * hz * i->bleed_cap);
    return track * bleed / (track + bleed);
}

/* Admittances at the pickup and at the jack that the controls and the capacitance are, and the way between them. */
struct around {
    double complex hot, between, jack;
};

static struct around around(const struct cw_instrument *i, struct cw_standing at, double hz)
{
    struct around a = {CW_TAU * hz * i->capacitance * (I + i->loss_angle), 0.0, 0.0};
    if (!at.leads) {
        double complex tone = tone_admittance(i, at.tone, hz);
        *(i->tone_after_volume ? &a.jack : &a.hot) += tone;
        a.between = upper(i, at.volume, hz);
        a.jack += 1.0 / (at.volume * i->volume_pot + NEARLY);
    }
    return a;
}

struct cw_complex cw_instrument_impedance(const struct cw_instrument *i, struct cw_standing at, double hz)
{
    struct around a = around(i, at, hz);
    double complex pickup = inverse(inverse(branch(i, hz)) + a.hot);
    return cw_of_c(inverse(inverse(pickup + a.between) + a.jack));
}

struct cw_complex cw_instrument_loaded(const struct cw_instrument *i, struct cw_standing at, struct cw_jack_load load,
                                       double hz)
{
    struct cw_complex bare = cw_instrument_impedance(i, at, hz);
    if (!(load.ohm > 0.0)) {
        return bare;
    }
    return cw_of_c(inverse(inverse(bare.re + I * bare.im) + 1.0 / load.ohm + I * CW_TAU * hz * load.farad));
}

struct cw_complex cw_instrument_response(const struct cw_instrument *i, struct cw_standing at, struct cw_jack_load load,
                                         double hz)
{
    struct around a = around(i, at, hz);
    double complex jack = a.jack + I * CW_TAU * hz * load.farad + 1.0 / load.ohm;
    double complex passed = inverse(1.0 + a.between * jack);
    return cw_of_c(passed * inverse(1.0 + branch(i, hz) * (a.hot + jack * passed)));
}
