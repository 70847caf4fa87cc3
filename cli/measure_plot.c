/* SPDX-License-Identifier: ISC */
#include "measure_plot.h"

#include <math.h>

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

bool cw_measure_plot_save(const struct cw_measure_request *request, struct cw_plot *plot)
{
    return cw_plot_save_one(plot, request->plot, (struct cw_plot_size){900, 540, 1}, request->force);
}
