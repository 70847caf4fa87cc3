/* SPDX-License-Identifier: ISC */
#include "places.h"

#include <float.h>
#include <math.h>

#include "coil.h"
#include "complex_math.h"
#include "constants.h"
#include "lanes.h"
#include "polynomial.h"
#include "setup.h"
#include "transfer.h"

double cw_place_hz(int point)
{
    static const double lowest = 40.0;
    static const double eighths[CW_PLACE_STEPS] = {1.0,
                                                   1.0905077326652577,
                                                   1.189207115002721,
                                                   1.2968395546510096,
                                                   1.4142135623730951,
                                                   1.5422108254079407,
                                                   1.681792830507429,
                                                   1.8340080864093424};
    return lowest * eighths[point % CW_PLACE_STEPS] * (double)(1 << (point / CW_PLACE_STEPS));
}

double cw_string_pitch(int string)
{
    static const double semitones_below_a4[CW_STRINGS] = {5, 10, 14, 19, 24, 29};
    return 440.0 * exp2(-semitones_below_a4[string] / 12.0);
}

/* ---- the strings ------------------------------------------------------------------------------- */

/* A sum of cosines of the frequency, cos(2 pi f delay), each with its weight, and of a constant. */
enum { COSINES = 4 * CW_STRINGS };
struct cosines {
    int count;
    double constant, delay[COSINES], weight[COSINES];
};

static void add_cosine(struct cosines *sum, double delay, double weight)
{
    if (delay == 0.0) {
        sum->constant += weight;
        return;
    }
    sum->delay[sum->count] = delay;
    sum->weight[sum->count++] = weight;
}

/* Points, and the edges between their steps; what is filled up to is a whole number of vectors. */
enum { LANES = 4, ROOM = (CW_PLACE_POINTS + LANES) / LANES * LANES };

/* sin(2 pi x) by its series over a quarter turn, whose next term is 3e-16; x may be any number of turns up to 1e9. */
INLINE double sine_of_turns(double x)
{
    _Static_assert(FLT_EVAL_METHOD == 0 || FLT_EVAL_METHOD == 1,
                   "sums must be rounded to double (-msse2 -mfpmath=sse on i686)");
    static const double round = 0x1.8p52;
    double part = x - ((x + round) - round), size = fabs(part), other = 0.5 - size,
           within = size < other ? size : other;
    double angle = CW_TAU * within, square = angle * angle, series = 1.0;
    for (int k = 18; k >= 2; k -= 2) {
        series = 1.0 - square * series / (double)(k * (k + 1));
    }
    return copysign(angle * series, part);
}

/* Mean of the sum over each step, exact on a linear axis of f. */
INLINE void mean_of(const struct cosines *sum, const double edge[ROOM], double mean[CW_PLACE_POINTS])
{
    double of[ROOM] = {0.0}, sine[ROOM];
    for (int n = 0; n < sum->count; n++) {
        const double delay = sum->delay[n], weight = sum->weight[n] / (CW_TAU * delay);
        for (int i = 0; i < ROOM; i++) {
            sine[i] = sine_of_turns(delay * edge[i]);
        }
        for (int i = 0; i < CW_PLACE_POINTS; i++) {
            of[i] += weight * (sine[i + 1] - sine[i]);
        }
    }
    for (int i = 0; i < CW_PLACE_POINTS; i++) {
        mean[i] = sum->constant + of[i] / (edge[i + 1] - edge[i]);
    }
}

CW_FOUR_LANES static void mean_of_four(const struct cosines *sum, const double edge[ROOM], double mean[CW_PLACE_POINTS])
{
    mean_of(sum, edge, mean);
}

/* The mean of sin(2 pi f a) sin(2 pi f b) over the strings, that is of (cos(a - b) - cos(a + b))/2: each string as its
 * pitch counts. */
static void mean_product(const struct cw_places *places, double a, double b, const double edge[ROOM],
                         double mean[CW_PLACE_POINTS])
{
    int first = places->string < 0 ? 0 : places->string, last = places->string < 0 ? CW_STRINGS - 1 : places->string;
    struct cosines sum = {.count = 0};
    double total = 0.0;
    for (int i = first; i <= last; i++) {
        total += cw_string_pitch(i);
    }
    for (int i = first; i <= last; i++) {
        double pitch = cw_string_pitch(i), speed = 2.0 * places->scale * pitch, share = pitch / total;
        add_cosine(&sum, (a - b) / speed, 0.5 * share);
        add_cosine(&sum, (a + b) / speed, -0.5 * share);
    }
    if (cw_has_four_lanes()) {
        mean_of_four(&sum, edge, mean);
    } else {
        mean_of(&sum, edge, mean);
    }
}

void cw_place_means_of(const struct cw_places *places, struct cw_place_means *means)
{
    const double half_step = 1.0442737824274138; /* 2 to a sixteenth */
    double edge[ROOM];
    for (int i = 0; i < ROOM; i++) {
        edge[i] = cw_place_hz(i) / half_step;
    }
    means->of = *places;
    means->stand = true;
    mean_product(places, places->one, places->one, edge, means->one);
    mean_product(places, places->two, places->two, edge, means->two);
    mean_product(places, places->one, places->two, edge, means->both);
}

/* ---- the network ------------------------------------------------------------------------------- */

/* Mean over the octave around each point; beyond the ends the end value stands. */
static void smooth_octave(const double raw[CW_PLACE_POINTS], double mean[CW_PLACE_POINTS])
{
    const int half = CW_PLACE_STEPS / 2;
    for (int i = 0; i < CW_PLACE_POINTS; i++) {
        double sum = 0.0;
        for (int k = -half; k <= half; k++) {
            int at = i + k < 0 ? 0 : i + k >= CW_PLACE_POINTS ? CW_PLACE_POINTS - 1 : i + k;
            sum += (k == -half || k == half ? 0.5 : 1.0) * raw[at];
        }
        mean[i] = sum / CW_PLACE_STEPS;
    }
}

void cw_places_of(const struct cw_setup *setup, struct cw_places *places)
{
    const double *v = setup->value;
    double half = v[CW_P_COILS] == CW_COILS_ONE ? 0.0 : 0.5e-3 * v[CW_P_COIL_DISTANCE];
    double side = v[CW_P_NEAR_COIL] == CW_NEAR_COIL_ONE ? -half : half;
    *places = (struct cw_places){1e-3 * v[CW_P_BRIDGE_DISTANCE] + side, 1e-3 * v[CW_P_BRIDGE_DISTANCE] - side,
                                 1e-3 * v[CW_P_SCALE_LENGTH], (int)v[CW_P_STRING] - 1};
}

/* The reversed coil is the one that a split reduces, else coil two: dsp/circuit.h. */
static bool reverses_one(const struct cw_setup *setup)
{
    return setup->value[CW_P_COILS] == CW_COILS_SERIES && setup->value[CW_P_SPLIT] > 0.0 &&
           setup->value[CW_P_SPLIT_COIL] == CW_SPLIT_COIL_ONE;
}

/* H1 and H2 over their sum, from what their difference is over it. */
static void shares_of(struct cw_complex ratio, double sign, struct cw_complex *one, struct cw_complex *two)
{
    *one = cw_c(0.5 * (1.0 + sign * ratio.re), 0.5 * sign * ratio.im);
    *two = cw_c(0.5 * (1.0 - sign * ratio.re), -0.5 * sign * ratio.im);
}

/* Four complex numbers side by side. */
struct four_complex {
    cw_four re, im;
};

/* A polynomial at j x, y = -x^2: its even and its odd part. */
INLINE void at_imaginary(const struct cw_poly *p, const cw_four *x, const cw_four *y, struct four_complex *value)
{
    const cw_four zero = {0.0};
    value->re = value->im = zero;
    for (int i = p->degree; i >= 0; i--) {
        if (i & 1) {
            value->im = value->im * *y + p->c[i];
        } else {
            value->re = value->re * *y + p->c[i];
        }
    }
    value->im *= *x;
}

INLINE void divide(struct four_complex *a, const struct four_complex *b)
{
    const cw_four norm = b->re * b->re + b->im * b->im, re = a->re * b->re + a->im * b->im;
    a->im = (a->im * b->re - a->re * b->im) / norm;
    a->re = re / norm;
}

/* The difference over the sum at all points. */
INLINE void ratios_of(const struct cw_transfer *sum, const struct cw_transfer *difference, const double hz[ROOM],
                      double re[ROOM], double im[ROOM])
{
    for (int i = 0; i < ROOM; i += LANES) {
        const cw_four x = *(const cw_four_stored *)(hz + i) * 1e-3, y = -x * x;
        struct four_complex a, b, c, d;
        at_imaginary(&difference->num, &x, &y, &a);
        at_imaginary(&difference->den, &x, &y, &b);
        at_imaginary(&sum->num, &x, &y, &c);
        at_imaginary(&sum->den, &x, &y, &d);
        divide(&a, &b);
        divide(&c, &d);
        divide(&a, &c);
        *(cw_four_stored *)(re + i) = a.re;
        *(cw_four_stored *)(im + i) = a.im;
    }
}

CW_FOUR_LANES static void ratios_of_four(const struct cw_transfer *sum, const struct cw_transfer *difference,
                                         const double hz[ROOM], double re[ROOM], double im[ROOM])
{
    ratios_of(sum, difference, hz, re, im);
}

double cw_place_partial(const struct cw_setup *setup, const struct cw_pickup *pickup, const struct cw_transfer *sum,
                        const struct cw_transfer *difference, int string, double hz)
{
    struct cw_places places;
    cw_places_of(setup, &places);
    const double wave = CW_TAU * hz / (2.0 * places.scale * cw_string_pitch(string));
    const double s1 = sin(wave * places.one), s2 = sin(wave * places.two);
    if (pickup->coils == CW_COILS_ONE) {
        return s1 * s1;
    }
    struct cw_complex one, two;
    struct cw_complex ratio = cw_div(cw_transfer_at(difference, hz), cw_transfer_at(sum, hz));
    shares_of(ratio, reverses_one(setup) ? -1.0 : 1.0, &one, &two);
    return cw_norm(cw_c(one.re * s1 + two.re * s2, one.im * s1 + two.im * s2));
}

void cw_place_power(const struct cw_setup *setup, const struct cw_pickup *pickup, const struct cw_place_means *means,
                    double power[CW_PLACE_POINTS])
{
    double raw[CW_PLACE_POINTS], hz[ROOM], re[ROOM], im[ROOM];
    if (pickup->coils == CW_COILS_ONE) {
        smooth_octave(means->one, power);
        return;
    }
    struct cw_transfer sum, difference;
    cw_circuit_transfer(setup, pickup, CW_DRIVE_STRING, &sum);
    cw_circuit_transfer(setup, pickup, CW_DRIVE_HUM, &difference);
    for (int i = 0; i < ROOM; i++) {
        hz[i] = cw_place_hz(i);
    }
    if (cw_has_four_lanes()) {
        ratios_of_four(&sum, &difference, hz, re, im);
    } else {
        ratios_of(&sum, &difference, hz, re, im);
    }
    double sign = reverses_one(setup) ? -1.0 : 1.0;
    for (int i = 0; i < CW_PLACE_POINTS; i++) {
        struct cw_complex one, two;
        shares_of(cw_c(re[i], im[i]), sign, &one, &two);
        raw[i] = cw_norm(one) * means->one[i] + cw_norm(two) * means->two[i] +
                 2.0 * (one.re * two.re + one.im * two.im) * means->both[i];
    }
    smooth_octave(raw, power);
}

void cw_place_means_at(const struct cw_setup *setup, struct cw_place_means *means)
{
    struct cw_places places;
    cw_places_of(setup, &places);
    if (!means->stand || places.one != means->of.one || places.two != means->of.two ||
        places.scale != means->of.scale || places.string != means->of.string) {
        cw_place_means_of(&places, means);
    }
}

void cw_place_power_of(const struct cw_setup *setup, struct cw_place_means *means, double power[CW_PLACE_POINTS])
{
    struct cw_pickup pickup;
    cw_place_means_at(setup, means);
    cw_coil_solve(setup, &pickup);
    cw_place_power(setup, &pickup, means, power);
}

bool cw_place_change(const double power[CW_PLACE_POINTS], const double recorded[CW_PLACE_POINTS],
                     double change[CW_PLACE_POINTS])
{
    bool any = false;
    for (int i = 0; i < CW_PLACE_POINTS; i++) {
        change[i] = recorded[i] > 0.0 && power[i] > 0.0 ? power[i] / recorded[i] : 1.0;
        any = any || fabs(change[i] - 1.0) > 2.3e-5;
    }
    return any;
}
