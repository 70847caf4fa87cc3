/* SPDX-License-Identifier: ISC */
/* Resonance and peak. Judges: ngspice's pole-zero and AC analyses of the netlist, closed forms of a
 * second-order low-pass, and a dense sweep. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "figures.h"
#include "leads.h"
#include "polynomial.h"
#include "resonance.h"
#include "setup.h"
#include "setups.h"
#include "spice.h"
#include "split_kind.h"
#include "transfer.h"
#include "within.h"

#define TAU 6.28318530717958647692

/* Job 12 on a cable. */
static struct cw_setup job_12(double metres)
{
    struct cw_setup s = setups_job_12();
    s.value[CW_P_INPUT_CAPACITANCE] = 0;
    s.value[CW_P_CABLE_LENGTH] = metres;
    return s;
}

static struct cw_transfer response_of(const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    return h;
}

static struct cw_resonance resonance_of(const struct cw_setup *setup)
{
    struct cw_transfer h = response_of(setup);
    return cw_resonance_of(setup, &h);
}

/* The least damped pair that ngspice gives between two frequencies, Hz; 0 where there is none. */
static double spice_resonance(const struct cw_setup *setup, double low, double high)
{
    double pole[SPICE_POLES_MAX][2], best = 0, least = HUGE_VAL;
    int n = spice_poles(setup, pole);
    assert_true(n > 0);
    for (int i = 0; i < n; i++) {
        double size = hypot(pole[i][0], pole[i][1]), hz = size / TAU, damping = -pole[i][0] / size;
        if (pole[i][1] > 0 && hz >= low && hz <= high && damping < least) {
            least = damping;
            best = hz;
        }
    }
    return best;
}

static const double cables[] = {0, 0.5, 1, 3, 5, 10};
enum { CABLES = sizeof cables / sizeof cables[0] };

/* What a dense sweep shows: the highest point that has lower ground on both sides; its height over
 * the level at 0 Hz. */
static struct cw_peak swept(const struct cw_transfer *h)
{
    enum { GRID = 40000 };
    static double db[GRID + 1];
    struct cw_peak peak = {0, 0};
    double base = cw_transfer_db(h, 0);
    for (int i = 0; i <= GRID; i++) {
        db[i] = cw_transfer_db(h, 20 * pow(1e3, i / (double)GRID)) - base;
    }
    for (int i = 1; i < GRID; i++) {
        bool top = db[i] > db[i - 1] && db[i] >= db[i + 1];
        if (top && (peak.hz == 0 || db[i] > peak.db)) {
            peak = (struct cw_peak){20 * pow(1e3, i / (double)GRID), db[i]};
        }
    }
    return peak;
}

/* Two equal coils in series, coupled, are one coil of the values at the leads to anything outside:
 * ngspice's own AC analyses of the two say so, and its pole-zero analysis of the one is the judge. */
static void resonance_falls_with_the_cable(void **state)
{
    (void)state;
    if (!spice_available()) {
        print_message("SKIPPED: ngspice is not installed, so resonances were not judged by it\n");
        skip();
    }
    static struct spice_point pair[SPICE_POINTS_MAX], alone[SPICE_POINTS_MAX];
    double before = HUGE_VAL, worst = 0;
    for (int i = 0; i < CABLES; i++) {
        struct cw_setup two = job_12(cables[i]), one = two;
        one.value[CW_P_COILS] = CW_COILS_ONE;
        int n = spice_analyse(&two, pair);
        assert_true(n > 100 && spice_analyse(&one, alone) == n);
        double scale = 0; /* the EMF of either, which no frequency hangs on */
        for (int k = 0; k < n; k++) {
            double a = hypot(pair[k].string[0], pair[k].string[1]), b = hypot(alone[k].string[0], alone[k].string[1]);
            scale = k == 0 ? a / b : scale;
            within(20 * log10(a / b / scale), 0, 1e-6, "two coils and one of the same values at the leads");
        }
        struct cw_figures figures;
        cw_figures_of(&two, 50, &figures);
        double resonance = figures.value[CW_M_RESONANCE], judge = spice_resonance(&one, 500, 20000);
        within_share(resonance, judge, 0.005, "resonance against ngspice's poles");
        worst = worse(worst, fabs(resonance / judge - 1));
        assert_true(resonance < before);
        before = resonance;
    }
    print_message("six cables against ngspice's poles: within %.2g %%\n", 100 * worst);
}

/* The peak is what a sweep shows, or "flat" below 0.5 dB; it rises from half a metre to one. */
static void peak_is_what_a_sweep_shows(void **state)
{
    (void)state;
    for (int i = 0; i < CABLES; i++) {
        struct cw_setup s = job_12(cables[i]);
        struct cw_transfer h = response_of(&s);
        struct cw_peak sweep = swept(&h);
        struct cw_figures figures;
        cw_figures_of(&s, 50, &figures);
        double hz = figures.value[CW_M_PEAK_FREQUENCY], db = figures.value[CW_M_PEAK_HEIGHT];
        if (hz == 0) {
            assert_true(sweep.hz == 0 || sweep.db < CW_PEAK_LEAST_DB);
            continue;
        }
        within_share(hz, sweep.hz, 0.005, "peak against a sweep");
        within(db, sweep.db, 0.005, "its height");
        assert_true(hz < figures.value[CW_M_RESONANCE]);
    }
    struct cw_setup none = job_12(0), half = job_12(0.5), one = job_12(1);
    struct cw_figures f[3];
    cw_figures_of(&none, 50, &f[0]);
    cw_figures_of(&half, 50, &f[1]);
    cw_figures_of(&one, 50, &f[2]);
    assert_true(f[0].value[CW_M_PEAK_FREQUENCY] == 0 && f[0].value[CW_M_PEAK_HEIGHT] == 0);
    assert_true(f[2].value[CW_M_PEAK_FREQUENCY] > f[1].value[CW_M_PEAK_FREQUENCY]);
}

/* A second-order low-pass: resonance f0, peak f0 sqrt(1 - 1/(2 Q^2)), height Q/sqrt(1 - 1/(4 Q^2)). */
static void closed_form(void **state)
{
    (void)state;
    for (double q = 0.55; q < 20; q *= 1.13) {
        double w = TAU * 3100;
        struct cw_transfer h = {cw_poly_constant(1), cw_poly_linear(1, 1 / (q * w))};
        h.den = cw_poly_add(h.den, cw_poly_times_s(cw_poly_linear(0, 1 / (w * w)), 1));
        struct cw_setup s;
        cw_setup_defaults(&s);
        struct cw_resonance r = cw_resonance_of(&s, &h);
        struct cw_peak peak = cw_peak_of(&h, &r);
        within_share(r.hz, 3100, 1e-9, "resonance");
        within_share(r.q, q, 1e-9, "Q");
        double height = q > sqrt(0.5) ? 20 * log10(q / sqrt(1 - 1 / (4 * q * q))) : 0;
        if (height < CW_PEAK_LEAST_DB) {
            assert_true(peak.hz == 0 && peak.db == 0);
        } else {
            within_share(peak.hz, 3100 * sqrt(1 - 1 / (2 * q * q)), 2e-4, "peak");
            within(peak.db, height, 1e-5, "height");
        }
    }
}

/* One coil at random settings against ngspice; what it cannot solve is counted. */
static void random_coils_against_ngspice(void **state)
{
    (void)state;
    if (!spice_available()) {
        print_message("SKIPPED: ngspice is not installed, so resonances were not judged by it\n");
        skip();
    }
    struct rng rng = {81};
    int judged = 0;
    for (int i = 0; i < 40; i++) {
        struct cw_setup s;
        setups_random(&rng, i * SETUPS_KINDS, &s);
        s.value[CW_P_VOLUME] = 10;
        s.value[CW_P_CORE_SHARE] = 0; /* with a lossy core its pole-zero analysis leaves poles out */
        s.value[CW_P_COVER] = CW_COVER_NONE;
        double pole[SPICE_POLES_MAX][2];
        int n = spice_poles(&s, pole);
        if (n < 3) { /* coil, its capacitance with the cable, tone capacitor */
            continue;
        }
        double judge = spice_resonance(&s, CW_RESONANCE_LOW, CW_RESONANCE_HIGH), ours = resonance_of(&s).hz;
        if (judge > 0) {
            within_share(ours, judge, 0.005, setups_describe(&s));
            judged++;
        } else {
            if (ours >= CW_RESONANCE_LOW && ours <= CW_RESONANCE_HIGH) {
                for (int k = 0; k < n; k++) {
                    print_error("pole %g %g\n", pole[k][0], pole[k][1]);
                }
                fail_msg("%g Hz is no pair of ngspice's: %s", ours, setups_describe(&s));
            }
        }
    }
    print_message("%d random coils against ngspice's poles\n", judged);
    assert_true(judged >= 10);
}

/* Unequal coils have a pair of poles of their own that hardly shows: it is not taken. */
static void hidden_pair_is_passed_over(void **state)
{
    (void)state;
    for (double turns = 85; turns <= 115; turns += 2.5) {
        double before = HUGE_VAL;
        for (double metres = 0; metres <= 30; metres += 0.5) {
            struct cw_setup s = job_12(metres);
            s.value[CW_P_SECOND_TURNS] = turns;
            double hz = resonance_of(&s).hz;
            assert_true(hz > 0 && hz < before);
            before = hz;
        }
    }
}

/* A split's capacitor rings with its coil, 1/(2 pi sqrt(L C)) where the coil is alone with it (the
 * rest of the circuit shifts it by some percent); the pickup's resonance stays where the treble is. */
static void split_resonance_is_apart(void **state)
{
    (void)state;
    for (int by = 0; by < CW_SPLIT_KINDS; by++) {
        for (double nanofarad = 10; nanofarad <= 120; nanofarad *= 1.5) {
            struct cw_setup s = job_12(5);
            s.value[CW_P_SPLIT] = 1;
            s.value[CW_P_SPLIT_BY] = by;
            s.value[CW_P_SPLIT_CAPACITOR] = nanofarad;
            struct cw_resonance r = resonance_of(&s);
            assert_true(r.hz > 3000 && r.hz < 5000);
            if (by == CW_SPLIT_C) {
                within_share(r.split_hz, 1 / (TAU * sqrt(4.6 / (2 * 1.147) * nanofarad * 1e-9)), 0.12,
                             "the split's own");
            } else if (!(cw_split_parts_of((enum cw_split_by)by) & CW_PART_CAPACITOR)) {
                assert_true(r.split_hz == 0);
            }
        }
    }
    struct cw_setup full = job_12(5);
    full.value[CW_P_SPLIT_BY] = CW_SPLIT_C;
    assert_true(resonance_of(&full).split_hz == 0);
}

/* Values at the leads say the same as the figures. */
static void one_figure_in_two_places(void **state)
{
    (void)state;
    struct rng rng = {82};
    for (int i = 0; i < 200; i++) {
        struct cw_setup s;
        struct cw_figures f;
        struct cw_lead_values v;
        setups_random(&rng, i, &s);
        cw_figures_of(&s, 50, &f);
        cw_lead_values_of(&s, NULL, &v);
        assert_true(f.value[CW_M_RESONANCE] == v.value[CW_LEAD_RESONANCE]);
        assert_true(f.value[CW_M_PEAK_FREQUENCY] == v.value[CW_LEAD_PEAK_HZ]);
        assert_true(f.value[CW_M_PEAK_HEIGHT] == v.value[CW_LEAD_PEAK]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(resonance_falls_with_the_cable),
        cmocka_unit_test(peak_is_what_a_sweep_shows),
        cmocka_unit_test(closed_form),
        cmocka_unit_test(random_coils_against_ngspice),
        cmocka_unit_test(hidden_pair_is_passed_over),
        cmocka_unit_test(split_resonance_is_apart),
        cmocka_unit_test(one_figure_in_two_places),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
