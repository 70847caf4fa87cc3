/* SPDX-License-Identifier: ISC */
#include "measure_exciter.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "c_complex.h"
#include "command.h"
#include "exciter.h"
#include "instrument.h"
#include "measure_plot.h"
#include "message.h"
#include "output.h"
#include "plot_file.h"
#include "plot_model.h"
#include "polynomial.h"

/* A capacitor lowers what is far above the resonance; a difference of nothing is none at the plug. */
static bool capacitor_right(const struct cw_measure_request *request, const struct cw_exciter *exciter)
{
    double lower = 0.0, most = 0.0;
    for (size_t i = 0; i < exciter->count; i++) {
        const struct cw_exciter_point *p = &exciter->point[i];
        double change = log(cabs(cw_as_c(p->loaded)) / cabs(cw_as_c(p->bare)));
        most = p->hz > 500.0 ? fmax(most, fabs(change)) : most;
        lower += p->hz > 10000.0 ? change : 0.0;
    }
    if (most < 0.02) {
        cw_error_at(request->file[CW_JIG_LOADED], 0,
                    "expected the capacitor to make a difference, found less than 0.2 dB: is it "
                    "across the plug, is it the right take?");
    } else if (lower > 0.0) {
        cw_error_at(request->file[CW_JIG_LOADED], 0,
                    "expected less level above 10 kHz with the capacitor, found more: are channels 1 and 2, or the two "
                    "takes, exchanged?");
    }
    return most >= 0.02 && lower <= 0.0;
}

/* What the jig's impedance has as its floor, a response has too. */
static double error_of(const struct cw_ratio *ratio, size_t i)
{
    static const double floor = 3e-4;
    return hypot(ratio->sigma[i] / cabs(cw_as_c(ratio->m[i])), floor);
}

static void fill_exciter(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES],
                         struct cw_exciter *exciter)
{
    exciter->load = (struct cw_jack_load){1e-12 * request->cable, 1e3 * request->input};
    exciter->added = 1e-12 * request->loaded;
    exciter->count = ratio[CW_JIG_TAKE].count;
    for (size_t i = 0; i < exciter->count; i++) {
        exciter->point[i] =
            (struct cw_exciter_point){ratio[CW_JIG_TAKE].hz[i], ratio[CW_JIG_TAKE].m[i], ratio[CW_JIG_LOADED].m[i],
                                      error_of(&ratio[CW_JIG_TAKE], i), error_of(&ratio[CW_JIG_LOADED], i)};
    }
}

static bool write_exciter(const struct cw_measure_request *request, const struct cw_exciter *exciter)
{
    struct cw_output output;
    char text[2 * CW_EXCITER_LINE];
    if (!cw_output_open(&output, request->output ? request->output : "-", request->force)) {
        return false;
    }
    fprintf(output.stream, "# exciter coil to jack, channel 2 over channel 1; coilwright %s\n", CW_VERSION);
    fputs(cw_exciter_head(exciter, text, sizeof text), output.stream);
    for (int loaded = 0; loaded < 2; loaded++) {
        for (size_t i = 0; i < exciter->count; i++) {
            fputs(cw_exciter_line(exciter, i, loaded != 0, text), output.stream);
        }
    }
    return cw_output_commit(&output);
}

/* Without the slope that the exciter itself has, against 1 kHz without the capacitor. */
static bool plot_exciter(const struct cw_measure_request *request, const struct cw_exciter *exciter)
{
    double value[2][CW_RATIO_POINTS], at_1k = 0.0;
    struct cw_plot *plot = cw_plot_new(CW_PLOT_LEVEL, "Exciter coil to jack over frequency, against 1 kHz");
    if (!plot) {
        return false;
    }
    for (size_t i = 0; i < exciter->count; i++) {
        const struct cw_exciter_point *p = &exciter->point[i];
        value[0][i] = log(cabs(cw_as_c(p->bare)) / p->hz);
        value[1][i] = log(cabs(cw_as_c(p->loaded)) / p->hz);
        at_1k = p->hz < 1000.0 ? value[0][i] : at_1k;
    }
    for (int take = 0; take < 2; take++) {
        for (size_t i = 0; i < exciter->count; i++) {
            value[take][i] -= at_1k;
        }
        cw_measure_plot_fill(cw_plot_add(plot, request->file[take ? CW_JIG_LOADED : CW_JIG_TAKE]), value[take],
                             exciter->count, true);
    }
    return cw_measure_plot_save(request, plot);
}

bool cw_measure_exciter(const struct cw_measure_request *request, const struct cw_ratio ratio[CW_JIG_TAKES])
{
    struct cw_exciter *exciter = calloc(1, sizeof *exciter);
    if (!exciter) {
        cw_error_memory();
        return false;
    }
    fill_exciter(request, ratio, exciter);
    bool good = capacitor_right(request, exciter) && write_exciter(request, exciter) &&
                (!request->plot || plot_exciter(request, exciter));
    free(exciter);
    return good;
}
