/* SPDX-License-Identifier: ISC */
#include "biquad.h"

#include <math.h>

#include "constants.h"

double cw_biquad_power(const struct cw_biquad *s, double hz, double rate)
{
    double half = sin(0.5 * CW_TAU * hz / rate), u = half * half;
    return cw_quadratic_power(s->b0 + s->b1 + s->b2, s->b0 - s->b1 + s->b2, s->b0, s->b2, u) /
           cw_quadratic_power(1.0 + s->a1 + s->a2, 1.0 - s->a1 + s->a2, 1.0, s->a2, u);
}

void cw_biquad_process(const struct cw_biquad *section, struct cw_biquad_state *state, const float *in, float *out,
                       size_t n)
{
    const struct cw_biquad c = *section;
    double s1 = state->s1, s2 = state->s2;
    for (size_t i = 0; i < n; i++) {
        double x = (double)in[i], y = c.b0 * x + s1;
        s1 = c.b1 * x - c.a1 * y + s2;
        s2 = c.b2 * x - c.a2 * y;
        out[i] = (float)y;
    }
    state->s1 = s1;
    state->s2 = s2;
}
