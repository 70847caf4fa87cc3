/* SPDX-License-Identifier: ISC */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "plot_model.h"

#include "escape.h"

void cw_plot_clear(struct cw_plot *plot) { memset(plot, 0, sizeof *plot); }

double cw_plot_hz(int point)
{
    return CW_PLOT_HZ_LOW * pow(CW_PLOT_HZ_HIGH / CW_PLOT_HZ_LOW, (double)point / (CW_PLOT_POINTS - 1));
}

void cw_plot_text(char to[CW_PLOT_TEXT], const char *from) { cw_show(from, to, CW_PLOT_TEXT); }

struct cw_plot_curve *cw_plot_add(struct cw_plot *plot, const char *label)
{
    if (plot->count == CW_PLOT_CURVES) {
        return NULL;
    }
    struct cw_plot_curve *curve = &plot->curve[plot->count];
    memset(curve, 0, sizeof *curve);
    cw_plot_text(curve->label, label);
    curve->style = (int)plot->count++;
    return curve;
}

double cw_plot_value(const struct cw_plot_curve *curve, double hz)
{
    double place = log(hz / CW_PLOT_HZ_LOW) / log(CW_PLOT_HZ_HIGH / CW_PLOT_HZ_LOW) * (CW_PLOT_POINTS - 1);
    if (!(place > 0.0)) {
        return curve->value[0];
    }
    if (place >= CW_PLOT_POINTS - 1) {
        return curve->value[CW_PLOT_POINTS - 1];
    }
    int i = (int)place;
    double share = place - i;
    return curve->value[i] + share * (curve->value[i + 1] - curve->value[i]);
}

/* Values that no circuit has would make an axis that no one can number. */
static double sane(enum cw_plot_axis axis, double value)
{
    if (axis == CW_PLOT_IMPEDANCE) {
        return fmin(fmax(value, 1.0), 1e10);
    }
    double most = axis == CW_PLOT_PHASE ? 1440.0 : 400.0;
    return fmin(fmax(value, -most), most);
}

/* Lowest and highest finite value of all curves; false where there is none. */
static bool extent(const struct cw_plot *plot, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t c = 0; c < plot->count; c++) {
        const struct cw_plot_curve *curve = &plot->curve[c];
        for (int i = 0; i < CW_PLOT_POINTS; i++) {
            if (isfinite(curve->value[i])) {
                *low = fmin(*low, sane(plot->axis, curve->value[i]));
                *high = fmax(*high, sane(plot->axis, curve->value[i]));
            }
        }
        if (curve->peak && isfinite(curve->peak_value)) {
            *high = fmax(*high, sane(plot->axis, curve->peak_value));
        }
    }
    return *low <= *high;
}

/* Steps in which dB are read without effort; lines about 60 pixels apart or more. */
static double db_step(double span, double height)
{
    static const double steps[] = {0.1, 0.2, 0.5, 1, 2, 3, 6, 10, 20, 50};
    double lines = fmax(3.0, height / 60.0);
    size_t i = 0;
    while (i + 1 < sizeof steps / sizeof steps[0] && span / steps[i] > lines) {
        i++;
    }
    return steps[i];
}

static struct cw_plot_range round_out(double low, double high, double step)
{
    /* A value that stands on a line but for rounding does not ask for another one. */
    return (struct cw_plot_range){step * floor(low / step + 1e-9), step * ceil(high / step - 1e-9), step};
}

static struct cw_plot_range level_range(double low, double high, double height)
{
    /* Most of a response that matters lies within 42 dB of its top; the rest falls out of the frame. */
    high += 3.0; /* Room for the words at a peak. */
    low = fmax(low - 1.0, high - 42.0);
    if (high - low < 12.0) {
        low = high - 12.0;
    }
    return round_out(low, high, db_step(high - low, height));
}

static struct cw_plot_range difference_range(double low, double high, double height)
{
    high = fmin(fmax(high, 0.0), 40.0);
    low = fmax(fmin(low, 0.0), -40.0);
    double margin = fmax(0.08 * (high - low), 0.0);
    double lack = fmax(0.0, 3.0 - (high - low));
    low -= margin + lack / 2;
    high += margin + lack / 2;
    return round_out(low, high, db_step(high - low, height));
}

static struct cw_plot_range impedance_range(double low, double high)
{
    /* Whole 1-2-5 steps, at least one decade. */
    double bottom = fmax(low / 1.25, 1.0), top = fmax(high * 1.25, 10.0 * bottom);
    double ends[2] = {bottom, top};
    for (int i = 0; i < 2; i++) {
        double decade = pow(10.0, floor(log10(ends[i])));
        double share = ends[i] / decade;
        double mark = i == 0       ? (share < 2   ? 1
                                      : share < 5 ? 2
                                                  : 5)
                      : share <= 1 ? 1
                      : share <= 2 ? 2
                      : share <= 5 ? 5
                                   : 10;
        ends[i] = mark * decade;
    }
    return (struct cw_plot_range){ends[0], ends[1], 0.0};
}

static struct cw_plot_range phase_range(double low, double high, double height)
{
    double step = height > 150.0 ? 45.0 : 90.0;
    struct cw_plot_range range = round_out(fmin(low, 0.0), fmax(high, 0.0), step);
    if (range.high - range.low < step) {
        range.high = range.low + step;
    }
    return range;
}

struct cw_plot_range cw_plot_range_of(const struct cw_plot *plot, double height)
{
    double low, high;
    if (plot->fixed_range && plot->high > plot->low) {
        double step = plot->axis == CW_PLOT_IMPEDANCE ? 0.0
                      : plot->axis == CW_PLOT_PHASE   ? 45.0
                                                      : db_step(plot->high - plot->low, height);
        return (struct cw_plot_range){plot->low, plot->high, step};
    }
    if (!extent(plot, &low, &high)) {
        low = plot->axis == CW_PLOT_IMPEDANCE ? 1000.0 : -24.0;
        high = plot->axis == CW_PLOT_IMPEDANCE ? 1e6 : 12.0;
    }
    switch (plot->axis) {
    case CW_PLOT_IMPEDANCE: return impedance_range(low, high);
    case CW_PLOT_PHASE: return phase_range(low, high, height);
    case CW_PLOT_DIFFERENCE: return difference_range(low, high, height);
    case CW_PLOT_LEVEL:
    default: return level_range(low, high, height);
    }
}

double cw_plot_x(const struct cw_plot_frame *frame, double hz)
{
    return frame->x + frame->width * log(hz / CW_PLOT_HZ_LOW) / log(CW_PLOT_HZ_HIGH / CW_PLOT_HZ_LOW);
}

double cw_plot_hz_at(const struct cw_plot_frame *frame, double x)
{
    return CW_PLOT_HZ_LOW * pow(CW_PLOT_HZ_HIGH / CW_PLOT_HZ_LOW, (x - frame->x) / frame->width);
}

double cw_plot_y(const struct cw_plot_frame *frame, double value)
{
    const struct cw_plot_range *range = &frame->range;
    double share = frame->axis == CW_PLOT_IMPEDANCE ? log(value / range->low) / log(range->high / range->low)
                                                    : (value - range->low) / (range->high - range->low);
    return frame->y + frame->height * (1.0 - share);
}
