/* SPDX-License-Identifier: ISC */
/* Readers of measured impedances. The Touchstone examples are those of the specification (versions 1.1
 * and 2.0); the rest are texts as analysers and loudspeaker programs write them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "one_port.h"

static struct cw_one_port curve;
static struct cw_one_port_error error;

static bool read_text(const char *text) { return cw_one_port_parse(text, strlen(text), &curve, &error); }

static void point_is(size_t at, double hz, double re, double im)
{
    assert_true(at < curve.count);
    double size = hypot(re, im);
    assert_true(fabs(curve.point[at].hz - hz) <= 1e-9 * hz);
    assert_true(hypot(curve.point[at].re - re, curve.point[at].im - im) <= 1e-9 * size);
}

static void examples_of_the_specification(void **state)
{
    /* S = 0.874020294860635 - 0.187948195446853j: Z = 50 (1 + S)/(1 - S) */
    assert_true(read_text("! 1-port S-parameter file\n# MHz S MA R 50\n!freq magS11 angS11\n2.000 0.894 -12.136\n"));
    double re = 0.874020294860635, im = -0.187948195446853, below = (1 - re) * (1 - re) + im * im;
    point_is(0, 2e6, 50 * (1 - re * re - im * im) / below, 50 * 2 * im / below);
    cw_one_port_free(&curve);
    /* normalised in version 1: 0.99 at -4 degrees of 75 ohm */
    assert_true(read_text("# MHz Z MA R 75\n100 0.99 -4\n"));
    point_is(0, 1e8, 74.25 * cos(4 * acos(-1) / 180), -74.25 * sin(4 * acos(-1) / 180));
    cw_one_port_free(&curve);
    assert_true(read_text("[Version] 2.0\n# MHz Z MA R 75\n[Number of Ports] 1\n[Number of Frequencies] 1\n"
                          "[Network Data]\n100 74.25 -4\n[End]\nnothing that counts\n"));
    point_is(0, 1e8, 74.25 * cos(4 * acos(-1) / 180), -74.25 * sin(4 * acos(-1) / 180));
    cw_one_port_free(&curve);
    (void)state;
}

static void options_in_any_order_and_defaults(void **state)
{
    assert_true(read_text("# R 1 RI z hz\r\n100 8000 2800 ! at the leads\r\n200 8100 5600\r\n"));
    assert_int_equal(curve.count, 2);
    point_is(1, 200, 8100, 5600);
    cw_one_port_free(&curve);
    assert_true(read_text("#\n1 0.5 0\n")); /* GHz S MA R 50 */
    point_is(0, 1e9, 150, 0);
    cw_one_port_free(&curve);
    assert_true(read_text("# kHz Y DB R 50\n1 -20 0\n")); /* 0.1 of 1/50 siemens */
    point_is(0, 1e3, 500, 0);
    cw_one_port_free(&curve);
    (void)state;
}

static void what_is_written_reads_back(void **state)
{
    struct cw_one_port_point point = {1234.5, 9899.55041, -27336.9587, 0.0123};
    char line[100], text[200];
    snprintf(text, sizeof text, "%s%s", CW_TOUCHSTONE_HEAD, cw_touchstone_line(&point, line, sizeof line));
    assert_true(read_text(text));
    point_is(0, 1234.5, 9899.55041, -27336.9587);
    cw_one_port_free(&curve);
    (void)state;
}

static void tables_of_other_programs(void **state)
{
    const char *const same[] = {
        "Freq(Hz)\tZ(ohm)\tPhase(deg)\n100\t8525.4\t19.26\n1000\t29074\t70.1\n",
        "* Hz Ohm deg\n100.0 8525.4 19.26\n1000.0 29074 70.1\n",
        "\"Hz\";\"ohm\";\"deg\"\n100;8525,4;19,26\n1000;29074;70,1\n",
        "# frequency Hz, |Z| ohm, phase\n100, 8525.4, 19.26\n1000, 29074, 70.1\n",
        "100 8525,4 19,26\n1000 29074,0 70,1\n",
        "\xef\xbb\xbf"
        "# swept to 20 kHz\nHz,ohm,deg\n# imag. part by a kohm, to 20 kHz\n100,8525.4,19.26\n1000,29074,70.1\n",
        "Hz ohm deg\n# imag. part by a kohm, to 20 kHz\n100 8525.4 19.26\n1000 29074 70.1\n",
        "Frequency;Z;Phase\nkHz;kohm;deg\n0,1;8,5254;19,26\n1;29,074;70,1\n", /* names, then units */
        "Start frequency: 20 Hz\nFreq (kHz),Z (ohm),Phase\n0.1,8525.4,19.26\n1,29074,70.1\n",
        "kHz;kohm;degrees\n0,1;8,5254;19,26\n1;29,074;70,1\n",
    };
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        if (!read_text(same[i])) {
            fail_msg("%zu: line %zu: %s", i, error.line, error.why);
        }
        assert_int_equal(curve.count, 2);
        double angle = 19.26 * acos(-1) / 180;
        point_is(0, 100, 8525.4 * cos(angle), 8525.4 * sin(angle));
        cw_one_port_free(&curve);
    }
    assert_true(read_text("Hz,Real (ohm),Imag (ohm)\n100,8048.04,2812.08\n"));
    point_is(0, 100, 8048.04, 2812.08);
    cw_one_port_free(&curve);
    (void)state;
}

/* The mark of UTF-8 before a text is no part of it. */
static void a_mark_before_the_text_is_none(void **state)
{
    assert_true(read_text("\xEF\xBB\xBF# Hz Z RI R 1\n100 8000 2800\n"));
    point_is(0, 100, 8000, 2800);
    cw_one_port_free(&curve);
    (void)state;
}

/* Of three bare columns nobody knows what they are: it is said that they were taken for ohm and degrees, and
 * refused where they cannot be. */
static void what_is_assumed_is_known(void **state)
{
    static const struct {
        const char *text;
        bool assumed;
    } table[] = {
        {"100 8525,4 19,26\n1000 29074,0 70,1\n", true}, {"Hz;ohm;-\n100;8525,4;19,26\n", true},
        {"Hz;ohm;deg\n100;8525,4;19,26\n", false},       {"frequency,magnitude,phase\n100,8525.4,19.26\n", false},
        {"f (Hz)\tRe\tIm\n100\t8048\t2812\n", false},    {"# Hz Z RI R 1\n100 8048 2812\n", false},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        assert_true(read_text(table[i].text));
        assert_int_equal(curve.assumed, table[i].assumed);
        cw_one_port_free(&curve);
    }
    (void)state;
}

static void what_is_wrong_is_one_line(void **state)
{
    static const struct {
        const char *text;
        size_t line;
        const char *says;
    } bad[] = {
        {"", 0, "no point of one"},
        {"# MHz S MA R 50\n", 0, "no point of one"},
        {"# MHz Q MA R 50\n1 2 3\n", 1, "found 'Q'"},
        {"# Hz Z RI R -1\n1 2 3\n", 1, "after R"},
        {"# Hz Z RI R 1\n1 2\n", 2, "three numbers"},
        {"# Hz Z RI R 1\n1 2 3 4 5\n", 2, "one-port"},
        {"# Hz Z RI R 1\n1 2 3\n1 2 3\n", 3, "rising"},
        {"# Hz Z RI R 1\n1 nan 3\n", 2, "three numbers"},
        {"# Hz Z RI R 1\n-5 1 3\n", 2, "above 0"},
        {"# Hz S RI R 50\n5 1 0\n", 2, "finite"},
        {"[Version] 3.0\n# Hz Z RI R 1\n1 2 3\n", 1, "version 2"},
        {"[Version] 2.0\n# Hz Z RI\n[Number of Ports] 2\n1 2 3\n", 3, "one port"},
        {"100 200\n", 1, "three numbers"},
        {"<html>\n", 1, "three columns"},
        {"100 8048.04 2812.08\n", 1, "Hz,Re,Im"},
        {"100 -8048 20\n", 1, "ohm and degrees"},
        {"Hz,ohm,phase (rad)\n100,8048,0.3\n", 1, "radians"},
        {"Hz,ohm,deg\nHz,kohm,deg\n100,8048,0.3\n", 2, "second one"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_false(read_text(bad[i].text));
        assert_null(curve.point);
        assert_int_equal(error.line, bad[i].line);
        if (!strstr(error.why, bad[i].says)) {
            fail_msg("%zu: '%s' does not say '%s'", i, error.why, bad[i].says);
        }
    }
    (void)state;
}

static void few_digits_of_a_high_impedance_are_named(void **state)
{
    assert_true(read_text("# Hz S RI R 50\n100 0.9999 0\n"));
    assert_true(curve.coarse);
    cw_one_port_free(&curve);
    assert_true(read_text("# Hz S RI R 50000\n100 0.9 0\n"));
    assert_false(curve.coarse);
    cw_one_port_free(&curve);
    (void)state;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(examples_of_the_specification),  cmocka_unit_test(options_in_any_order_and_defaults),
        cmocka_unit_test(what_is_written_reads_back),     cmocka_unit_test(tables_of_other_programs),
        cmocka_unit_test(a_mark_before_the_text_is_none), cmocka_unit_test(what_is_assumed_is_known),
        cmocka_unit_test(what_is_wrong_is_one_line),      cmocka_unit_test(few_digits_of_a_high_impedance_are_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
