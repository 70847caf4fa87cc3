/* SPDX-License-Identifier: ISC */
/* The network against ngspice's AC analysis of a netlist that tests/support/spice.c writes from the
 * setup's values: 20 Hz to 20 kHz, random setups over the whole ranges, every wiring.
 * Judge: ngspice (modified nodal analysis, Nagel 1975), which no one here wrote. */
#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "polynomial.h"
#include "setup.h"
#include "setups.h"
#include "spice.h"
#include "transfer.h"
#include "within.h"

enum { SETUPS = 12 * SETUPS_KINDS };

static const double DB_TOLERANCE = 0.01;
static const double DEGREE_TOLERANCE = 0.1;

static struct judged {
    struct cw_setup setup;
    int points;
    struct spice_point point[SPICE_POINTS_MAX];
} judged[SETUPS];

static bool have_ngspice;

static int analyse_all(void **state)
{
    (void)state;
    have_ngspice = spice_available();
    struct rng rng = {20};
    for (int i = 0; have_ngspice && i < SETUPS; i++) {
        setups_random(&rng, i, &judged[i].setup);
        judged[i].points = spice_analyse(&judged[i].setup, judged[i].point);
        if (judged[i].points < 100) {
            print_error("ngspice gave %d points for: %s\n", judged[i].points, setups_describe(&judged[i].setup));
            return -1;
        }
    }
    return 0;
}

static void need_ngspice(void)
{
    if (!have_ngspice) {
        print_message("SKIPPED: ngspice is not installed, so the circuit was not judged by it\n");
        skip();
    }
}

struct worst {
    double db, degree;
    int compared;
};

static void compare(struct worst *worst, const struct judged *j, const char *what, double hz, struct cw_complex ours,
                    const double theirs[2])
{
    double complex a = ours.re + I * ours.im;
    double complex b = theirs[0] + I * theirs[1];
    double db = fabs(20 * log10(cabs(a) / cabs(b)));
    double degree = fabs(carg(a / b)) * 180 / acos(-1.0);
    if (!(db <= DB_TOLERANCE && degree <= DEGREE_TOLERANCE)) {
        print_error("%s at %.1f Hz: ours %.9g%+.9gj, ngspice %.9g%+.9gj: %.4f dB, %.4f degree\n  %s\n", what, hz,
                    ours.re, ours.im, theirs[0], theirs[1], db, degree, setups_describe(&j->setup));
        fail();
    }
    worst->db = worse(worst->db, db);
    worst->degree = worse(worst->degree, degree);
    worst->compared++;
}

static void report(const char *what, const struct worst *worst)
{
    print_message("%s: worst of %d values: %.2g dB, %.2g degree\n", what, worst->compared, worst->db, worst->degree);
    assert_true(worst->compared >= 40 * 100);
}

static const double *spice_value(const struct spice_point *p, enum cw_drive drive)
{
    switch (drive) {
    case CW_DRIVE_HUM: return p->hum;
    case CW_DRIVE_ONE_COIL: return p->one_coil;
    case CW_DRIVE_UNSPLIT: return p->unsplit;
    default: return p->string;
    }
}

static void check_drive(enum cw_drive drive, const char *what)
{
    need_ngspice();
    struct worst worst = {0};
    for (int i = 0; i < SETUPS; i++) {
        const struct judged *j = &judged[i];
        struct cw_pickup pickup;
        struct cw_transfer h;
        cw_coil_solve(&j->setup, &pickup);
        cw_circuit_transfer(&j->setup, &pickup, drive, &h);
        for (int k = 0; k < j->points; k++) {
            compare(&worst, j, what, j->point[k].hz, cw_transfer_at(&h, j->point[k].hz),
                    spice_value(&j->point[k], drive));
        }
    }
    report(what, &worst);
}

static void signal_agrees(void **state)
{
    (void)state;
    check_drive(CW_DRIVE_STRING, "signal");
}

static void hum_agrees(void **state)
{
    (void)state;
    check_drive(CW_DRIVE_HUM, "hum");
}

static void one_coil_agrees(void **state)
{
    (void)state;
    check_drive(CW_DRIVE_ONE_COIL, "one coil alone");
}

static void unsplit_agrees(void **state)
{
    (void)state;
    check_drive(CW_DRIVE_UNSPLIT, "unsplit");
}

static void impedance_agrees(void **state)
{
    (void)state;
    need_ngspice();
    struct worst worst = {0};
    for (int i = 0; i < SETUPS; i++) {
        const struct judged *j = &judged[i];
        struct cw_pickup pickup;
        struct cw_transfer z;
        cw_coil_solve(&j->setup, &pickup);
        cw_circuit_impedance(&j->setup, &pickup, &z);
        for (int k = 0; k < j->points; k++) {
            compare(&worst, j, "impedance", j->point[k].hz, cw_transfer_at(&z, j->point[k].hz), j->point[k].ohm);
        }
    }
    report("impedance at the leads", &worst);
}

/* The two figures that a split is chosen by, as differences in dB at mains frequency and its
 * harmonics: level against unsplit and hum against one coil. */
static void split_figures_agree(void **state)
{
    (void)state;
    need_ngspice();
    double worst = 0;
    int splits = 0, of_coil_one = 0;
    for (int i = 0; i < SETUPS; i++) {
        const struct judged *j = &judged[i];
        if (i % SETUPS_KINDS < 3) {
            continue;
        }
        splits++;
        of_coil_one += j->setup.value[CW_P_SPLIT_COIL] == CW_SPLIT_COIL_ONE;
        struct cw_pickup pickup;
        struct cw_transfer h[4];
        cw_coil_solve(&j->setup, &pickup);
        for (int drive = 0; drive < 4; drive++) {
            cw_circuit_transfer(&j->setup, &pickup, (enum cw_drive)drive, &h[drive]);
        }
        for (int k = 0; k < j->points && j->point[k].hz <= 1000; k++) {
            const struct spice_point *p = &j->point[k];
            double level = 20 * log10(hypot(p->string[0], p->string[1]) / hypot(p->unsplit[0], p->unsplit[1]));
            double hum = 20 * log10(hypot(p->hum[0], p->hum[1]) / hypot(p->one_coil[0], p->one_coil[1]));
            double our_level = cw_transfer_db(&h[CW_DRIVE_STRING], p->hz) - cw_transfer_db(&h[CW_DRIVE_UNSPLIT], p->hz);
            double our_hum = cw_transfer_db(&h[CW_DRIVE_HUM], p->hz) - cw_transfer_db(&h[CW_DRIVE_ONE_COIL], p->hz);
            assert_true(isfinite(our_level) && isfinite(our_hum));
            worst = worse(worst, fmax(fabs(level - our_level), fabs(hum - our_hum)));
        }
    }
    print_message("level and hum of %d random splits, %d of them of coil one: worst %.2g dB\n", splits, of_coil_one,
                  worst);
    assert_true(splits >= 20 && of_coil_one >= 10);
    assert_true(worst <= DB_TOLERANCE);
}

static void closed_volume_is_silent(void **state)
{
    (void)state;
    struct rng rng = {21};
    for (int i = 0; i < SETUPS; i++) {
        struct cw_setup setup;
        struct cw_pickup pickup;
        struct cw_transfer h;
        setups_random(&rng, i, &setup);
        setup.value[CW_P_VOLUME] = 0;
        cw_coil_solve(&setup, &pickup);
        cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &h);
        assert_true(cw_transfer_power(&h, 20) == 0 && cw_transfer_power(&h, 1000) == 0 &&
                    cw_transfer_power(&h, 20000) == 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(signal_agrees),           cmocka_unit_test(hum_agrees),
        cmocka_unit_test(one_coil_agrees),         cmocka_unit_test(unsplit_agrees),
        cmocka_unit_test(impedance_agrees),        cmocka_unit_test(split_figures_agree),
        cmocka_unit_test(closed_volume_is_silent),
    };
    return cmocka_run_group_tests(tests, analyse_all, NULL);
}
