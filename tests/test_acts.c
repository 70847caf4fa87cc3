/* SPDX-License-Identifier: ISC */
/* What acts. The judge is the model itself, asked without the rule: a parameter that is said to do
 * nothing is moved, and neither the response nor any figure may follow; one that is said to act is
 * moved, and something must. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "acts.h"
#include "circuit.h"
#include "coil.h"
#include "figures.h"
#include "places.h"
#include "setup.h"
#include "setups.h"
#include "split_kind.h"
#include "transfer.h"

enum { TRIALS = 2000, MOVES = 3, POINTS = 24, PLACES = CW_PLACE_POINTS, SEEN = POINTS + CW_METERS + PLACES };

/* What the coils' places make of a setup; nothing of a silent one. */
static void see_places(const struct cw_setup *setup, const struct cw_pickup *pickup, double seen[PLACES])
{
    static struct cw_place_means means;
    struct cw_places places;
    cw_places_of(setup, &places);
    if (memcmp(&places, &means.of, sizeof places) != 0) {
        cw_place_means_of(&places, &means);
    }
    cw_place_power(setup, pickup, &means, seen);
    for (int i = 0; i < PLACES; i++) {
        seen[i] = isfinite(seen[i]) ? seen[i] : 0.0;
    }
}

/* Everything that can be heard or read of a setup. */
static void see(const struct cw_setup *setup, double seen[SEEN])
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    struct cw_figures figures;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    for (int i = 0; i < POINTS; i++) {
        seen[i] = cw_transfer_power(&h, 20.0 * pow(1000.0, i / (POINTS - 1.0)));
    }
    cw_figures_of(setup, 50.0, &figures);
    memcpy(seen + POINTS, figures.value, sizeof figures.value);
    see_places(setup, &pickup, seen + POINTS + CW_METERS);
}

/* The largest change, relative, of anything seen. */
static double largest_change(const double before[SEEN], const double after[SEEN])
{
    double largest = 0.0;
    for (int i = 0; i < SEEN; i++) {
        double size = fmax(fabs(before[i]), fabs(after[i]));
        largest = size > 0.0 ? fmax(largest, fabs(after[i] - before[i]) / size) : largest;
    }
    return largest;
}

/* Setups of every kind, wound and measured, with controls at their ends more often than by chance. */
static void any_setup(struct rng *rng, int index, struct cw_setup *setup)
{
    double *v = setup->value;
    setups_random(rng, index, setup);
    v[CW_P_COIL_FROM] = rng_pick(rng, 2);
    v[CW_P_CORE_SHARE] = rng_pick(rng, 3) > 0 ? 40.0 : 0.0;
    v[CW_P_COVER] = rng_pick(rng, CW_COVERS);
    v[CW_P_SPLIT] = rng_pick(rng, 3) > 0;
    v[CW_P_VOLUME] = rng_pick(rng, 8) == 0 ? 0.0 : v[CW_P_VOLUME];
    v[CW_P_CABLE_LENGTH] = rng_pick(rng, 4) == 0 ? 0.0 : v[CW_P_CABLE_LENGTH];
    /* Formers that take the turns: full ones make unequal coils equal. */
    v[CW_P_TURNS] = rng_pick(rng, 1500) + 500.0;
    v[CW_P_FORMER_HEIGHT] = v[CW_P_FORMER_BUILD] = 200.0;
}

/* The value of a parameter's nth move: every value of a list, the other of a toggle, else any. */
static double nth_value(struct rng *rng, const struct cw_param_info *info, double now, int n)
{
    if (info->flags & CW_ENUM) {
        return info->points[n].value;
    }
    return info->flags & CW_TOGGLE ? 1.0 - now : setups_value(rng, info);
}

/* Move a parameter several times. \return the largest change that followed */
static double change_by_moving(struct rng *rng, const struct cw_setup *setup, enum cw_param_id id)
{
    const struct cw_param_info *info = &cw_param_info[id];
    double before[SEEN], after[SEEN], largest = 0.0;
    int moves = info->flags & CW_ENUM ? (int)info->point_count : MOVES;
    see(setup, before);
    for (int i = 0; i < moves; i++) {
        struct cw_setup moved = *setup;
        moved.value[id] = nth_value(rng, info, setup->value[id], i);
        see(&moved, after);
        largest = fmax(largest, largest_change(before, after));
    }
    return largest;
}

/* Where the rule says no, what is seen stays but for rounding (1e-6: hum of nearly equal coils is a
 * small difference); where it says yes, it moves, unless the volume is closed. A few setups are so far out that a part
 * is nothing beside the others, so that one in forty may stay. */
static void test_rule_is_that_of_the_model(void **state)
{
    (void)state;
    struct rng rng = {1};
    int acts[CW_PARAMS] = {0}, moved[CW_PARAMS] = {0}, reason[CW_IDLES] = {0};
    int trials = getenv("CW_BRIEF") ? TRIALS / 8 : TRIALS;
    for (int i = 0; i < trials; i++) {
        struct cw_setup setup;
        any_setup(&rng, i, &setup);
        for (int id = 0; id < CW_PARAMS; id++) {
            enum cw_idle why = cw_param_idle(&setup, (enum cw_param_id)id);
            double change = change_by_moving(&rng, &setup, (enum cw_param_id)id);
            reason[why]++;
            bool should = why == CW_ACTS && setup.value[CW_P_VOLUME] > 0.0;
            acts[id] += should;
            moved[id] += should && change > 1e-8;
            if (why != CW_ACTS && change > 1e-6) {
                fail_msg("%s is said to do nothing (%s) and changes something by %g: %s", cw_param_info[id].symbol,
                         cw_idle_words(why), change, setups_describe(&setup));
            }
        }
    }
    for (int id = 0; id < CW_PARAMS; id++) {
        if (acts[id] < trials / 20 || (trials == TRIALS && moved[id] < 0.975 * acts[id])) {
            fail_msg("%s is said to act in %d setups and does in %d", cw_param_info[id].symbol, acts[id], moved[id]);
        }
    }
    for (int why = 0; why < CW_IDLES; why++) {
        if (reason[why] == 0) {
            fail_msg("no setup gives reason %d (%s)", why, cw_idle_words((enum cw_idle)why));
        }
    }
}

static void says(const struct cw_setup *setup, enum cw_param_id id, const char *words)
{
    assert_string_equal(cw_idle_words(cw_param_idle(setup, id)), words);
    assert_int_equal(cw_param_acts(setup, id), *words == '\0');
}

/* The reason that a person meets first is the one that is told. */
static void test_reasons(void **state)
{
    (void)state;
    struct cw_setup s;
    cw_setup_defaults(&s);
    says(&s, CW_P_COUPLING, "there is one coil");
    says(&s, CW_P_SECOND_TURNS, "there is one coil");
    says(&s, CW_P_SPLIT, "only two coils in series can be split");
    says(&s, CW_P_TURNS, "the coil's values are measured ones");
    s.value[CW_P_COILS] = CW_COILS_SERIES;
    says(&s, CW_P_SPLIT, "");
    says(&s, CW_P_SPLIT_KEEP, "split is off");
    says(&s, CW_P_SPLIT_RESISTOR, "split is off");
    says(&s, CW_P_BLEED_RESISTOR, "there is no treble bleed capacitor");
    s.value[CW_P_SPLIT] = 1.0;
    says(&s, CW_P_SPLIT_KEEP, "");
    says(&s, CW_P_SPLIT_RESISTOR, "this kind of split has no such part");
    s.value[CW_P_COIL_FROM] = CW_FROM_WINDING;
    says(&s, CW_P_INDUCTANCE, "the coil's values come from its winding");
    says(&s, CW_P_MAGNET, "");
}

/* Every reason is told, each in its own words. */
static void test_words(void **state)
{
    (void)state;
    for (int a = CW_ACTS + 1; a < CW_IDLES; a++) {
        assert_true(strlen(cw_idle_words((enum cw_idle)a)) > 5);
        for (int b = 0; b < a; b++) {
            assert_string_not_equal(cw_idle_words((enum cw_idle)a), cw_idle_words((enum cw_idle)b));
        }
    }
}

static bool names(const struct cw_split_kind *kind, const char *place) { return strstr(kind->wiring, place) != NULL; }

/* Each kind has one or two parts to be chosen, a word of its own, and a sentence with its parts and no others. */
static void test_kinds_of_split(void **state)
{
    (void)state;
    for (int by = 0; by < CW_SPLIT_KINDS; by++) {
        const struct cw_split_kind *kind = &cw_split_kind[by];
        unsigned parts = cw_split_parts_of((enum cw_split_by)by);
        bool keep = parts & CW_PART_KEEP, resistor = parts & CW_PART_RESISTOR, capacitor = parts & CW_PART_CAPACITOR;
        assert_in_range(keep + resistor + capacitor, 1, 2);
        assert_int_equal(names(kind, "{keep}"), keep);
        assert_int_equal(names(kind, "{resistor}"), resistor);
        assert_int_equal(names(kind, "{capacitor}"), capacitor);
        assert_true(names(kind, "{coil}") && strlen(kind->brief) <= 20);
        assert_string_equal(kind->label, cw_param_info[CW_P_SPLIT_BY].points[by].label);
        for (int other = 0; other < by; other++) {
            assert_string_not_equal(kind->word, cw_split_kind[other].word);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rule_is_that_of_the_model),
        cmocka_unit_test(test_reasons),
        cmocka_unit_test(test_words),
        cmocka_unit_test(test_kinds_of_split),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
