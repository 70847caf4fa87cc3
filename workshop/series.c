/* SPDX-License-Identifier: ISC */
#include "series.h"

#include <math.h>
#include <stdlib.h>
#include <strings.h>

enum { E24 = 24, E96 = 96 };

/* E24 is not the formula's rounding throughout, so it is listed; every second value is E12. */
static const int e24[E24] = {100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300,
                             330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910};

const char *cw_series_name(enum cw_series series)
{
    static const char *const names[CW_SERIES_COUNT] = {"E12", "E24", "E96"};
    return names[series];
}

bool cw_series_parse(const char *text, enum cw_series *series)
{
    for (int i = 0; i < CW_SERIES_COUNT; i++) {
        if (strcasecmp(text, cw_series_name((enum cw_series)i)) == 0) {
            *series = (enum cw_series)i;
            return true;
        }
    }
    return false;
}

/* Value number `index` of a series in hundredths; E96 is 10^(index/96) rounded to three digits. */
static double hundredths(enum cw_series series, int index)
{
    switch (series) {
    case CW_SERIES_E12: return e24[2 * index];
    case CW_SERIES_E24: return e24[index];
    case CW_SERIES_E96:
    case CW_SERIES_COUNT:
    default: return floor(100.0 * pow(10.0, index / (double)E96) + 0.5);
    }
}

static int length_of(enum cw_series series)
{
    return series == CW_SERIES_E12 ? E24 / 2 : series == CW_SERIES_E24 ? E24 : E96;
}

/* Steps of ten are divided by where they are negative, so that 0.47 is the double nearest to it. */
static double value_at(enum cw_series series, int decade, int index)
{
    double size = pow(10.0, abs(decade - 2));
    return decade >= 2 ? hundredths(series, index) * size : hundredths(series, index) / size;
}

static double neighbour(enum cw_series series, double value, bool above)
{
    const double slack = 1e-9; /* a value of the series that went through arithmetic is still itself */
    int decade = (int)floor(log10(value)), length = length_of(series);
    double last = 0.0;
    for (int step = -length; step < 2 * length; step++) {
        int shift = step < 0 ? -1 : step / length;
        double here = value_at(series, decade + shift, step - shift * length);
        if (above && here >= value * (1.0 - slack)) {
            return here;
        }
        if (here > value * (1.0 + slack)) {
            return last;
        }
        last = here;
    }
    return last;
}

double cw_series_below(enum cw_series series, double value) { return neighbour(series, value, false); }

double cw_series_above(enum cw_series series, double value) { return neighbour(series, value, true); }
