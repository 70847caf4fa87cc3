/* SPDX-License-Identifier: ISC */
#include "parallel.h"

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
    f->block = (size_t)f->head - CW_BLOCK;
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

#define KERNEL(name) name##_2
#define LANES 2
#include "parallel_kernel.inc"

#define KERNEL(name) name##_4
#define LANES 4
#include "parallel_kernel.inc"

#define RUN_KIND(blocks)                                                                                               \
    switch (f->kind) {                                                                                                 \
    case CW_PARALLEL_GAIN: break;                                                                                      \
    case CW_PARALLEL_3: blocks(f, x, out, count, 3, HEAD_SHORT); break;                                                \
    case CW_PARALLEL_4: blocks(f, x, out, count, 4, HEAD_SHORT); break;                                                \
    case CW_PARALLEL_6: blocks(f, x, out, count, 6, HEAD_SHORT); break;                                                \
    case CW_PARALLEL_8: blocks(f, x, out, count, 8, HEAD_SHORT); break;                                                \
    case CW_PARALLEL_12: blocks(f, x, out, count, 12, HEAD_SHORT); break;                                              \
    case CW_PARALLEL_ANY: blocks(f, x, out, count, CW_SECTIONS_MAX, HEAD_SHORT); break;                                \
    case CW_PARALLEL_LONG: blocks(f, x, out, count, CW_SECTIONS_MAX, HEAD_LONG); break;                                \
    }

static void run_two(struct cw_parallel *f, const double *x, float *out, size_t count){RUN_KIND(blocks_2)}

CW_FOUR_LANES static void run_four(struct cw_parallel *f, const double *x, float *out, size_t count)
{
    RUN_KIND(blocks_4)
}

static void run(struct cw_parallel *f, const double *x, float *out, size_t blocks)
{
    if (cw_has_four_lanes()) {
        run_four(f, x, out, blocks);
    } else {
        run_two(f, x, out, blocks);
    }
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
    run(f, x, y, whole);
    double state[2 * CW_SECTIONS_MAX];
    memcpy(state, f->state, sizeof state);
    run(f, x + whole * CW_BLOCK, y + whole * CW_BLOCK, 1);
    memcpy(f->state, state, sizeof state);
    memcpy(out, y + f->phase, n * sizeof *out);
}

/* The inputs that are still wanted, to the front. */
static void move_inputs(struct cw_parallel *f)
{
    const size_t older = (size_t)f->head - CW_BLOCK;
    memmove(f->input, f->input + f->block - older, (older + f->phase) * sizeof *f->input);
    f->block = older;
}

static void process_chunk(struct cw_parallel *f, const float *in, float *out, size_t n)
{
    if (f->block + f->phase + n > CW_INPUTS - CW_BLOCK) {
        move_inputs(f);
    }
    double *block = f->input + f->block, *x = block + f->phase;
    for (size_t i = 0; i < n; i++) {
        x[i] = (double)in[i];
    }
    const size_t known = f->phase + n, whole = known / CW_BLOCK, rest = known % CW_BLOCK;
    if (f->phase == 0 && rest == 0) {
        run(f, block, out, whole);
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
