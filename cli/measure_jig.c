/* SPDX-License-Identifier: ISC */
#include "measure_jig.h"

#include <complex.h>
#include <math.h>
#include <stdio.h>

#include "c_complex.h"
#include "command.h"
#include "jig.h"
#include "message.h"
#include "numbers.h"
#include "one_port.h"
#include "output.h"
#include "measure_plot.h"
#include "plot_file.h"
#include "plot_model.h"
#include "polynomial.h"

static struct cw_jig jig_at(const struct cw_ratio ratio[CW_JIG_TAKES], double known, size_t i)
{
    return (struct cw_jig){ratio[CW_JIG_OPEN].m[i], ratio[CW_JIG_KNOWN].m[i], {0.0, 0.0}, {known, 0.0}};
}

/* With the channels the right way round, a load lowers the node at every frequency. */
static bool channels_right(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    size_t above = 0;
    for (size_t i = 0; i < ratio[CW_JIG_OPEN].count; i++) {
        above += cabs(cw_as_c(ratio[CW_JIG_KNOWN].m[i])) >= cabs(cw_as_c(ratio[CW_JIG_OPEN].m[i]));
    }
    if (above > ratio[CW_JIG_OPEN].count / 10) {
        cw_error_at(request->file[CW_JIG_KNOWN], 0,
                    "expected the node lower with the known resistor than open, found it higher: are channels 1 and 2, "
                    "or the open and known takes, exchanged?");
        return false;
    }
    return true;
}

static bool asked_at(double hz) { return hz > 60.0 && hz < 10e3; }

/* 1/m is the open take's and a share of the known load's admittance: with a resistor that share is the same at every
 * frequency but for the gains, which are flat within a fifth. */
static bool known_is_resistor(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    double complex middle = 0.0;
    size_t asked = 0, off = 0;
    for (int round = 0; round < 2; round++) {
        for (size_t i = 0; i < ratio[CW_JIG_KNOWN].count; i++) {
            double complex share = 1.0 / cw_as_c(ratio[CW_JIG_KNOWN].m[i]) - 1.0 / cw_as_c(ratio[CW_JIG_OPEN].m[i]);
            if (asked_at(ratio[CW_JIG_KNOWN].hz[i]) && round == 0) {
                middle += share;
                asked++;
            } else if (asked_at(ratio[CW_JIG_KNOWN].hz[i])) {
                off += !(cabs(share * (double)asked / middle - 1.0) <= 0.2); /* NaN counts */
            }
        }
    }
    if (asked == 0 || off > asked / 10) {
        cw_error_at(
            request->file[CW_JIG_KNOWN], 0,
            "expected a resistor across the plug, found something that changes with frequency: is it the right file?");
        return false;
    }
    return true;
}

/* No passive instrument has a negative resistance, and at low frequencies none raises the node above the open plug's.
 */
static bool passive(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    size_t low = 0, above = 0, asked = 0, negative = 0;
    for (size_t i = 0; i < ratio[CW_JIG_TAKE].count; i++) {
        double hz = ratio[CW_JIG_TAKE].hz[i];
        struct cw_jig jig = jig_at(ratio, request->known, i);
        double complex m = cw_as_c(ratio[CW_JIG_TAKE].m[i]), z = cw_as_c(cw_jig_impedance(&jig, cw_of_c(m)));
        low += asked_at(hz) && hz < 500.0;
        above += asked_at(hz) && hz < 500.0 && cabs(m) >= cabs(cw_as_c(jig.open));
        asked += asked_at(hz);
        negative += asked_at(hz) && creal(z) < -0.1 * cabs(z);
    }
    if (above > low / 2) {
        cw_error_at(request->file[CW_JIG_TAKE], 0,
                    "expected the node lower with the instrument than with the open plug, found it higher at low "
                    "frequencies: are channels 1 and 2 of this take exchanged, do both hear the output?");
    } else if (negative > asked / 20) {
        cw_error_at(
            request->file[CW_JIG_TAKE], 0,
            "found a negative resistance at %.0f %% of the frequencies, which no passive instrument has: does one "
            "channel lag by a sample, was a gain or cable changed since the open take, is a battery in it?",
            100.0 * (double)negative / (double)asked);
    }
    return above <= low / 2 && negative <= asked / 20;
}

/* The second resistor must come out as the ohmmeter read it; 2 % is more than two good meters differ. */
static bool check_resistor(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    if (!request->file[CW_JIG_CHECK]) {
        return true;
    }
    double sum = 0.0;
    int n = 0;
    for (size_t i = 0; i < ratio[CW_JIG_CHECK].count; i++) {
        if (ratio[CW_JIG_CHECK].hz[i] > 200.0 && ratio[CW_JIG_CHECK].hz[i] < 2000.0) {
            struct cw_jig jig = jig_at(ratio, request->known, i);
            sum += cw_jig_impedance(&jig, ratio[CW_JIG_CHECK].m[i]).re;
            n++;
        }
    }
    double found = sum / n, off = found / request->check - 1.0;
    char text[40], asked[40], change[40];
    cw_print_ohms(1e-3 * found, text, sizeof text);
    cw_print_ohms(1e-3 * request->check, asked, sizeof asked);
    if (fabs(off) > 0.02) {
        cw_error_at(request->file[CW_JIG_CHECK], 0,
                    "expected %s, measured %s (%s): read both resistors again, and see that the takes are not mixed up",
                    asked, text, cw_print_percent_change(100.0 * off, 1, change, sizeof change));
        return false;
    }
    fprintf(stderr, "Check: %s measured as %s (%s)\n", asked, text,
            cw_print_percent_change(100.0 * off, 2, change, sizeof change));
    return true;
}

/* The open cable's capacitance, as the one figure by which a wrong known value shows. */
static void tell_cable(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    size_t at = 0;
    while (at + 1 < ratio[CW_JIG_OPEN].count && ratio[CW_JIG_OPEN].hz[at] < 5000.0) {
        at++;
    }
    struct cw_jig jig = jig_at(ratio, request->known, at);
    double farad = cw_jig_open_capacitance(&jig, request->series, ratio[CW_JIG_OPEN].hz[at]);
    char text[40], series[40];
    cw_print_farads(1e9 * farad, text, sizeof text);
    fprintf(stderr,
            "Open: cable and input are %s with a series resistor of %s (30 to 200 pF for each metre of\n"
            "cable is believable; else look at the values given)\n",
            farad > 0.0 ? text : "below zero", cw_print_ohms(1e-3 * request->series, series, sizeof series));
}

/* ---- result ---------------------------------------------------------------------------------- */

static bool write_curve(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    struct cw_output output;
    if (!cw_output_open(&output, request->output ? request->output : "-", request->force)) {
        return false;
    }
    fprintf(output.stream,
            "! impedance at the jack, ohm; coilwright %s\n! known resistor %.6g ohm\n" CW_TOUCHSTONE_HEAD, CW_VERSION,
            request->known);
    for (size_t i = 0; i < ratio[CW_JIG_TAKE].count; i++) {
        struct cw_jig jig = jig_at(ratio, request->known, i);
        struct cw_complex z = cw_jig_impedance(&jig, ratio[CW_JIG_TAKE].m[i]);
        double error = cw_jig_error(&jig, ratio[CW_JIG_TAKE].m[i], ratio[CW_JIG_TAKE].sigma[i]);
        struct cw_one_port_point point = {ratio[CW_JIG_TAKE].hz[i], z.re, z.im, error};
        char line[100];
        fputs(cw_touchstone_line(&point, line, sizeof line), output.stream);
    }
    return cw_output_commit(&output);
}

static bool plot_impedance(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    double value[CW_RATIO_POINTS];
    struct cw_plot *plot = cw_plot_new(CW_PLOT_IMPEDANCE, "Impedance at the jack, measured");
    if (!plot) {
        return false;
    }
    for (size_t i = 0; i < ratio[CW_JIG_TAKE].count; i++) {
        struct cw_jig jig = jig_at(ratio, request->known, i);
        value[i] = log(cabs(cw_as_c(cw_jig_impedance(&jig, ratio[CW_JIG_TAKE].m[i]))));
    }
    cw_measure_plot_fill(cw_plot_add(plot, request->file[CW_JIG_TAKE]), value, ratio[CW_JIG_TAKE].count, false);
    return cw_measure_plot_save(request, plot);
}

bool cw_measure_jig(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    if (!channels_right(request, ratio) || !known_is_resistor(request, ratio) || !check_resistor(request, ratio) ||
        !passive(request, ratio)) {
        return false;
    }
    tell_cable(request, ratio);
    return write_curve(request, ratio) && (!request->plot || plot_impedance(request, ratio));
}
