/* SPDX-License-Identifier: ISC */
#include "brightness.h"

#include <math.h>

#include "circuit.h"
#include "constants.h"

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
    answers->one_is_less =
        pickup.coils == CW_COILS_SERIES && v[CW_P_SPLIT] > 0.0 && v[CW_P_SPLIT_COIL] == CW_SPLIT_COIL_ONE;
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &answers->sum);
    if (!answers->one) {
        cw_circuit_transfer(setup, &pickup, CW_DRIVE_HUM, &answers->difference);
    }
}

/* |H1 s1 + H2 s2|^2 = |sum (s1 + s2)/2 + difference (s1 - s2)/2|^2 */
static double power_at(const struct answers *answers, const struct cw_places *places, double hz, double speed)
{
    double turn = 2.0 * CW_PI * hz / speed, s1 = sin(turn * places->one), s2 = sin(turn * places->two);
    if (answers->one) {
        return cw_transfer_power(&answers->sum, hz) * s1 * s1;
    }
    double mean = 0.5 * (s1 + s2), apart = 0.5 * (answers->one_is_less ? s2 - s1 : s1 - s2);
    struct cw_complex sum = cw_transfer_at(&answers->sum, hz), difference = cw_transfer_at(&answers->difference, hz);
    double re = mean * sum.re + apart * difference.re, im = mean * sum.im + apart * difference.im;
    return re * re + im * im;
}

static void add_note(const struct answers *answers, const struct cw_places *places, double pitch, double speed,
                     double slope, double *bass, double *treble)
{
    for (int n = 1; n * pitch <= TREBLE_HIGH; n++) {
        double hz = n * pitch;
        if (hz >= BASS_LOW && hz <= BASS_HIGH) {
            *bass += power_at(answers, places, hz, speed) * pow(n, -slope);
        } else if (hz >= TREBLE_LOW) {
            *treble += power_at(answers, places, hz, speed) * pow(n, -slope);
        }
    }
}

double cw_brightness(const struct cw_setup *setup, const struct cw_places *places, double slope)
{
    int first = places->string < 0 ? 0 : places->string, last = places->string < 0 ? CW_STRINGS - 1 : places->string;
    double bass = 0.0, treble = 0.0;
    struct answers answers;
    answers_of(setup, &answers);
    for (int string = first; string <= last; string++) {
        double open = cw_string_pitch(string), speed = 2.0 * places->scale * open;
        for (int i = 0; i < FRETS; i++) {
            add_note(&answers, places, open * exp2(frets[i] / 12.0), speed, slope, &bass, &treble);
        }
    }
    return bass > 0.0 && treble > 0.0 ? 10.0 * log10(treble / bass) : 0.0;
}

static double change_at(const struct cw_setup *split, const struct cw_setup *full, const struct cw_places *places,
                        double slope)
{
    return cw_brightness(split, places, slope) - cw_brightness(full, places, slope);
}

void cw_brightness_change_of(const struct cw_setup *split, const struct cw_setup *full,
                             struct cw_brightness_change *change)
{
    struct cw_places places, middle;
    cw_places_of(split, &places);
    middle = places;
    middle.one = middle.two = 0.5 * (places.one + places.two);
    change->db = change->low = change->high = change_at(split, full, &places, 2.0);
    change->network = change_at(split, full, &middle, 2.0);
    for (int string = -1; string < CW_STRINGS; string++) {
        places.string = string;
        for (double slope = 1.0; slope <= 4.0; slope += 1.0) {
            double db = change_at(split, full, &places, slope);
            change->low = fmin(change->low, db);
            change->high = fmax(change->high, db);
        }
    }
}
