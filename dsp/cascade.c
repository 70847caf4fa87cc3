#include "cascade.h"

#include <string.h>

/* Each lane is one section in direct form I; a lane's past outputs are the next lane's past inputs.
 *
 * The recurrence of one section cannot be computed faster than its latency. So lane k works one
 * sample behind lane k - 1, and all lanes take a step together: a cascade costs little more than a
 * single section. The first and last few steps of a block, where some lanes have no sample, are
 * done lane by lane; nothing is delayed. */

void cw_cascade_init(struct cw_cascade *c, const struct cw_sections *design)
{
    memset(c, 0, sizeof *c);
    c->gain = design->gain;
    c->lanes = (design->count + 1) & ~1;
    for (int i = 0; i < c->lanes; i++) {
        c->b0[i] = 1.0;
    }
    for (int i = 0; i < design->count; i++) {
        const struct cw_biquad *s = &design->section[i];
        double gain = i == 0 ? design->gain : 1.0;
        c->b0[i] = s->b0 * gain;
        c->b1[i] = s->b1 * gain;
        c->b2[i] = s->b2 * gain;
        c->a1[i] = s->a1;
        c->a2[i] = s->a2;
    }
}

void cw_cascade_process(struct cw_cascade *c, const float *in, double *out, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        double x = (double)in[i], x1 = c->x1, x2 = c->x2;
        c->x2 = x1;
        c->x1 = x;
        for (int k = 0; k < c->lanes; k++) {
            double y = c->b0[k] * x + c->b1[k] * x1 + c->b2[k] * x2 - c->a2[k] * c->y2[k] - c->a1[k] * c->y1[k];
            x = y;
            x1 = c->y1[k];
            x2 = c->y2[k];
            c->y2[k] = c->y1[k];
            c->y1[k] = y;
        }
        out[i] = c->lanes ? x : x * c->gain;
    }
}
