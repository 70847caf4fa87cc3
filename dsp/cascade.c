#include "cascade.h"

#include <string.h>

/* Each lane is one section in direct form I; a lane's past outputs are the next lane's past inputs.
 *
 * The recurrence of one section cannot run faster than its latency, and a processor has room for
 * several at a time. So all lanes take a step together, lane k two samples behind lane k - 1: then
 * no lane waits for another within a step, and a cascade costs no more than one section. Nothing is
 * delayed: at the end of a block the lanes go on for the few steps that bring its last samples out,
 * on inputs that do not reach them, and what that did to the memory is forgotten. */

enum { WIDTH = 4, GROUPS_MAX = CW_SECTIONS_MAX / WIDTH, LAG = 2 };

/* Four lanes. gcc and clang know this form on every processor: where vectors are shorter, or there
 * are none, they split it. */
typedef double lane4 __attribute__((vector_size(32)));
/* The same as it lies in struct cw_cascade, among doubles. */
typedef double lane4_stored __attribute__((vector_size(32), aligned(8), may_alias));

void cw_cascade_init(struct cw_cascade *c, const struct cw_sections *design, double gain)
{
    memset(c, 0, sizeof *c);
    c->gain = design->gain * gain;
    c->lanes = (design->count + WIDTH - 1) / WIDTH * WIDTH;
    for (int i = 0; i < c->lanes; i++) {
        c->b0[i] = 1.0;
    }
    for (int i = 0; i < design->count; i++) {
        const struct cw_biquad *s = &design->section[i];
        double first = i == 0 ? c->gain : 1.0;
        c->b0[i] = s->b0 * first;
        c->b1[i] = s->b1 * first;
        c->b2[i] = s->b2 * first;
        c->a1[i] = s->a1;
        c->a2[i] = s->a2;
    }
}

struct memory {
    lane4 x1, x2, y1, y2;
};

struct coefficients {
    lane4 b0, b1, b2, a1, a2;
};

#define INLINE static inline __attribute__((always_inline))

INLINE void load(lane4 *v, const double *from) { *v = *(const lane4_stored *)from; }
INLINE void store(const lane4 *v, double *to) { *(lane4_stored *)to = *v; }

/* One step of every lane: x goes in at lane 0, the last lane's output comes out. */
INLINE double step(const struct coefficients *c, struct memory *m, double x, const int groups)
{
    double carry = x;
    for (int g = 0; g < groups; g++) {
        lane4 y1 = m[g].y1, y2 = m[g].y2, x0 = {carry, y2[0], y2[1], y2[2]};
        carry = y2[3];
        /* What is known longest is added first. */
        lane4 known = c[g].b1 * m[g].x1 + c[g].b2 * m[g].x2 - c[g].a2 * y2;
        m[g] = (struct memory){x0, m[g].x1, (known + c[g].b0 * x0) - c[g].a1 * y1, y1};
    }
    return m[groups - 1].y1[WIDTH - 1];
}

/* groups is a constant at each call, so that loops unroll and the memory lives in registers. */
INLINE void run_groups(struct cw_cascade *c, const float *in, float *out, int n, const int groups)
{
    struct coefficients k[GROUPS_MAX];
    struct memory m[GROUPS_MAX];
    for (int g = 0; g < groups; g++) {
        int i = g * WIDTH;
        load(&k[g].b0, c->b0 + i);
        load(&k[g].b1, c->b1 + i);
        load(&k[g].b2, c->b2 + i);
        load(&k[g].a1, c->a1 + i);
        load(&k[g].a2, c->a2 + i);
        load(&m[g].x1, c->x1 + i);
        load(&m[g].x2, c->x2 + i);
        load(&m[g].y1, c->y1 + i);
        load(&m[g].y2, c->y2 + i);
    }
    const int behind = LAG * (groups * WIDTH - 1);
    int t = 0;
    for (; t < behind && t < n; t++) {
        step(k, m, (double)in[t], groups); /* what comes out belongs to the block before */
    }
    for (; t < n; t++) {
        out[t - behind] = (float)step(k, m, (double)in[t], groups);
    }
    for (int g = 0; g < groups; g++) {
        int i = g * WIDTH;
        store(&m[g].x1, c->x1 + i);
        store(&m[g].x2, c->x2 + i);
        store(&m[g].y1, c->y1 + i);
        store(&m[g].y2, c->y2 + i);
    }
    for (; t < n + behind; t++) {
        float y = (float)step(k, m, 0.0, groups);
        if (t >= behind) {
            out[t - behind] = y;
        }
    }
}

INLINE void run(struct cw_cascade *c, const float *in, float *out, int n)
{
    switch (c->lanes / WIDTH) {
    case 1: run_groups(c, in, out, n, 1); break;
    case 2: run_groups(c, in, out, n, 2); break;
    default: run_groups(c, in, out, n, 3); break;
    }
}

static void run_anywhere(struct cw_cascade *c, const float *in, float *out, int n) { run(c, in, out, n); }

#if defined(__x86_64__)
/* The same code for processors whose vectors hold four. */
__attribute__((target("avx2,fma"))) static void run_avx2(struct cw_cascade *c, const float *in, float *out, int n)
{
    run(c, in, out, n);
}
static int has_avx2(void) { return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma"); }
#else
static void run_avx2(struct cw_cascade *c, const float *in, float *out, int n) { run(c, in, out, n); }
static int has_avx2(void) { return 0; }
#endif

void cw_cascade_process(struct cw_cascade *c, const float *in, float *out, size_t n)
{
    if (c->lanes == 0) {
        for (size_t i = 0; i < n; i++) {
            out[i] = (float)((double)in[i] * c->gain);
        }
        return;
    }
    if (has_avx2()) {
        run_avx2(c, in, out, (int)n);
    } else {
        run_anywhere(c, in, out, (int)n);
    }
}
