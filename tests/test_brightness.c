/* SPDX-License-Identifier: ISC */
/* How bright a split is under real strings. The tables were worked out by a program that shares no code with
 * the core, partial by partial: power n^-2, six strings, frets 0, 3, 5 and 7, summed in power; scale 648 mm,
 * coils 9 mm to either side of the middle. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>

#include "brightness.h"
#include "places.h"
#include "setup.h"
#include "setups.h"
#include "split_kind.h"

static const struct row {
    const char *name;
    enum cw_split_by by;
    double keep, resistor, capacitor;
    double bridge_network, bridge_nearer, bridge_farther; /* dB */
    double neck_nearer, neck_farther;
} rows[] = {
    {"one coil alone", CW_SPLIT_TAPPED, 0, 1, 1, 1.3, 5.4, 1.3, 4.1, 3.5},
    {"tap 49 %", CW_SPLIT_TAPPED, 49, 1, 1, 0.9, 1.7, 0.0, 1.4, 1.1},
    {"resistor 6.8k", CW_SPLIT_R, 50, 6.8, 1, -3.8, -0.3, -2.1, -0.7, -0.9},
    {"capacitor 120n", CW_SPLIT_C, 50, 1, 120, -4.1, -0.4, -1.2, -0.8, -1.0},
    {"3.9k + 180n", CW_SPLIT_RC_SERIES, 50, 3.9, 180, -3.9, -0.1, -1.8, -0.6, -0.8},
};

static struct cw_setup job(const struct row *row, double centre, bool nearer)
{
    struct cw_setup s = setups_job_12();
    double *v = s.value;
    v[CW_P_INPUT_CAPACITANCE] = 0; /* as the tables have it */
    v[CW_P_SPLIT] = 1;
    v[CW_P_SPLIT_BY] = row->by;
    v[CW_P_SPLIT_KEEP] = row->keep;
    v[CW_P_SPLIT_RESISTOR] = row->resistor;
    v[CW_P_SPLIT_CAPACITOR] = row->capacitor;
    v[CW_P_BRIDGE_DISTANCE] = centre;
    v[CW_P_NEAR_COIL] = nearer ? CW_NEAR_COIL_ONE : CW_NEAR_COIL_TWO; /* coil one stays */
    return s;
}

static double off_by(const char *what, const struct row *row, double found, double wanted)
{
    print_message("%-15s %-16s %+5.2f dB, wanted %+.1f\n", row->name, what, found, wanted);
    return fabs(found - wanted);
}

/* One signal for both coils, from the middle of the pickup. */
static double network_alone(const struct cw_setup *split, const struct cw_setup *full)
{
    struct cw_places middle;
    struct cw_partials partials;
    cw_places_of(split, &middle);
    middle.one = middle.two = 0.5 * (middle.one + middle.two);
    cw_partials_of(&middle, &partials);
    return cw_brightness(split, &partials) - cw_brightness(full, &partials);
}

static void changes_are_those_of_the_tables(void **state)
{
    double worst = 0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct row *row = &rows[i];
        const double wanted[4] = {row->bridge_nearer, row->bridge_farther, row->neck_nearer, row->neck_farther};
        for (int k = 0; k < 4; k++) {
            struct cw_setup split = job(row, k < 2 ? 45 : 155, k % 2 == 0), full = split;
            struct cw_brightness_change change;
            full.value[CW_P_SPLIT] = 0;
            struct cw_places places;
            struct cw_partials partials;
            cw_places_of(&split, &places);
            cw_partials_of(&places, &partials);
            cw_brightness_change_of(&split, &full, &partials, &change);
            static const char *const what[4] = {"bridge, nearer", "bridge, farther", "neck, nearer", "neck, farther"};
            worst = fmax(worst, off_by(what[k], row, change.db, wanted[k]));
            assert_true(change.low <= change.db && change.db <= change.high);
            /* the coil at the sleeve stays: the network about it is not quite the same */
            assert_true(off_by("other coil", row, change.other, wanted[k ^ 1]) < 0.25);
            if (k == 0) {
                worst = fmax(worst, off_by("network alone", row, network_alone(&split, &full), row->bridge_network));
            }
        }
    }
    print_message("worst %.2f dB\n", worst);
    assert_true(worst < 0.15);
    (void)state;
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(changes_are_those_of_the_tables)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
