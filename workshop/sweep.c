/* SPDX-License-Identifier: ISC */
#include "sweep.h"

#include <math.h>

#include "constants.h"

void cw_sweep_init(struct cw_sweep *sweep) { *sweep = (struct cw_sweep){20.0, 20000.0, 5.0, 0.05, 0.005}; }

double cw_sweep_rate(const struct cw_sweep *sweep) { return sweep->seconds / log(sweep->high_hz / sweep->low_hz); }

/* 0 to 1 over the fade. */
static double raised_cosine(double share) { return share >= 1.0 ? 1.0 : 0.5 - 0.5 * cos(0.5 * CW_TAU * share); }

double cw_sweep_at(const struct cw_sweep *sweep, double seconds)
{
    if (!(seconds >= 0.0 && seconds <= sweep->seconds)) {
        return 0.0;
    }
    double rate = cw_sweep_rate(sweep), fade = 1.0;
    if (sweep->fade_in > 0.0) {
        fade *= raised_cosine(seconds / sweep->fade_in);
    }
    if (sweep->fade_out > 0.0) {
        fade *= raised_cosine((sweep->seconds - seconds) / sweep->fade_out);
    }
    return fade * sin(CW_TAU * sweep->low_hz * rate * exp(seconds / rate));
}

struct cw_complex cw_sweep_spectrum(const struct cw_sweep *sweep, double hz)
{
    double rate = cw_sweep_rate(sweep), size = 0.5 * sqrt(rate / hz);
    double phase = CW_TAU * hz * rate * (1.0 - log(hz / sweep->low_hz)) - 0.125 * CW_TAU;
    struct cw_complex x = {size * cos(phase), size * sin(phase)};
    return x;
}

static const double FIRST_MARKER = 0.5, START = 0.75, RING_OUT = 1.0, END = 0.5;
/* A marker is one cycle under a raised cosine. */
static const double MARKER_HZ = 4000.0;

double cw_sweep_take_first_marker(void) { return FIRST_MARKER; }

double cw_sweep_take_start(void) { return START; }

double cw_sweep_take_last_marker(const struct cw_sweep *sweep) { return START + sweep->seconds + RING_OUT; }

double cw_sweep_take_seconds(const struct cw_sweep *sweep) { return cw_sweep_take_last_marker(sweep) + END; }

static double marker_at(double seconds)
{
    double turn = CW_TAU * MARKER_HZ * seconds;
    return fabs(turn) < 0.5 * CW_TAU ? 0.5 * (1.0 + cos(turn)) * cos(turn) : 0.0;
}

double cw_sweep_take_at(const struct cw_sweep *sweep, double seconds)
{
    return cw_sweep_at(sweep, seconds - START) + marker_at(seconds - FIRST_MARKER) +
           marker_at(seconds - cw_sweep_take_last_marker(sweep));
}
