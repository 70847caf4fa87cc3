/* SPDX-License-Identifier: ISC */
/** \file parallel.h
 * Runs a filter on audio, as a sum of modes side by side.
 *
 * Threading class: audio; no allocation, no lock, bounded time.
 */
#ifndef CW_PARALLEL_H
#define CW_PARALLEL_H

#include <stdbool.h>
#include <stddef.h>

#include "biquad.h"
#include "exact.h"
#include "modes.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_BLOCK = 4, /**< samples that are worked out together; CW_MODES_OVERLAP is one less */
    CW_HEAD_MAX = CW_MODES_DELAY_LONG + CW_MODES_OVERLAP,
    CW_INPUTS = 320 /**< kept at most */
};

/** Which loop runs it: by how many modes there is room for, and by the delay. */
enum cw_parallel_kind {
    CW_PARALLEL_GAIN, /**< no sections */
    CW_PARALLEL_3,
    CW_PARALLEL_4,
    CW_PARALLEL_6,
    CW_PARALLEL_8,
    CW_PARALLEL_12,
    CW_PARALLEL_ANY,
    CW_PARALLEL_LONG
};

/** A filter at work. Everything is arranged for blocks of CW_BLOCK samples, which are counted from the first
 * sample on however the calls cut them.
 *
 * A mode's recursion is w(n) = x(n - delay) - a1 w(n - 1) - a2 w(n - 2). For the first sample of a block its state is
 * t = w(n) + a1 w(n - 1), which the next w take up as if it were their input, and u = w(n - 1). Two modes share
 * four places: t of both, then u of both; the last ones are idle. */
struct __attribute__((aligned(64))) cw_parallel { /* arrays up to `input` at multiples of 32, for speed */
    double state[2 * CW_SECTIONS_MAX];
    double by_own[2 * CW_SECTIONS_MAX], by_other[2 * CW_SECTIONS_MAX]; /**< the next block's by this one's, */
    double by_x1[2 * CW_SECTIONS_MAX], by_x0[2 * CW_SECTIONS_MAX];     /**< and by inputs that it has not heard */
    double out_by_state[2 * CW_SECTIONS_MAX][CW_BLOCK];
    double out_by_in[CW_HEAD_MAX][CW_BLOCK]; /**< by the inputs of the block and before, the newest first */
    double input[CW_INPUTS];                 /**< in a row, for as long as there is room */
    double gain;                             /**< of a filter that has no sections */
    enum cw_parallel_kind kind;
    int head;     /**< rows of out_by_in */
    size_t block; /**< where in `input` the block at work begins, a multiple of CW_BLOCK; those of head - CW_BLOCK
                     before it are wanted */
    size_t phase; /**< samples of an unfinished block that came already */
};

/** Take over the sections of a design and a gain after them; memory is cleared. */
void cw_parallel_init(struct cw_parallel *filter, const struct cw_sections *design, double gain);

/** Filter \p n samples into \p out, which may be \p in. Finite inputs only. The output is the same to the bit however
 * the samples are cut into calls. */
void cw_parallel_process(struct cw_parallel *filter, const float *in, float *out, size_t n);

/** Magnitudes that samples are held against as they pass. */
struct cw_bounds {
    float beyond; /**< an input as loud or louder, or NaN, counts as 0; finite */
    float in;     /**< an input up to here is nothing to be told of; below \c beyond */
    float out;    /**< nor is an output up to here */
};

/** The same with any inputs. In the ordinary case what is looked for costs hardly anything.
 * \param kept gets the inputs as they are heard; apart from \p in and \p out
 * \return true where inputs and outputs are within their bounds; false where one is not, or it was not looked for */
bool cw_parallel_hear(struct cw_parallel *filter, const float *in, float *kept, float *out, size_t n,
                      const struct cw_bounds *bounds);

#ifdef __cplusplus
}
#endif
#endif
