/* SPDX-License-Identifier: ISC */
#include "places.h"

#include <math.h>

#include "coil.h"
#include "complex_math.h"
#include "constants.h"
#include "polynomial.h"
#include "setup.h"
#include "transfer.h"

static const double LOWEST_HZ = 40.0;

double cw_place_hz(int point) { return LOWEST_HZ * exp2((double)point / CW_PLACE_STEPS); }

double cw_string_pitch(int string)
{
    static const double semitones_below_a4[CW_STRINGS] = {5, 10, 14, 19, 24, 29};
    return 440.0 * exp2(-semitones_below_a4[string] / 12.0);
}

/* Mean of cos(2 pi f delay) over each step, added with a weight; exact on a linear axis of f. */
static void add_cosine(double delay, double weight, double mean[CW_PLACE_POINTS])
{
    double from = cw_place_hz(0) * exp2(-0.5 / CW_PLACE_STEPS), w = CW_TAU * delay, at_from = sin(w * from);
    for (int i = 0; i < CW_PLACE_POINTS; i++) {
        double to = from * exp2(1.0 / CW_PLACE_STEPS), at_to = sin(w * to);
        mean[i] += weight * (w == 0.0 ? 1.0 : (at_to - at_from) / (w * (to - from)));
        from = to;
        at_from = at_to;
    }
}

/* sin(a) sin(b) = (cos(a - b) - cos(a + b)) / 2 */
static void add_product(double delay_a, double delay_b, double weight, double mean[CW_PLACE_POINTS])
{
    add_cosine(delay_a - delay_b, 0.5 * weight, mean);
    add_cosine(delay_a + delay_b, -0.5 * weight, mean);
}

enum { MEANS = 3 };

/* One of the means: of coil one, of coil two, of both. */
static void part_of(const struct cw_places *places, int part, double mean[CW_PLACE_POINTS])
{
    int first = places->string < 0 ? 0 : places->string, last = places->string < 0 ? CW_STRINGS - 1 : places->string;
    double total = 0.0;
    for (int i = first; i <= last; i++) {
        total += cw_string_pitch(i);
    }
    for (int i = 0; i < CW_PLACE_POINTS; i++) {
        mean[i] = 0.0;
    }
    for (int i = first; i <= last; i++) {
        double pitch = cw_string_pitch(i), speed = 2.0 * places->scale * pitch;
        double one = places->one / speed, two = places->two / speed;
        add_product(part == 1 ? two : one, part == 0 ? one : two, pitch / total, mean);
    }
}

static void next_part(struct cw_place_means *means)
{
    double *const part[MEANS] = {means->one, means->two, means->both};
    part_of(&means->of, means->parts, part[means->parts]);
    means->parts++;
}

void cw_place_means_of(const struct cw_places *places, struct cw_place_means *means)
{
    means->of = *places;
    for (means->parts = 0; means->parts < MEANS;) {
        next_part(means);
    }
}

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

/* H1 and H2 over their sum. */
static void shares_of(const struct cw_transfer *sum, const struct cw_transfer *difference, double sign, double hz,
                      struct cw_complex *one, struct cw_complex *two)
{
    struct cw_complex ratio = cw_div(cw_transfer_at(difference, hz), cw_transfer_at(sum, hz));
    *one = cw_c(0.5 * (1.0 + sign * ratio.re), 0.5 * sign * ratio.im);
    *two = cw_c(0.5 * (1.0 - sign * ratio.re), -0.5 * sign * ratio.im);
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
    shares_of(sum, difference, reverses_one(setup) ? -1.0 : 1.0, hz, &one, &two);
    return cw_norm(cw_c(one.re * s1 + two.re * s2, one.im * s1 + two.im * s2));
}

void cw_place_power(const struct cw_setup *setup, const struct cw_pickup *pickup, const struct cw_place_means *means,
                    double power[CW_PLACE_POINTS])
{
    double raw[CW_PLACE_POINTS];
    if (pickup->coils == CW_COILS_ONE) {
        smooth_octave(means->one, power);
        return;
    }
    struct cw_transfer sum, difference;
    cw_circuit_transfer(setup, pickup, CW_DRIVE_STRING, &sum);
    cw_circuit_transfer(setup, pickup, CW_DRIVE_HUM, &difference);
    double sign = reverses_one(setup) ? -1.0 : 1.0;
    for (int i = 0; i < CW_PLACE_POINTS; i++) {
        struct cw_complex one, two;
        shares_of(&sum, &difference, sign, cw_place_hz(i), &one, &two);
        raw[i] = cw_norm(one) * means->one[i] + cw_norm(two) * means->two[i] +
                 2.0 * (one.re * two.re + one.im * two.im) * means->both[i];
    }
    smooth_octave(raw, power);
}

bool cw_place_means_step(const struct cw_setup *setup, struct cw_place_means *means)
{
    struct cw_places places;
    cw_places_of(setup, &places);
    if (places.one != means->of.one || places.two != means->of.two || places.scale != means->of.scale ||
        places.string != means->of.string) {
        means->of = places;
        means->parts = 0;
    }
    if (means->parts < MEANS) {
        next_part(means);
    }
    return means->parts == MEANS;
}

void cw_place_power_of(const struct cw_setup *setup, struct cw_place_means *means, double power[CW_PLACE_POINTS])
{
    struct cw_pickup pickup;
    while (!cw_place_means_step(setup, means)) {
    }
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
