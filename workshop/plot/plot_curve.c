/* SPDX-License-Identifier: ISC */
#include "plot_curve.h"

struct cw_plot_curve *cw_plot_curve_add(struct cw_plot *plot, const char *label, const struct cw_curve *curve,
                                        bool faint)
{
    struct cw_plot_curve *drawn = cw_plot_add(plot, label);
    for (int i = 0; drawn && i < CW_PLOT_POINTS; i++) {
        drawn->value[i] = cw_curve_db(curve, cw_plot_hz(i));
    }
    if (drawn) {
        drawn->faint = faint;
    }
    return drawn;
}
