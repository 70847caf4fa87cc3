/* SPDX-License-Identifier: ISC */
/* The response from an exciter coil at two loads: worked out here by Kirchhoff's laws with an EMF that falls, whatever
 * gain and polarity are, it gives back the impedance at the jack and that fall; its file reads back; mistakes are one
 * line. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "constants.h"
#include "exciter.h"
#include "instrument.h"
#include "one_port.h"

static struct cw_exciter exciter, again;
static struct cw_one_port_error error;

/* 8 kohm and 4.5 H with 1 Mohm of loss across the inductor, 120 pF across both; 500 kohm at the jack. */
static const struct cw_instrument instrument = {.resistance = 8e3,
                                                .la = 4.5,
                                                .le = 1e-9,
                                                .leak = 1e-6,
                                                .metal_corner = 1e3,
                                                .capacitance = 120e-12,
                                                .volume_pot = 500e3,
                                                .tone_pot = 500e3};

static double complex inductor(double hz)
{
    double complex s = I * CW_TAU * hz;
    return 8e3 + s * 4.5 / (1 + s * 4.5 * 1e-6);
}

/* The EMF falls by a corner at 9 kHz. */
static double complex transfer(double hz, double farad)
{
    double complex s = I * CW_TAU * hz, jack = 1 / 500e3 + 1 / 1e6 + s * (farad + 350e-12 + 120e-12);
    return -3e-4 * s / (1 + I * hz / 9e3) / (1 + inductor(hz) * jack);
}

static void fill(void)
{
    memset(&exciter, 0, sizeof exciter);
    exciter.added = 470e-12;
    exciter.load = (struct cw_jack_load){350e-12, 1e6};
    for (double hz = 30; hz < 20000; hz *= 1.05) {
        double complex bare = transfer(hz, 0), loaded = transfer(hz, 470e-12);
        exciter.point[exciter.count++] =
            (struct cw_exciter_point){hz, {creal(bare), cimag(bare)}, {creal(loaded), cimag(loaded)}, 3e-4, 4e-4};
    }
}

static void two_loads_give_the_impedance(void **state)
{
    struct cw_one_port curve;
    fill();
    assert_true(cw_exciter_impedance(&exciter, &curve));
    assert_true(curve.count > exciter.count / 2 && curve.count < exciter.count);
    for (size_t i = 0; i < curve.count; i++) {
        const struct cw_one_port_point *p = &curve.point[i];
        double complex s = I * CW_TAU * p->hz;
        double complex y = 1 / inductor(p->hz) + s * (120e-12 + 350e-12) + 1 / 500e3 + 1 / 1e6, z = p->re + I * p->im;
        assert_true(cabs(z * y - 1) < 1e-9);
        /* the error is that of the ratio, which a change of 3e-4 and 4e-4 of the takes moves by 5e-4 */
        double complex ratio = transfer(p->hz, 0) / transfer(p->hz, 470e-12);
        assert_true(fabs(p->error * cabs(ratio - 1) / cabs(ratio) - 5e-4) < 1e-9);
    }
    cw_one_port_free(&curve);
    (void)state;
}

static void what_is_left_is_the_fall(void **state)
{
    const struct cw_standing full = {false, 1, 1};
    fill();
    for (size_t i = 0; i < exciter.count; i++) {
        double noise, fall = cw_exciter_emf(&exciter, &instrument, full, i, 200, &noise);
        double expected = -10 * log10(1 + pow(exciter.point[i].hz / 9e3, 2));
        assert_true(fabs(fall - expected) < 0.003);
        /* 3e-4 of the point, and the mean of the reference's 7 */
        assert_true(fabs(noise - 20 / log(10) * 3e-4 * sqrt(1 + 1.0 / 7)) < 1e-4);
    }
    double noise;
    assert_true(isnan(cw_exciter_emf(&exciter, &instrument, full, 0, 1, &noise)));
    (void)state;
}

static char *written(void)
{
    size_t size = 400 + 2 * exciter.count * CW_EXCITER_LINE;
    char *text = malloc(size), line[CW_EXCITER_LINE];
    assert_non_null(text);
    cw_exciter_head(&exciter, text, size);
    for (size_t i = 0; i < 2 * exciter.count; i++) {
        strcat(text, cw_exciter_line(&exciter, i % exciter.count, i >= exciter.count, line));
    }
    return text;
}

static void what_is_written_reads_back(void **state)
{
    fill();
    char *text = written();
    if (!cw_exciter_parse(text, strlen(text), &again, &error)) {
        fail_msg("line %zu: %s", error.line, error.why);
    }
    free(text);
    assert_int_equal(again.count, exciter.count);
    assert_true(again.added == 470e-12 && again.load.farad == 350e-12 && again.load.ohm == 1e6);
    for (size_t i = 0; i < again.count; i++) {
        const struct cw_exciter_point *a = &exciter.point[i], *b = &again.point[i];
        assert_true(hypot(a->bare.re - b->bare.re, a->bare.im - b->bare.im) < 1e-6 * hypot(a->bare.re, a->bare.im));
        assert_true(hypot(a->loaded.re - b->loaded.re, a->loaded.im - b->loaded.im) <
                    1e-6 * hypot(a->loaded.re, a->loaded.im));
        assert_true(fabs(b->bare_error - 3e-4) < 1e-6 && fabs(b->loaded_error - 4e-4) < 1e-6);
    }
    (void)state;
}

static void what_is_wrong_is_one_line(void **state)
{
#define HEAD "# at the jack: 1e6 ohm, 3e-10 farad\n"
    static const struct {
        const char *text;
        size_t line;
        const char *says;
    } bad[] = {
        {"", 0, "found 0 and 0"},
        {HEAD "100,1,2,3,0\n200,1,2,3,0\n", 0, "found 0 and 2"},
        {HEAD "100,1,2,3,0\n200,1,2,3,0\n100,1,2,3,1e-9\n", 0, "found 1 and 2"},
        {HEAD "100,1,2,3,0\n90,1,2,3,0\n", 3, "rising"},
        {HEAD "100,1,2,3,0\n100,1,2,3,1e-9\n200,1,2,3,0\n", 4, "before those with it"},
        {HEAD "100,1,2,3,0\n200,1,2,3,0\n150,1,2,3,1e-9\n", 4, "same frequencies"},
        {HEAD "100,1,2,3,0\n200,1,2,3,0\n100,1,2,3,1e-9\n200,1,2,3,2e-9\n", 5, "one capacitor"},
        {HEAD "100,1,2,3\n", 2, "frequency_hz"},
        {HEAD "100,1,2,3,0,5\n", 2, "frequency_hz"},
        {HEAD "100,nan,2,3,0\n", 2, "frequency_hz"},
        {HEAD "-100,1,2,3,0\n", 2, "frequency_hz"},
        {"# at the jack: 0 ohm, 3e-10 farad\n", 1, "above 0"},
        {"100,1,2,3,0\n200,1,2,3,0\n100,1,2,3,1e-9\n200,1,2,3,1e-9\n", 0, "at the jack"},
        {"# Hz Z RI R 1\n1 2 3\n", 2, "frequency_hz"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_false(cw_exciter_parse(bad[i].text, strlen(bad[i].text), &again, &error));
        if (error.line != bad[i].line || !strstr(error.why, bad[i].says)) {
            fail_msg("%zu: line %zu: '%s' does not say '%s'", i, error.line, error.why, bad[i].says);
        }
    }
    (void)state;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_loads_give_the_impedance),
        cmocka_unit_test(what_is_left_is_the_fall),
        cmocka_unit_test(what_is_written_reads_back),
        cmocka_unit_test(what_is_wrong_is_one_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
