/* SPDX-License-Identifier: ISC */
#include "parallel.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "biquad.h"
#include "lanes.h"

/* The recurrence of a mode cannot run faster than its latency if it goes sample by sample. So modes run side
 * by side as lanes of a vector, and each steps a block of four samples at once: state and inputs to the next
 * state by coefficients worked out beforehand, which is the same recursion four times over and has the same
 * poles (block state form: C. W. Barnes and S. Shinnaka, "Block-shift invariance and block implementation of
 * discrete-time filters", IEEE Trans. Circuits Syst. 27, 1980; cited from memory). The outputs of a block are
 * the states' shares and those of the inputs that the states do not hold yet. */

enum {
    CHUNK = CW_INPUTS - CW_HEAD_MAX - 2 * CW_BLOCK, /* samples turned to double at a time */
    HEAD_SHORT = CW_MODES_DELAY_SHORT + CW_MODES_OVERLAP,
    HEAD_LONG = CW_HEAD_MAX
};

/* The kinds of filter that the loop is compiled for. Most designs have three to six modes. */
static enum cw_parallel_kind kind_of(const struct cw_modes *m)
{
    return m->delay == CW_MODES_DELAY_LONG ? CW_PARALLEL_LONG
           : m->count <= 3                 ? CW_PARALLEL_3
           : m->count <= 4                 ? CW_PARALLEL_4
           : m->count <= 6                 ? CW_PARALLEL_6
           : m->count <= 8                 ? CW_PARALLEL_8
           : m->count <= 12                ? CW_PARALLEL_12
                                           : CW_PARALLEL_ANY;
}

/* With u for the state before, t + x(n) for the newest and h for the recursion's impulse response,
 *     w(n + k) = h[k] t + h[k + 1] u + what comes in later,
 * and t of the sample n is x(n) - a2 w(n - 2), u is w(n - 1). */
static void mode_in(struct cw_parallel *f, int i, const struct cw_mode *m)
{
    double h[CW_BLOCK + 2] = {1.0, -m->a1};
    for (int k = 2; k < CW_BLOCK + 2; k++) {
        h[k] = -m->a1 * h[k - 1] - m->a2 * h[k - 2];
    }
    const int t = 4 * (i / 2) + i % 2, u = t + 2;
    f->by_x1[t] = -m->a2;
    f->by_x0[t] = -m->a2 * h[1];
    f->by_own[t] = -m->a2 * h[2];
    f->by_other[t] = -m->a2 * h[3];
    f->by_x1[u] = h[1];
    f->by_x0[u] = h[2];
    f->by_other[u] = h[3];
    f->by_own[u] = h[4];
    f->out_by_state[t][0] = m->c0;
    for (int k = 1; k <= CW_BLOCK; k++) {
        const double w = m->c0 * h[k] + m->c1 * h[k - 1];
        f->out_by_state[u][k - 1] = w;
        if (k < CW_BLOCK) {
            f->out_by_state[t][k] = w;
        }
    }
}

/* Inputs before the block at work that are wanted, up to whole blocks, so that blocks lie at multiples of a vector. */
static size_t older(const struct cw_parallel *f) { return ((size_t)f->head - 1) / CW_BLOCK * CW_BLOCK; }

void cw_parallel_init(struct cw_parallel *f, const struct cw_sections *design, double gain)
{
    memset(f, 0, sizeof *f);
    f->gain = design->gain * gain;
    if (design->count == 0) {
        return;
    }
    struct cw_modes modes;
    cw_modes_of(design, gain, &modes);
    f->head = modes.delay + CW_MODES_OVERLAP;
    f->block = older(f);
    f->kind = kind_of(&modes);
    for (int i = 0; i < modes.count; i++) {
        mode_in(f, i, &modes.mode[i]);
    }
    for (int i = 0; i < f->head; i++) {
        for (int k = 0; k < CW_BLOCK; k++) {
            int lag = i + k - (CW_BLOCK - 1);
            f->out_by_in[i][k] = lag >= 0 ? modes.head[lag] : 0.0;
        }
    }
}

/* Four samples, and their bits: magnitudes of finite floats are in the order of their bits. */
typedef float four_floats __attribute__((vector_size(16)));
typedef int32_t four_bits __attribute__((vector_size(16)));
typedef uint64_t two_pairs __attribute__((vector_size(16)));
/* The samples as they lie in a buffer of any host. */
typedef float stored_floats __attribute__((vector_size(16), aligned(4), may_alias));

INLINE four_bits magnitudes(four_bits samples) { return samples & INT32_MAX; }

INLINE bool any_below_zero(four_bits v)
{
    const two_pairs pair = (two_pairs)v;
    return ((pair[0] | pair[1]) & UINT64_C(0x8000000080000000)) != 0;
}

INLINE four_bits bits_of(float value)
{
    const four_floats v = {value, value, value, value};
    return (four_bits)v;
}

/* What cw_parallel_hear() was asked for, of whole blocks. */
struct hearing {
    const float *in;
    float *kept;
    size_t n;
    struct cw_bounds bounds;
};

/* Inputs on their way to x. Returns whether one is louder than its bound; what is to be counted as 0 is. */
INLINE bool take_in(const struct hearing *h, double *x)
{
    const four_bits most = bits_of(h->bounds.in);
    const float *in = h->in, *end = in + h->n;
    four_bits above = {0};
    for (float *kept = h->kept; in < end; in += 4, kept += 4, x += 4) {
        const four_floats sample = *(const stored_floats *)in;
        *(stored_floats *)kept = sample;
        above |= most - magnitudes((four_bits)sample);
        for (int i = 0; i < 4; i++) {
            x[i] = (double)sample[i];
        }
    }
    return any_below_zero(above);
}

#define KERNEL(name) name##_2
#define LANES 2
#include "parallel_kernel.inc"

#define KERNEL(name) name##_4
#define LANES 4
#include "parallel_kernel.inc"

#define RUN_KIND(blocks)                                                                                               \
    switch (f->kind) {                                                                                                 \
    case CW_PARALLEL_GAIN: break;                                                                                      \
    case CW_PARALLEL_3: above = blocks(f, x, out, count, most, 3, HEAD_SHORT); break;                                  \
    case CW_PARALLEL_4: above = blocks(f, x, out, count, most, 4, HEAD_SHORT); break;                                  \
    case CW_PARALLEL_6: above = blocks(f, x, out, count, most, 6, HEAD_SHORT); break;                                  \
    case CW_PARALLEL_8: above = blocks(f, x, out, count, most, 8, HEAD_SHORT); break;                                  \
    case CW_PARALLEL_12: above = blocks(f, x, out, count, most, 12, HEAD_SHORT); break;                                \
    case CW_PARALLEL_ANY: above = blocks(f, x, out, count, most, CW_SECTIONS_MAX, HEAD_SHORT); break;                  \
    case CW_PARALLEL_LONG: above = blocks(f, x, out, count, most, CW_SECTIONS_MAX, HEAD_LONG); break;                  \
    }

/* What became of blocks. REFUSED where an input is louder than its bound: nothing is done then. LOUD where an output
 * is. */
enum outcome { WITHIN, LOUD, REFUSED };

/* `count` blocks of what is at x, or is heard and goes there. */
static enum outcome run_two(struct cw_parallel *f, double *x, float *out, size_t count, const struct hearing *h)
{
    const four_bits most = bits_of(h ? h->bounds.out : 0.0f);
    four_bits above = {0};
    if (h && take_in(h, x)) {
        return REFUSED;
    }
    RUN_KIND(blocks_2)
    return any_below_zero(above) ? LOUD : WITHIN;
}

CW_FOUR_LANES static enum outcome run_four(struct cw_parallel *f, double *x, float *out, size_t count,
                                           const struct hearing *h)
{
    const four_bits most = bits_of(h ? h->bounds.out : 0.0f);
    four_bits above = {0};
    if (h && take_in(h, x)) {
        return REFUSED;
    }
    RUN_KIND(blocks_4)
    return any_below_zero(above) ? LOUD : WITHIN;
}

static enum outcome run(struct cw_parallel *f, double *x, float *out, size_t blocks, const struct hearing *h)
{
    return cw_has_four_lanes() ? run_four(f, x, out, blocks, h) : run_two(f, x, out, blocks, h);
}

/* Where calls do not meet blocks: the outputs of an unfinished block are worked out with zeros for what has not
 * come yet, and its states are not kept. */
static void run_ragged(struct cw_parallel *f, double *x, float *out, size_t n)
{
    float y[CW_INPUTS + 2 * CW_BLOCK];
    for (size_t i = 0; i < CW_BLOCK; i++) {
        x[f->phase + n + i] = 0.0;
    }
    size_t whole = (f->phase + n) / CW_BLOCK;
    run(f, x, y, whole, NULL);
    double state[2 * CW_SECTIONS_MAX];
    memcpy(state, f->state, sizeof state);
    run(f, x + whole * CW_BLOCK, y + whole * CW_BLOCK, 1, NULL);
    memcpy(f->state, state, sizeof state);
    memcpy(out, y + f->phase, n * sizeof *out);
}

/* Room for so many more: the inputs that are still wanted, to the front. */
static void make_room(struct cw_parallel *f, size_t n)
{
    if (f->block + f->phase + n > CW_INPUTS - CW_BLOCK) {
        memmove(f->input, f->input + f->block - older(f), (older(f) + f->phase) * sizeof *f->input);
        f->block = older(f);
    }
}

static void process_chunk(struct cw_parallel *f, const float *in, float *out, size_t n)
{
    make_room(f, n);
    double *block = f->input + f->block, *x = block + f->phase;
    for (size_t i = 0; i < n; i++) {
        x[i] = (double)in[i];
    }
    const size_t known = f->phase + n, whole = known / CW_BLOCK, rest = known % CW_BLOCK;
    if (f->phase == 0 && rest == 0) {
        run(f, block, out, whole, NULL);
    } else {
        run_ragged(f, block, out, n);
    }
    f->block += whole * CW_BLOCK;
    f->phase = rest;
}

void cw_parallel_process(struct cw_parallel *f, const float *in, float *out, size_t n)
{
    if (f->kind == CW_PARALLEL_GAIN) {
        for (size_t i = 0; i < n; i++) {
            out[i] = (float)((double)in[i] * f->gain);
        }
        return;
    }
    while (n > 0) {
        size_t count = n < CHUNK ? n : CHUNK;
        process_chunk(f, in, out, count);
        in += count;
        out += count;
        n -= count;
    }
}

/* Whole blocks, not too many, and a filter: what is looked for is looked for in the same pass. */
static enum outcome hear_together(struct cw_parallel *f, const struct hearing *h, float *out)
{
    if (f->kind == CW_PARALLEL_GAIN || f->phase != 0 || h->n % CW_BLOCK != 0 || h->n > CHUNK) {
        return REFUSED;
    }
    make_room(f, h->n);
    const enum outcome outcome = run(f, f->input + f->block, out, h->n / CW_BLOCK, h);
    f->block += outcome == REFUSED ? 0 : h->n;
    return outcome;
}

bool cw_parallel_hear(struct cw_parallel *f, const float *in, float *kept, float *out, size_t n,
                      const struct cw_bounds *bounds)
{
    const struct hearing h = {in, kept, n, *bounds};
    const enum outcome outcome = hear_together(f, &h, out);
    if (outcome == REFUSED) {
        for (size_t i = 0; i < n; i++) {
            kept[i] = fabsf(in[i]) < bounds->beyond ? in[i] : 0.0f; /* false for NaN */
        }
        cw_parallel_process(f, kept, out, n);
    }
    return outcome == WITHIN;
}
