/* SPDX-License-Identifier: ISC */
/* The search for windable specs: against the full measure, against planted specs, against trying everything. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "audible.h"
#include "band_grid.h"
#include "circuit.h"
#include "coil.h"
#include "known.h"
#include "measurement.h"
#include "resonance.h"
#include "setup.h"
#include "setups.h"
#include "transfer.h"
#include "wind_rank.h"
#include "wind_search.h"

enum { ROWS = 12 };

/* Few in `make check`; CW_WIND_TARGETS=50 in `make check-match`. */
static int targets(int few)
{
    const char *text = getenv("CW_WIND_TARGETS");
    return text ? atoi(text) : getenv("CW_BRIEF") ? 1 : few;
}

static double pick(struct rng *rng, enum cw_param_id id)
{
    return cw_param_info[id].points[rng_pick(rng, (int)cw_param_info[id].point_count)].value;
}

static struct cw_setup base_setup(struct rng *rng)
{
    struct cw_setup setup;
    cw_setup_defaults(&setup);
    setup.value[CW_P_COIL_FROM] = CW_FROM_WINDING;
    setup.value[CW_P_COILS] = rng_pick(rng, 2) ? CW_COILS_SERIES : CW_COILS_ONE;
    setup.value[CW_P_CABLE_LENGTH] = rng_between(rng, 0.5, 8.0);
    setup.value[CW_P_VOLUME_POT] = rng_pick(rng, 2) ? 250.0 : 500.0;
    return setup;
}

static struct cw_setup random_spec(struct rng *rng, const struct cw_setup *base)
{
    static const enum cw_param_id drawn[] = {CW_P_GAUGE, CW_P_INSULATION, CW_P_FORMER,
                                             CW_P_CORE,  CW_P_MAGNET,     CW_P_POTTING};
    struct cw_setup setup = *base;
    struct cw_winding winding;
    for (size_t i = 0; i < sizeof drawn / sizeof drawn[0]; i++) {
        setup.value[drawn[i]] = pick(rng, drawn[i]);
    }
    setup.value[CW_P_COVER] = rng_pick(rng, CW_COVER_BY_VALUES);
    cw_coil_winding(&setup, 0, &winding);
    setup.value[CW_P_TURNS] = round(fmin(rng_between(rng, 0.4, 1.0) * winding.fits, 12000.0));
    return setup;
}

/* A pickup as a fit gives it: values that no winding need have. */
static struct cw_setup random_benchmark(struct rng *rng, const struct cw_setup *base)
{
    struct cw_setup setup = *base;
    setup.value[CW_P_COIL_FROM] = CW_FROM_MEASURED;
    setup.value[CW_P_INDUCTANCE] = rng_between(rng, 1.8, 8.0);
    setup.value[CW_P_RESISTANCE] = rng_between(rng, 4.0, 13.0);
    setup.value[CW_P_CAPACITANCE] = rng_between(rng, 60.0, 250.0);
    setup.value[CW_P_LOSS] = rng_log(rng, 200.0, 3000.0);
    setup.value[CW_P_CORE_SHARE] = rng_between(rng, 0.0, 50.0);
    return setup;
}

/* ---- the measure on few frequencies -------------------------------------------------------------- */

static void few_frequencies_tell_the_same(void **state)
{
    static struct cw_band_grid grid;
    struct rng rng = {11};
    double worst = 0.0, worst_peak = 0.0;
    (void)state;
    cw_band_grid_init(&grid);
    for (int i = 0; i < 60; i++) {
        struct cw_setup base = base_setup(&rng), setup = random_spec(&rng, &base);
        struct cw_pickup pickup;
        struct cw_transfer h;
        double power[CW_BAND_GRID_POINTS], few[CW_AUDIBLE_BANDS], all[CW_AUDIBLE_BANDS];
        cw_coil_solve(&setup, &pickup);
        cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &h);
        cw_audible_levels(&h, all);
        cw_band_grid_power(&grid, &h, power);
        cw_band_grid_levels(&grid, power, few);
        for (int b = 0; b < CW_AUDIBLE_BANDS; b++) {
            worst = fmax(worst, fabs(few[b] - all[b]));
        }
        struct cw_resonance resonance = cw_resonance_of(&setup, &h);
        struct cw_peak peak = cw_peak_of(&h, &resonance);
        if (peak.hz > 0.0 && peak.hz < 18000.0 && peak.db > 0.0) {
            worst_peak = fmax(worst_peak, fabs(cw_band_grid_peak(power, cw_transfer_power(&h, 0.0)) - peak.db));
        }
    }
    print_message("bands from %d frequencies: worst %.4f dB of the full measure; peaks %.4f dB\n", CW_BAND_GRID_POINTS,
                  worst, worst_peak);
    assert_true(worst < 0.02);
    assert_true(worst_peak < 0.1);
}

/* ---- a search in one thread ----------------------------------------------------------------------- */

static struct cw_wind_search search;
static struct cw_wind_candidate row[ROWS];

static size_t run_search(size_t *near)
{
    size_t kinds = cw_wind_kinds(&search), count = 0;
    struct cw_wind_found *found = calloc(kinds, sizeof *found);
    assert_non_null(found);
    for (size_t i = 0; i < kinds; i++) {
        count += cw_wind_solve(&search, i, &found[count]);
    }
    size_t rows = cw_wind_rank(&search, found, count, 0.0, false, row, ROWS, near);
    free(found);
    return rows;
}

static void keep(enum cw_wind_axis_id axis, int count, const double *value)
{
    search.axis[axis].count = count;
    for (int i = 0; i < count; i++) {
        search.axis[axis].value[i] = value[i];
    }
}

/* A spec that can be wound is found among all discrete choices, or one that cannot be told from it. */
static void planted_specs_are_found(void **state)
{
    struct rng rng = {5};
    double worst = 0.0;
    int same = 0, count = targets(2);
    (void)state;
    for (int i = 0; i < count; i++) {
        struct cw_setup base = base_setup(&rng), planted = random_spec(&rng, &base);
        size_t near;
        cw_wind_search_init(&search, &base);
        cw_wind_target_bands(&search.target, &planted);
        assert_int_equal(search.axis[CW_AXIS_GAUGE].count, cw_param_info[CW_P_GAUGE].point_count);
        assert_int_equal(run_search(&near), ROWS);
        worst = fmax(worst, row[0].found.times);
        same += row[0].setup.value[CW_P_TURNS] == planted.value[CW_P_TURNS] &&
                row[0].setup.value[CW_P_GAUGE] == planted.value[CW_P_GAUGE];
        assert_int_equal(row[0].place, 1);
        assert_true(row[0].found.times < 0.03);
        assert_true(near >= 1);
    }
    print_message("%d planted specs: %d found with their own wire and turns, worst first place %.4f times\n", count,
                  same, worst);
}

/* The combination of a planted spec; with its first magnet, where all are solved as one. */
static size_t kind_of(const struct cw_setup *planted)
{
    size_t kind = 0;
    for (int a = 0; a < CW_AXES; a++) {
        int at = 0;
        while (search.axis[a].value[at] != planted->value[cw_wind_axis_param((enum cw_wind_axis_id)a)]) {
            at++;
        }
        bool one = a == CW_AXIS_MAGNET && planted->value[CW_P_CORE] != CW_CORE_MAGNET_RODS;
        kind = kind * (size_t)search.axis[a].count + (one ? 0 : (size_t)at);
    }
    return kind;
}

/* Turns are solved near enough that what can be met is among those that are polished: bands may be missed at both ends
 * where the tilt turns round. */
static void turns_are_solved_near_the_least_miss(void **state)
{
    struct rng rng = {5};
    double worst = 0.0, worst_polished = 0.0;
    (void)state;
    for (int i = 0; i < 100; i++) {
        struct cw_setup base = base_setup(&rng), planted = random_spec(&rng, &base);
        struct cw_wind_found found;
        cw_wind_search_init(&search, &base);
        cw_wind_target_bands(&search.target, &planted);
        assert_true(cw_wind_solve(&search, kind_of(&planted), &found));
        worst = fmax(worst, found.times);
        cw_wind_polish(&search, &found);
        worst_polished = fmax(worst_polished, found.times);
    }
    print_message("100 planted specs: their own turns within %.3f times, %.4f polished\n", worst, worst_polished);
    assert_true(worst < 0.2);
    assert_true(worst_polished < 0.02);
}

/* ---- against trying everything --------------------------------------------------------------------- */

/* The full measure, by itself. */
static double full_times(const struct cw_setup *setup, const double target[CW_AUDIBLE_BANDS])
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    double level[CW_AUDIBLE_BANDS];
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    cw_audible_levels(&h, level);
    return cw_audible_of(level, target).times;
}

/* Every kind that is allowed with every so manieth turn: the least miss. */
static double try_everything(double step)
{
    double least = HUGE_VAL;
    for (size_t kind = 0; kind < cw_wind_kinds(&search); kind++) {
        struct cw_setup setup;
        cw_wind_kind(&search, kind, &setup);
        double most = cw_wind_room(&search, &setup);
        for (double turns = search.turns_low; turns <= most; turns += step) {
            setup.value[CW_P_TURNS] = turns;
            least = fmin(least, cw_wind_miss(&search, &setup, NULL, NULL));
        }
    }
    return least;
}

static void limit_axes(struct rng *rng)
{
    double gauge = 40.0 + rng_pick(rng, 4), former = rng_pick(rng, CW_FORMERS), core = rng_pick(rng, CW_CORES);
    keep(CW_AXIS_GAUGE, 3, (const double[]){gauge, gauge + 0.5, gauge + 2.0});
    keep(CW_AXIS_FORMER, 2, (const double[]){former, former == 0.0 ? 1.0 : 0.0});
    keep(CW_AXIS_CORE, 2, (const double[]){core, core == 4.0 ? 2.0 : 4.0});
    keep(CW_AXIS_POTTING, 2, (const double[]){CW_POTTING_NONE, CW_POTTING_BEESWAX});
    keep(CW_AXIS_INSULATION, 1, (const double[]){CW_INSULATION_SINGLE});
    keep(CW_AXIS_COVER, 2, (const double[]){CW_COVER_NONE, CW_COVER_BRASS});
    keep(CW_AXIS_MAGNET, 2, (const double[]){CW_MAGNET_ALNICO_3, CW_MAGNET_ALNICO_5});
    search.turns_low = 1500.0;
    search.turns_high = 10000.0;
}

static void nothing_that_is_tried_is_nearer(void **state)
{
    struct rng rng = {7};
    double worst = 0.0;
    const double step = getenv("CW_BRIEF") ? 200.0 : 20.0;
    int count = targets(4);
    (void)state;
    for (int i = 0; i < count; i++) {
        struct cw_setup base = base_setup(&rng), benchmark = random_benchmark(&rng, &base);
        cw_wind_search_init(&search, &base);
        cw_wind_target_bands(&search.target, &benchmark);
        limit_axes(&rng);
        assert_true(run_search(NULL) > 0);
        double least = try_everything(step), beaten = row[0].found.times - least;
        worst = fmax(worst, beaten);
        assert_true(fabs(full_times(&row[0].setup, search.target.level) - row[0].found.times) < 1e-9);
        assert_true(beaten < 0.02);
    }
    print_message("%d targets, every %.0fth turn of 192 kinds tried: the first is beaten by %.4f times at most\n",
                  count, step, worst);
}

/* Random specs of all kinds, with random turns, against the whole search. */
static void no_random_spec_is_nearer(void **state)
{
    struct rng rng = {9};
    double worst = -HUGE_VAL;
    int count = targets(1), specs = 20000;
    (void)state;
    if (getenv("CW_BRIEF")) {
        print_message("in brief, planted specs are enough of whole searches\n");
        skip();
    }
    for (int i = 0; i < count; i++) {
        struct cw_setup base = base_setup(&rng), benchmark = random_benchmark(&rng, &base);
        cw_wind_search_init(&search, &base);
        cw_wind_target_bands(&search.target, &benchmark);
        assert_true(run_search(NULL) > 0);
        double least = HUGE_VAL;
        for (int k = 0; k < specs; k++) {
            struct cw_setup spec = random_spec(&rng, &base);
            least = fmin(least, cw_wind_miss(&search, &spec, NULL, NULL));
        }
        worst = fmax(worst, row[0].found.times - least);
        assert_true(row[0].found.times < least + 0.02);
    }
    print_message("%d targets, %d random specs each: the nearest of them is %.3f times behind the first or more\n",
                  count, specs, -worst);
}

/* ---- the list --------------------------------------------------------------------------------------- */

static void places_hold_equals(void **state)
{
    struct rng rng = {21};
    (void)state;
    struct cw_setup base = base_setup(&rng), benchmark = random_benchmark(&rng, &base);
    cw_wind_search_init(&search, &base);
    cw_wind_target_bands(&search.target, &benchmark);
    limit_axes(&rng);
    size_t rows = run_search(NULL), leader = 0;
    for (size_t i = 1; i < rows; i++) {
        bool same = row[i].place == row[i - 1].place;
        assert_true(same || row[i].place == row[i - 1].place + 1);
        assert_true(!same || row[i].found.times >= row[i - 1].found.times);
        leader = same ? leader : i;
        assert_true(fabs(cw_audible_of(row[i].level, row[leader].level).worst) <= CW_WIND_EQUAL_DB);
        assert_true(row[i].uncertainty > 0.0);
    }
}

/* More is known of a calibrated coil, and less of what is far from it is varied. */
static void a_calibrated_base_holds(void **state)
{
    struct rng rng = {2};
    (void)state;
    struct cw_setup base = base_setup(&rng), moved;
    const struct cw_known none = {.given = false}, read = {.given = true, .shift[CW_READ_INDUCTANCE] = {0, 0.02}};
    base.value[CW_P_TURNS] = 4000.0;
    moved = base;
    moved.value[CW_P_INDUCTANCE_CAL] = 104.0;
    moved.value[CW_P_RESISTANCE_CAL] = 97.0;
    moved.value[CW_P_CAPACITANCE_CAL] = 120.0;
    assert_false(cw_wind_is_calibrated(&base));
    assert_true(cw_wind_is_calibrated(&moved));
    assert_true(cw_wind_uncertainty(&moved, &none) < cw_wind_uncertainty(&base, &none));
    assert_true(cw_wind_uncertainty(&moved, &read) > cw_wind_uncertainty(&moved, &none));
    cw_wind_search_init(&search, &moved);
    assert_int_equal(search.axis[CW_AXIS_CORE].count, 1);
    assert_int_equal(search.axis[CW_AXIS_FORMER].count, 1);
    assert_true(search.axis[CW_AXIS_GAUGE].count > 1);
    assert_true(search.base.value[CW_P_INDUCTANCE_CAL] == 104.0);
}

/* Wishes that one spec has, found again; and turns of both coils. */
static void wishes_are_met(void **state)
{
    struct rng rng = {31};
    (void)state;
    struct cw_setup base = base_setup(&rng);
    base.value[CW_P_COILS] = CW_COILS_SERIES;
    struct cw_setup spec = base;
    spec.value[CW_P_TURNS] = 4700.0;
    double figure[CW_WISHES];
    cw_wind_figures(&spec, figure);
    cw_wind_search_init(&search, &base);
    for (int i = 0; i < CW_WISHES; i++) {
        search.target.wished[i] = true;
        search.target.wish[i] = figure[i];
    }
    if (getenv("CW_BRIEF")) {
        keep(CW_AXIS_COVER, 1, &base.value[CW_P_COVER]);
        keep(CW_AXIS_MAGNET, 1, &base.value[CW_P_MAGNET]);
    }
    assert_true(run_search(NULL) > 0);
    assert_true(row[0].found.times < 0.1);
    assert_true(fabs(row[0].figure[CW_WISH_RESONANCE] / figure[CW_WISH_RESONANCE] - 1.0) < 0.005);
    assert_true(fabs(row[0].figure[CW_WISH_RESISTANCE] / figure[CW_WISH_RESISTANCE] - 1.0) < 0.005);
    assert_true(fabs(row[0].figure[CW_WISH_LEVEL] - figure[CW_WISH_LEVEL]) < 0.1);
}

static void both_coils_are_solved(void **state)
{
    struct rng rng = {41};
    (void)state;
    struct cw_setup base = base_setup(&rng);
    base.value[CW_P_COILS] = CW_COILS_SERIES;
    base.value[CW_P_SPLIT] = 1.0;
    struct cw_setup spec = base;
    spec.value[CW_P_TURNS] = 4200.0;
    spec.value[CW_P_SECOND_TURNS] = 88.0;
    cw_wind_search_init(&search, &base);
    cw_wind_target_bands(&search.target, &spec);
    for (int i = 0; i < CW_AXES; i++) {
        enum cw_param_id id = cw_wind_axis_param((enum cw_wind_axis_id)i);
        keep((enum cw_wind_axis_id)i, 1, &base.value[id]);
    }
    search.second_low = 80.0;
    search.second_high = 110.0;
    assert_int_equal(run_search(NULL), 1);
    assert_true(row[0].found.second >= 80.0 && row[0].found.second <= 110.0);
    print_message("coil two of 88 %% found as %.1f %%, %.0f turns for 4200: %.4f times\n", row[0].found.second,
                  row[0].found.turns, row[0].found.times);
    assert_true(row[0].found.times < 0.05);
}

/* No room: turns that no window takes. */
static void what_does_not_fit_is_left_out(void **state)
{
    struct rng rng = {3};
    (void)state;
    struct cw_setup base = base_setup(&rng);
    cw_wind_search_init(&search, &base);
    keep(CW_AXIS_GAUGE, 1, (const double[]){38.0});
    keep(CW_AXIS_FORMER, 1, (const double[]){CW_FORMER_DUAL});
    search.turns_low = search.turns_high = 9000.0;
    cw_wind_target_bands(&search.target, &base);
    assert_int_equal(run_search(NULL), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(few_frequencies_tell_the_same),
        cmocka_unit_test(planted_specs_are_found),
        cmocka_unit_test(turns_are_solved_near_the_least_miss),
        cmocka_unit_test(nothing_that_is_tried_is_nearer),
        cmocka_unit_test(no_random_spec_is_nearer),
        cmocka_unit_test(places_hold_equals),
        cmocka_unit_test(a_calibrated_base_holds),
        cmocka_unit_test(wishes_are_met),
        cmocka_unit_test(both_coils_are_solved),
        cmocka_unit_test(what_does_not_fit_is_left_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
