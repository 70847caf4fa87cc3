#include "cascade.h"

#include <string.h>

/* Each lane is one section in direct form I; a lane's past outputs are the next lane's past inputs.
 *
 * The recurrence of one section cannot run faster than its latency, and a processor has room for
 * several at a time. So lane k works one sample behind lane k - 1 and all lanes take a step
 * together: a cascade costs little more than one section. Nothing is delayed: at the end of a
 * block the lanes go on for the few steps that bring its last samples out, on inputs that do not
 * reach them, and what that did to the memory is forgotten. */

enum { WIDTH = 4, GROUPS_MAX = CW_SECTIONS_MAX / WIDTH };

/* Four lanes. gcc and clang know this form on every processor: where vectors are shorter, or there
 * are none, they split it. */
typedef double lane4 __attribute__((vector_size(32)));

void cw_cascade_init(struct cw_cascade *c, const struct cw_sections *design)
{
    memset(c, 0, sizeof *c);
    c->gain = design->gain;
    c->lanes = (design->count + WIDTH - 1) / WIDTH * WIDTH;
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

struct memory {
    lane4 x1[GROUPS_MAX], x2[GROUPS_MAX], y1[GROUPS_MAX], y2[GROUPS_MAX];
};

struct coefficients {
    lane4 b0[GROUPS_MAX], b1[GROUPS_MAX], b2[GROUPS_MAX], a1[GROUPS_MAX], a2[GROUPS_MAX];
};

#define INLINE static inline __attribute__((always_inline))

/* One step of every lane: x goes in at lane 0, the last lane's output comes out. */
INLINE double step(const struct coefficients *c, struct memory *m, double x, const int groups)
{
    double carry = x;
    for (int g = 0; g < groups; g++) {
        lane4 y1 = m->y1[g], x0 = {carry, y1[0], y1[1], y1[2]};
        carry = y1[3];
        /* What is known longest is added first: the step waits for one product and one sum. */
        lane4 old = c->b1[g] * m->x1[g] + c->b2[g] * m->x2[g] - c->a2[g] * m->y2[g];
        lane4 y0 = (old - c->a1[g] * y1) + c->b0[g] * x0;
        m->x2[g] = m->x1[g];
        m->x1[g] = x0;
        m->y2[g] = y1;
        m->y1[g] = y0;
    }
    return m->y1[groups - 1][WIDTH - 1];
}

/* groups is a constant at each call, so that loops unroll and the memory lives in registers. */
INLINE void run_groups(struct cw_cascade *c, const float *in, double *out, int n, const int groups)
{
    struct coefficients k;
    struct memory m;
    size_t bytes = (size_t)groups * sizeof(lane4);
    memcpy(k.b0, c->b0, bytes);
    memcpy(k.b1, c->b1, bytes);
    memcpy(k.b2, c->b2, bytes);
    memcpy(k.a1, c->a1, bytes);
    memcpy(k.a2, c->a2, bytes);
    memcpy(m.x1, c->x1, bytes);
    memcpy(m.x2, c->x2, bytes);
    memcpy(m.y1, c->y1, bytes);
    memcpy(m.y2, c->y2, bytes);

    const int behind = groups * WIDTH - 1;
    int t = 0;
    for (; t < behind && t < n; t++) {
        step(&k, &m, (double)in[t], groups); /* what comes out belongs to the block before */
    }
    for (; t < n; t++) {
        out[t - behind] = step(&k, &m, (double)in[t], groups);
    }
    memcpy(c->x1, m.x1, bytes);
    memcpy(c->x2, m.x2, bytes);
    memcpy(c->y1, m.y1, bytes);
    memcpy(c->y2, m.y2, bytes);
    for (; t < n + behind; t++) {
        double y = step(&k, &m, 0.0, groups);
        if (t >= behind) {
            out[t - behind] = y;
        }
    }
}

INLINE void run(struct cw_cascade *c, const float *in, double *out, int n)
{
    switch (c->lanes / WIDTH) {
    case 1: run_groups(c, in, out, n, 1); break;
    case 2: run_groups(c, in, out, n, 2); break;
    default: run_groups(c, in, out, n, 3); break;
    }
}

static void run_anywhere(struct cw_cascade *c, const float *in, double *out, int n) { run(c, in, out, n); }

#if defined(__x86_64__)
/* The same code for processors whose vectors hold four. */
__attribute__((target("avx2,fma"))) static void run_avx2(struct cw_cascade *c, const float *in, double *out, int n)
{
    run(c, in, out, n);
}
static int has_avx2(void) { return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma"); }
#else
static void run_avx2(struct cw_cascade *c, const float *in, double *out, int n) { run(c, in, out, n); }
static int has_avx2(void) { return 0; }
#endif

void cw_cascade_process(struct cw_cascade *c, const float *in, double *out, size_t n)
{
    if (c->lanes == 0) {
        for (size_t i = 0; i < n; i++) {
            out[i] = (double)in[i] * c->gain;
        }
        return;
    }
    if (has_avx2()) {
        run_avx2(c, in, out, (int)n);
    } else {
        run_anywhere(c, in, out, (int)n);
    }
}
