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
    double w[CW_BLOCK + 1] = {m->c0};
    for (int k = 1; k <= CW_BLOCK; k++) {
        w[k] = m->c0 * h[k] + m->c1 * h[k - 1];
    }
    for (int k = 0; k < CW_BLOCK; k++) {
        double *row = f->out_by_state[2 * i + k / 2];
        row[k % 2] = w[k];
        row[2 + k % 2] = w[k + 1];
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

/* Inputs on their way to x. Returns whether one is louder than its bound, `most`. */
INLINE bool take_in(const float *in, float *kept, double *x, size_t n, four_bits most)
{
    four_bits above = {0};
    for (size_t i = 0; i < n; i += CW_BLOCK) {
        const four_floats sample = *(const stored_floats *)(in + i);
        *(stored_floats *)(kept + i) = sample;
        above |= most - magnitudes((four_bits)sample);
        for (int k = 0; k < CW_BLOCK; k++) {
            x[i + (size_t)k] = (double)sample[k];
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

/* The loop is compiled for filters of so many modes, and for those of the long delay. Most designs have three to six.
 */
enum { KINDS = 7 };
static const int ROOM[KINDS] = {3, 4, 6, 8, 12, CW_SECTIONS_MAX, CW_SECTIONS_MAX};

#define RUNNER(name, run, modes, head)                                                                                 \
    static enum cw_heard name(struct cw_parallel *f, const float *in, float *kept, float *out, size_t n,               \
                              struct cw_bounds bounds)                                                                 \
    {                                                                                                                  \
        return run(f, in, kept, out, n, bounds, modes, head);                                                          \
    }

RUNNER(two_3, run_2, 3, HEAD_SHORT)
RUNNER(two_4, run_2, 4, HEAD_SHORT)
RUNNER(two_6, run_2, 6, HEAD_SHORT)
RUNNER(two_8, run_2, 8, HEAD_SHORT)
RUNNER(two_12, run_2, 12, HEAD_SHORT)
RUNNER(two_any, run_2, CW_SECTIONS_MAX, HEAD_SHORT)
RUNNER(two_long, run_2, CW_SECTIONS_MAX, HEAD_LONG)
CW_FOUR_LANES RUNNER(four_3, run_4, 3, HEAD_SHORT)
CW_FOUR_LANES RUNNER(four_4, run_4, 4, HEAD_SHORT)
CW_FOUR_LANES RUNNER(four_6, run_4, 6, HEAD_SHORT)
CW_FOUR_LANES RUNNER(four_8, run_4, 8, HEAD_SHORT)
CW_FOUR_LANES RUNNER(four_12, run_4, 12, HEAD_SHORT)
CW_FOUR_LANES RUNNER(four_any, run_4, CW_SECTIONS_MAX, HEAD_SHORT)
CW_FOUR_LANES RUNNER(four_long, run_4, CW_SECTIONS_MAX, HEAD_LONG)

#undef RUNNER

    static cw_parallel_run *runner_of(const struct cw_modes *m)
{
    static cw_parallel_run *const two[KINDS] = {two_3, two_4, two_6, two_8, two_12, two_any, two_long};
    static cw_parallel_run *const four[KINDS] = {four_3, four_4, four_6, four_8, four_12, four_any, four_long};
    int kind = m->delay == CW_MODES_DELAY_LONG ? KINDS - 1 : 0;
    while (kind + 2 < KINDS && m->count > ROOM[kind]) {
        kind++;
    }
    return cw_has_four_lanes() ? four[kind] : two[kind];
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
    struct cw_modes modes = {.count = 0};
    cw_modes_of(design, gain, &modes);
    f->head = modes.delay + CW_MODES_OVERLAP;
    f->block = older(f);
    f->run = runner_of(&modes);
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

/* Of inputs that are there already. */
static void run_at(struct cw_parallel *f, float *out, size_t n)
{
    const struct cw_bounds any = {0.0f, 0.0f};
    (void)f->run(f, NULL, NULL, out, n, any);
}

/* Where calls do not meet blocks: the outputs of an unfinished block are worked out with zeros for what has not
 * come yet, and its states are not kept. */
static void run_ragged(struct cw_parallel *f, float *out, size_t n)
{
    float y[CW_INPUTS + 2 * CW_BLOCK];
    const size_t known = f->phase + n, whole = known / CW_BLOCK * CW_BLOCK;
    for (size_t i = 0; i < CW_BLOCK; i++) {
        f->input[f->block + known + i] = 0.0;
    }
    run_at(f, y, whole);
    double state[2 * CW_SECTIONS_MAX];
    memcpy(state, f->state, sizeof state);
    run_at(f, y + whole, CW_BLOCK);
    f->block -= CW_BLOCK;
    memcpy(f->state, state, sizeof state);
    memcpy(out, y + f->phase, n * sizeof *out);
    f->phase = known - whole;
}

static bool has_room(const struct cw_parallel *f, size_t n) { return f->block + f->phase + n <= CW_INPUTS - CW_BLOCK; }

/* Room for so many more: the inputs that are still wanted, to the front. */
static void make_room(struct cw_parallel *f, size_t n)
{
    if (!has_room(f, n)) {
        memmove(f->input, f->input + f->block - older(f), (older(f) + f->phase) * sizeof *f->input);
        f->block = older(f);
    }
}

static void process_chunk(struct cw_parallel *f, const float *in, float *out, size_t n)
{
    make_room(f, n);
    double *x = f->input + f->block + f->phase;
    for (size_t i = 0; i < n; i++) {
        x[i] = (double)in[i];
    }
    if (f->phase == 0 && n % CW_BLOCK == 0) {
        run_at(f, out, n);
    } else {
        run_ragged(f, out, n);
    }
}

void cw_parallel_process(struct cw_parallel *f, const float *in, float *out, size_t n)
{
    if (!f->run) {
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

/* By itself, so that the ordinary case saves no registers for it. */
__attribute__((noinline)) static enum cw_heard hear_with_room(struct cw_parallel *f, const float *in, float *kept,
                                                              float *out, size_t n, struct cw_bounds bounds)
{
    make_room(f, n);
    return f->run(f, in, kept, out, n, bounds);
}

enum cw_heard cw_parallel_hear(struct cw_parallel *f, const float *in, float *kept, float *out, size_t n,
                               struct cw_bounds bounds)
{
    if (!f->run || f->phase != 0 || n % CW_BLOCK != 0 || n > CHUNK) {
        return CW_HEARD_NOT;
    }
    return has_room(f, n) ? f->run(f, in, kept, out, n, bounds) : hear_with_room(f, in, kept, out, n, bounds);
}
