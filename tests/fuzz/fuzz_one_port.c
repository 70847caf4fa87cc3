/* SPDX-License-Identifier: ISC */
/* Any text as a measured impedance: a curve that rises in frequency and is finite, or one line that says
 * what was expected; what is written of a curve reads back as the same. The same text as the response from an exciter
 * coil, which gives a curve of its own. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exciter.h"
#include "fuzz.h"
#include "one_port.h"

/* Written as a file and read again: the digits that the file holds. */
static void reads_back(const struct cw_one_port *curve)
{
    enum { LINES = 64, LINE = 80 };
    char text[LINES * LINE] = CW_TOUCHSTONE_HEAD, line[LINE];
    size_t lines = curve->count < LINES - 1 ? curve->count : LINES - 1;
    for (size_t i = 0; i < lines; i++) {
        strcat(text, cw_touchstone_line(&curve->point[i], line, sizeof line));
    }
    struct cw_one_port again;
    struct cw_one_port_error error;
    if (!cw_one_port_parse(text, strlen(text), &again, &error)) {
        /* frequencies that nine digits do not tell apart */
        FUZZ_REQUIRE(strstr(error.why, "rising"));
        return;
    }
    FUZZ_REQUIRE(again.count == lines);
    for (size_t i = 0; i < lines; i++) {
        double size = hypot(curve->point[i].re, curve->point[i].im);
        FUZZ_REQUIRE(hypot(again.point[i].re - curve->point[i].re, again.point[i].im - curve->point[i].im) <=
                     1e-11 * size);
    }
    cw_one_port_free(&again);
}

static void as_exciter(const uint8_t *data, size_t size)
{
    static struct cw_exciter exciter;
    struct cw_one_port curve;
    struct cw_one_port_error error;
    if (!cw_exciter_parse((const char *)data, size, &exciter, &error)) {
        FUZZ_REQUIRE(error.why[0]);
        return;
    }
    FUZZ_REQUIRE(exciter.count >= 2 && exciter.load.ohm > 0.0 && exciter.added > 0.0);
    FUZZ_REQUIRE(cw_exciter_impedance(&exciter, &curve));
    for (size_t i = 0; i < curve.count; i++) {
        FUZZ_REQUIRE(curve.point[i].hz > (i ? curve.point[i - 1].hz : 0.0));
        FUZZ_REQUIRE(isfinite(curve.point[i].re) && isfinite(curve.point[i].im) && curve.point[i].error > 0.0);
    }
    cw_one_port_free(&curve);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    as_exciter(data, size);
    struct cw_one_port curve;
    struct cw_one_port_error error;
    if (!cw_one_port_parse((const char *)data, size, &curve, &error)) {
        FUZZ_REQUIRE(error.why[0] && !curve.point && curve.count == 0);
        return 0;
    }
    FUZZ_REQUIRE(curve.count > 0);
    for (size_t i = 0; i < curve.count; i++) {
        FUZZ_REQUIRE(curve.point[i].hz > (i ? curve.point[i - 1].hz : 0.0));
        FUZZ_REQUIRE(isfinite(curve.point[i].re) && isfinite(curve.point[i].im));
    }
    reads_back(&curve);
    cw_one_port_free(&curve);
    return 0;
}
