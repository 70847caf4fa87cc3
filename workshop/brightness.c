/* SPDX-License-Identifier: ISC */
#include "brightness.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "acts.h"
#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "polynomial.h"
#include "setup.h"
#include "transfer.h"

static const double BASS_LOW = 80.0, BASS_HIGH = 500.0, TREBLE_LOW = 2000.0, TREBLE_HIGH = 6000.0;
static const int frets[] = {0, 3, 5, 7};
enum { FRETS = sizeof frets / sizeof frets[0] };

/* A setup's answers to the EMF of its coils: half the sum and half the difference of what the signal and
 * the reversed coil give. */
struct answers {
    struct cw_transfer sum, difference;
    bool one;         /* a pickup of one coil */
    bool one_is_less; /* coil one is the one reversed */
};

static void answers_of(const struct cw_setup *setup, struct answers *answers)
{
    const double *v = setup->value;
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    answers->one = pickup.coils == CW_COILS_ONE;
    answers->one_is_less = cw_split_acts(setup) && v[CW_P_SPLIT_COIL] == CW_SPLIT_COIL_ONE;
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &answers->sum);
    if (!answers->one) {
        cw_circuit_transfer(setup, &pickup, CW_DRIVE_HUM, &answers->difference);
    }
}

/* |H1 s1 + H2 s2|^2 = |sum (s1 + s2)/2 + difference (s1 - s2)/2|^2 */
static double power_at(const struct answers *answers, const struct cw_partial *partial)
{
    double s1 = partial->one, s2 = partial->two, hz = partial->hz;
    if (answers->one) {
        return cw_transfer_power(&answers->sum, hz) * s1 * s1;
    }
    double mean = 0.5 * (s1 + s2), apart = 0.5 * (answers->one_is_less ? s2 - s1 : s1 - s2);
    return cw_transfer_mixed_power(&answers->sum, mean, &answers->difference, apart, hz);
}

enum { SLOPES = 4 }; /* 1 to 4 */

/* Power of bass and treble of each string, for each slope. */
struct powers {
    double bass[CW_STRINGS][SLOPES], treble[CW_STRINGS][SLOPES];
};

static void lay_note(const struct cw_places *places, int string, int fret, struct cw_partials *partials)
{
    double open = cw_string_pitch(string), speed = 2.0 * places->scale * open, pitch = open * exp2(fret / 12.0);
    for (int n = 1; n * pitch <= TREBLE_HIGH; n++) {
        double hz = n * pitch, turn = 2.0 * CW_PI * hz / speed;
        bool is_bass = hz >= BASS_LOW && hz <= BASS_HIGH;
        if (is_bass || hz >= TREBLE_LOW) {
            assert(partials->count < CW_PARTIALS_MAX);
            partials->partial[partials->count++] = (struct cw_partial){
                hz, sin(turn * places->one), sin(turn * places->two), (short)n, (short)string, is_bass};
        }
    }
}

void cw_partials_of(const struct cw_places *places, struct cw_partials *partials)
{
    partials->count = 0;
    partials->string = places->string;
    for (int string = 0; string < CW_STRINGS; string++) {
        for (int i = 0; i < FRETS; i++) {
            lay_note(places, string, frets[i], partials);
        }
    }
}

static void powers_of(const struct cw_setup *setup, const struct cw_partials *partials, struct powers *powers)
{
    struct answers answers;
    answers_of(setup, &answers);
    memset(powers, 0, sizeof *powers);
    for (int i = 0; i < partials->count; i++) {
        const struct cw_partial *partial = &partials->partial[i];
        double power = power_at(&answers, partial);
        double *sum = partial->is_bass ? powers->bass[partial->string] : powers->treble[partial->string];
        for (int slope = 0; slope < SLOPES; slope++) {
            power /= partial->number;
            sum[slope] += power;
        }
    }
}

/* Of one string, or of all where it is below 0. */
static double balance(const struct powers *powers, int string, int slope)
{
    double bass = 0.0, treble = 0.0;
    for (int i = string < 0 ? 0 : string; i <= (string < 0 ? CW_STRINGS - 1 : string); i++) {
        bass += powers->bass[i][slope - 1];
        treble += powers->treble[i][slope - 1];
    }
    return bass > 0.0 && treble > 0.0 ? 10.0 * log10(treble / bass) : 0.0;
}

double cw_brightness(const struct cw_setup *setup, const struct cw_partials *partials)
{
    struct powers powers;
    powers_of(setup, partials, &powers);
    return balance(&powers, partials->string, CW_BRIGHTNESS_SLOPE);
}

void cw_brightness_change_of(const struct cw_setup *split, const struct cw_setup *full,
                             const struct cw_partials *partials, struct cw_brightness_change *change)
{
    struct cw_setup turned = *split;
    struct powers of, against, other;
    turned.value[CW_P_SPLIT_COIL] = 1.0 - split->value[CW_P_SPLIT_COIL];
    powers_of(split, partials, &of);
    powers_of(full, partials, &against);
    powers_of(&turned, partials, &other);
    double base = balance(&against, partials->string, CW_BRIGHTNESS_SLOPE);
    change->db = change->low = change->high = balance(&of, partials->string, CW_BRIGHTNESS_SLOPE) - base;
    change->other = balance(&other, partials->string, CW_BRIGHTNESS_SLOPE) - base;
    for (int string = -1; string < CW_STRINGS; string++) {
        for (int slope = 1; slope <= SLOPES; slope++) {
            double db = balance(&of, string, slope) - balance(&against, string, slope);
            change->low = fmin(change->low, db);
            change->high = fmax(change->high, db);
        }
    }
}
