/* SPDX-License-Identifier: ISC */
/* Spread: against the coil's own model, against first order, against physics in closed form. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "jobs.h"
#include "resonance.h"
#include "scatter.h"
#include "setup.h"
#include "split_kind.h"
#include "spread.h"
#include "wire.h"
#include "within.h"

enum { DESIGNS = 5, DRAWS = 40000 };

/* A coil by values; windings of one and two coils, equal and not; a split with parts. */
static struct cw_setup design(int which)
{
    struct cw_setup setup;
    cw_setup_defaults(&setup);
    setup.value[CW_P_COIL_FROM] = which > 0 ? CW_FROM_WINDING : CW_FROM_MEASURED;
    setup.value[CW_P_COILS] = which > 1 ? CW_COILS_SERIES : CW_COILS_ONE;
    setup.value[CW_P_TURNS] = 4800.0;
    setup.value[CW_P_GAUGE] = 43.0;
    if (which == 1) {
        setup.value[CW_P_FORMER] = CW_FORMER_TALL;
        setup.value[CW_P_CORE] = CW_CORE_MAGNET_RODS;
        setup.value[CW_P_TURNS] = 8000.0;
    }
    if (which == 3) {
        setup.value[CW_P_SECOND_TURNS] = 96.0;
        setup.value[CW_P_COVER] = CW_COVER_NICKEL_SILVER;
    }
    if (which == 4) {
        setup.value[CW_P_SPLIT] = 1.0;
        setup.value[CW_P_SPLIT_BY] = 1.0;
    }
    return setup;
}

static void start(struct cw_spread *spread, int which)
{
    struct cw_scatter scatter;
    struct cw_setup setup = design(which);
    cw_scatter_usual(&setup, &scatter);
    cw_spread_start(spread, &setup, &scatter);
}

/* Limits of NEMA MW 1000 for AWG 42 and 43: .06096 .06350 .06604, .05334 .05588 .05842 mm. */
static void the_wire_keeps_its_limits(void **state)
{
    (void)state;
    struct cw_scatter scatter;
    struct cw_setup setup = design(1);
    cw_scatter_usual(&setup, &scatter);
    within(scatter.half[CW_SCATTER_WIRE], 100.0 * 0.00254 / 0.05588, 1e-9, "43");
    setup = design(0);
    cw_scatter_usual(&setup, &scatter);
    within(scatter.half[CW_SCATTER_WIRE], 100.0 * 0.00254 / 0.0635, 1e-9, "42");
    assert_int_equal(cw_scatter_find("magnet"), CW_SCATTER_MAGNET);
    assert_int_equal(cw_scatter_find("colour"), -1);
}

/* Nothing off gives the design itself, to the bit. */
static void the_nominal_pickup_is_the_design(void **state)
{
    (void)state;
    for (int which = 0; which < DESIGNS; which++) {
        struct cw_spread spread;
        struct cw_setup setup;
        struct cw_pickup pickup, solved;
        const struct cw_deviation none = {{0.0}};
        start(&spread, which);
        cw_spread_make(&spread, &none, &setup, &pickup);
        cw_coil_solve(&spread.setup, &solved);
        assert_memory_equal(&setup, &spread.setup, sizeof setup);
        for (int coil = 0; coil < 2; coil++) {
            assert_true(pickup.coil[coil].emf == solved.coil[coil].emf);
            assert_true(pickup.coil[coil].capacitance == solved.coil[coil].capacitance);
            assert_true(pickup.coil[coil].inductance == solved.coil[coil].inductance);
        }
    }
}

/* The surface against the model itself: turns off by 1 %, packing by 8 %, together and apart. */
static void the_surface_lies_on_the_model(void **state)
{
    (void)state;
    double worst = 0.0;
    for (int which = 1; which < DESIGNS; which++) {
        struct cw_spread spread;
        start(&spread, which);
        for (int i = 0; i < 9; i++) {
            struct cw_deviation off = {{0.0}};
            struct cw_setup setup, moved = spread.setup;
            struct cw_pickup pickup, solved;
            off.of[CW_VARY_TURNS_ONE] = off.of[CW_VARY_TURNS_TWO] = 2.0 * (i % 3 - 1);
            off.of[CW_VARY_PACKING_ONE] = off.of[CW_VARY_PACKING_TWO] = i / 3 - 1;
            moved.value[CW_P_TURNS] *= 1.0 + 0.01 * (i % 3 - 1);
            moved.value[CW_P_PACKING] *= 1.0 + 0.08 * (i / 3 - 1);
            cw_spread_make(&spread, &off, &setup, &pickup);
            cw_coil_solve(&moved, &solved);
            for (int coil = 0; coil < 1 + (which > 1); coil++) {
                const struct cw_coil *a = &pickup.coil[coil], *b = &solved.coil[coil];
                worst = worse(worst, fabs(a->emf / b->emf - 1.0));
                worst = worse(worst, fabs(a->resistance / b->resistance - 1.0));
                worst = worse(worst, fabs(a->inductance / b->inductance - 1.0));
                worst = worse(worst, fabs(a->capacitance / b->capacitance - 1.0));
                worst = worse(worst, fabs(a->loss / b->loss - 1.0));
                worst = worse(worst, fabs(a->branch[0].inductance / b->branch[0].inductance - 1.0));
                worst = worse(worst, fabs(a->branch[0].resistance / b->branch[0].resistance - 1.0));
            }
        }
    }
    print_message("surface against model: %.2g\n", worst);
    assert_true(worst < 2e-3);
}

/* Thick and thin wire: resistance goes as 1/d^2 but for the longer turns; 10 degC warmer is 3.93 % more. */
static void resistance_follows_wire_and_temperature(void **state)
{
    (void)state;
    struct cw_spread spread;
    struct cw_deviation off = {{0.0}};
    double figure[CW_SPREAD_FIGURES], nominal[CW_SPREAD_FIGURES];
    start(&spread, 0);
    cw_spread_figures(&spread, &off, nominal, NULL);
    off.of[CW_VARY_TEMPERATURE] = 2.0;
    cw_spread_figures(&spread, &off, figure, NULL);
    within(figure[CW_SPREAD_RESISTANCE] / nominal[CW_SPREAD_RESISTANCE], 1.0393, 1e-12, "temperature");
    off.of[CW_VARY_TEMPERATURE] = 0.0;
    off.of[CW_VARY_WIRE] = -1.0;
    cw_spread_figures(&spread, &off, figure, NULL);
    within(figure[CW_SPREAD_RESISTANCE] / nominal[CW_SPREAD_RESISTANCE], 1.0 / (0.96 * 0.96), 0.02, "thin wire");
}

struct drawn {
    struct cw_spread spread;
    double figure[CW_SPREAD_FIGURES][DRAWS];
};

static bool draw_some(void *data, size_t job)
{
    struct drawn *drawn = data;
    for (size_t i = job * DRAWS / 10; i < (job + 1) * DRAWS / 10; i++) {
        struct cw_deviation deviation;
        double figure[CW_SPREAD_FIGURES];
        cw_spread_draw(11, i, &deviation);
        cw_spread_figures(&drawn->spread, &deviation, figure, NULL);
        for (int f = 0; f < CW_SPREAD_FIGURES; f++) {
            drawn->figure[f][i] = figure[f];
        }
    }
    return true;
}

/* Draws against first order, where that holds: the standard deviation within 3 %. */
static void draws_agree_with_first_order(void **state)
{
    (void)state;
    struct drawn *drawn = malloc(sizeof *drawn);
    assert_non_null(drawn);
    double worst = 0.0;
    for (int which = 0; which < DESIGNS; which++) {
        start(&drawn->spread, which);
        assert_true(cw_jobs_run(10, draw_some, drawn));
        for (int f = 0; f < CW_SPREAD_FIGURES - 1; f++) {
            struct cw_spread_estimate estimate;
            struct cw_spread_found found = cw_spread_found_of(drawn->figure[f], DRAWS);
            cw_spread_estimate(&drawn->spread, (enum cw_spread_figure)f, &estimate);
            double sum = 0.0, error = fabs(found.standard / estimate.standard - 1.0);
            for (int i = 0; i < CW_SCATTERS; i++) {
                sum += estimate.share[i];
            }
            within(sum, 1.0, 1e-12, "shares");
            worst = worse(worst, error);
            within(found.mean, estimate.nominal, 0.2 * estimate.standard, "mean");
            assert_true(estimate.worst_low < found.low && found.high < estimate.worst_high);
        }
    }
    print_message("standard deviation, draws against first order: %.2f %%\n", 100.0 * worst);
    assert_true(worst < 0.03);
    free(drawn);
}

/* Every job by itself, backwards, on this thread alone. */
static void threads_change_nothing(void **state)
{
    (void)state;
    struct drawn *several = malloc(sizeof *several), *one = malloc(sizeof *one);
    assert_non_null(several);
    assert_non_null(one);
    start(&several->spread, 3);
    start(&one->spread, 3);
    assert_true(cw_jobs_run(10, draw_some, several));
    for (size_t job = 10; job-- > 0;) {
        draw_some(one, job);
    }
    assert_memory_equal(several->figure, one->figure, sizeof one->figure);
    free(several);
    free(one);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_wire_keeps_its_limits),     cmocka_unit_test(the_nominal_pickup_is_the_design),
        cmocka_unit_test(the_surface_lies_on_the_model), cmocka_unit_test(resistance_follows_wire_and_temperature),
        cmocka_unit_test(draws_agree_with_first_order),  cmocka_unit_test(threads_change_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
