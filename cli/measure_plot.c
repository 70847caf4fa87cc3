/* SPDX-License-Identifier: ISC */
#include "measure_plot.h"

#include <math.h>
#include <stdlib.h>

#include "message.h"
#include "plot_file.h"

void cw_measure_plot_fill(struct cw_plot_curve *curve, const double log_value[CW_RATIO_POINTS], size_t count,
                          bool decibels)
{
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        double step = log(cw_plot_hz(i) / 20.0) / log(1000.0) * (CW_RATIO_POINTS - 1);
        size_t low = (size_t)fmin(fmax(step, 0.0), (double)count - 2.0);
        double at = log_value[low] + (step - (double)low) * (log_value[low + 1] - log_value[low]);
        curve->value[i] = decibels ? 20.0 / log(10.0) * at : exp(at);
    }
}

struct cw_plot *cw_measure_plot_new(enum cw_plot_axis axis, const char *title)
{
    struct cw_plot *plot = malloc(sizeof *plot);
    if (!plot) {
        cw_error_memory();
        return NULL;
    }
    cw_plot_clear(plot);
    plot->axis = axis;
    cw_plot_text(plot->title, title);
    return plot;
}

bool cw_measure_plot_save(const struct cw_measure_request *request, struct cw_plot *plot)
{
    const struct cw_plot *plots[] = {plot};
    bool good = cw_plot_save(plots, 1, request->plot, (struct cw_plot_size){900, 540, 1}, request->force);
    free(plot);
    return good;
}
