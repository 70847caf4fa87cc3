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

struct cw_parallel;

/** Magnitudes that samples may have without a word, finite: inputs, and outputs. */
struct cw_bounds {
    float in, out;
};

/** What became of samples: all within their bounds; an output is louder; nothing, there was another way to go. */
enum cw_heard { CW_HEARD, CW_HEARD_LOUD, CW_HEARD_NOT };

/** The loop of a filter: \p n samples in whole blocks, as cw_parallel_hear() has them; of \p in NULL those that lie in
 * the filter already. */
typedef enum cw_heard cw_parallel_run(struct cw_parallel *filter, const float *in, float *kept, float *out, size_t n,
                                      struct cw_bounds bounds);

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
    double out_by_state[2 * CW_SECTIONS_MAX][CW_BLOCK]; /**< two rows of a mode: the first two outputs by t, by u; the
                                                           last two */
    double out_by_in[CW_HEAD_MAX][CW_BLOCK];            /**< by the inputs of the block and before, the newest first */
    double input[CW_INPUTS];                            /**< in a row, for as long as there is room */
    double gain;                                        /**< of a filter that has no sections */
    cw_parallel_run
        *run;     /**< by the number of its modes, by its delay and by the processor; NULL where it has no sections */
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

/** The same and, in one pass with it: \p in is kept, and both are held against their bounds. For whole blocks that meet
 * those before, as long as there are not too many. \p kept lies apart from \p in and \p out.
 * \return CW_HEARD_NOT where that cannot be, or where an input is not a number or louder than its bound: then nothing
 * was done but that \p kept may be overwritten */
enum cw_heard cw_parallel_hear(struct cw_parallel *filter, const float *in, float *kept, float *out, size_t n,
                               struct cw_bounds bounds);

#ifdef __cplusplus
}
#endif
#endif
