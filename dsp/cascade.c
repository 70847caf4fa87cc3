#include "cascade.h"

#include <string.h>

/* Each lane is one section in direct form I; a lane's past outputs are the next lane's past inputs.
 *
 * The recurrence of one section cannot run faster than its latency, and a processor has room for
 * several at a time. So lane k works one sample behind lane k - 1 and all lanes take a step
 * together: a cascade costs little more than one section. The first and last few steps of a block,
 * where some lanes have no sample, are done lane by lane, so nothing is delayed. */

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

/* The past of one lane: its last two inputs and outputs. */
struct past {
    double x1, x2, y1, y2;
};

static struct past past_of(const struct cw_cascade *c, int lane)
{
    return (struct past){lane ? c->y1[lane - 1] : c->x1, lane ? c->y2[lane - 1] : c->x2, c->y1[lane], c->y2[lane]};
}

/* Run one lane over \p n samples of x; y may be x. The order of the sum is that of the vectors in
 * run_pairs(), so that a block gives the same bits however it is cut. */
static void run_lane(const struct cw_cascade *c, int lane, struct past *p, const double *x, double *y, int n)
{
    for (int i = 0; i < n; i++) {
        double x0 = x[i];
        double y0 = c->b0[lane] * x0 + c->b1[lane] * p->x1 + c->b2[lane] * p->x2 - c->a2[lane] * p->y2 -
                    c->a1[lane] * p->y1;
        *p = (struct past){x0, p->x1, y0, p->y1};
        y[i] = y0;
    }
}

/* A few samples, too few to fill the lanes. */
static void run_short(struct cw_cascade *c, const float *in, double *out, int n)
{
    struct past past[CW_SECTIONS_MAX] = {{0.0, 0.0, 0.0, 0.0}};
    for (int i = 0; i < n; i++) {
        out[i] = (double)in[i];
    }
    for (int lane = 0; lane < c->lanes; lane++) {
        past[lane] = past_of(c, lane);
        run_lane(c, lane, &past[lane], out, out, n);
    }
    c->x1 = past[0].x1;
    c->x2 = past[0].x2;
    for (int lane = 0; lane < c->lanes; lane++) {
        c->y1[lane] = past[lane].y1;
        c->y2[lane] = past[lane].y2;
    }
}

/* Two lanes side by side. Both compilers that are supported know this form on every processor;
 * where there are no vectors they take the elements one by one. */
typedef double pair __attribute__((vector_size(16)));

static pair pair_of(const double *v) { return (pair){v[0], v[1]}; }

/* The whole block for 2 * pairs lanes, n at least as many. \p pairs is a constant at each call, so
 * that the inner loops unroll and their arrays live in registers. */
static inline __attribute__((always_inline)) void run_pairs(struct cw_cascade *c, const float *in, double *out, int n,
                                                            const int pairs)
{
    enum { MOST = CW_SECTIONS_MAX / 2 };
    const int lanes = 2 * pairs;
    struct past past[CW_SECTIONS_MAX];
    double start[CW_SECTIONS_MAX];

    for (int i = 0; i < lanes - 1; i++) {
        start[i] = (double)in[i];
    }
    for (int lane = 0; lane < lanes; lane++) {
        past[lane] = past_of(c, lane);
    }
    for (int lane = 0; lane < lanes; lane++) {
        run_lane(c, lane, &past[lane], start, start, lanes - 1 - lane);
    }

    pair b0[MOST], b1[MOST], b2[MOST], a1[MOST], a2[MOST], x1[MOST], x2[MOST], y1[MOST], y2[MOST];
    for (int p = 0; p < pairs; p++) {
        const struct past *a = &past[2 * p], *b = a + 1;
        b0[p] = pair_of(c->b0 + 2 * p);
        b1[p] = pair_of(c->b1 + 2 * p);
        b2[p] = pair_of(c->b2 + 2 * p);
        a1[p] = pair_of(c->a1 + 2 * p);
        a2[p] = pair_of(c->a2 + 2 * p);
        x1[p] = (pair){a->x1, b->x1};
        x2[p] = (pair){a->x2, b->x2};
        y1[p] = (pair){a->y1, b->y1};
        y2[p] = (pair){a->y2, b->y2};
    }
    for (int t = lanes - 1; t < n; t++) {
        double carry = (double)in[t];
        for (int p = 0; p < pairs; p++) {
            pair x0 = {carry, y1[p][0]};
            carry = y1[p][1];
            pair y0 = b0[p] * x0 + b1[p] * x1[p] + b2[p] * x2[p] - a2[p] * y2[p] - a1[p] * y1[p];
            x2[p] = x1[p];
            x1[p] = x0;
            y2[p] = y1[p];
            y1[p] = y0;
        }
        out[t - lanes + 1] = y1[pairs - 1][1];
    }

    /* Lane k still owes its last k samples; the first of their inputs stands in lane k - 1. */
    double rest[CW_SECTIONS_MAX];
    for (int lane = 0; lane < lanes; lane++) {
        int p = lane / 2, k = lane % 2;
        past[lane] = (struct past){x1[p][k], x2[p][k], y1[p][k], y2[p][k]};
    }
    double last = past[0].y1;
    c->x1 = past[0].x1;
    c->x2 = past[0].x2;
    for (int lane = 1; lane < lanes; lane++) {
        memmove(rest + 1, rest, (size_t)(lane - 1) * sizeof *rest);
        rest[0] = last;
        last = past[lane].y1;
        run_lane(c, lane, &past[lane], rest, rest, lane);
    }
    memcpy(out + n - lanes + 1, rest, (size_t)(lanes - 1) * sizeof *rest);
    for (int lane = 0; lane < lanes; lane++) {
        c->y1[lane] = past[lane].y1;
        c->y2[lane] = past[lane].y2;
    }
}

static void run_block(struct cw_cascade *c, const float *in, double *out, int n)
{
    if (n < 2 * c->lanes) {
        run_short(c, in, out, n);
        return;
    }
    switch (c->lanes / 2) {
    case 1: run_pairs(c, in, out, n, 1); break;
    case 2: run_pairs(c, in, out, n, 2); break;
    case 3: run_pairs(c, in, out, n, 3); break;
    case 4: run_pairs(c, in, out, n, 4); break;
    case 5: run_pairs(c, in, out, n, 5); break;
    default: run_pairs(c, in, out, n, 6); break;
    }
}

void cw_cascade_process(struct cw_cascade *c, const float *in, double *out, size_t n)
{
    if (c->lanes == 0) {
        for (size_t i = 0; i < n; i++) {
            out[i] = (double)in[i] * c->gain;
        }
        return;
    }
    run_block(c, in, out, (int)n);
}
