/** \file cascade.h
 * Runs the sections of a filter on audio.
 *
 * Threading class: audio; no allocation, no lock, bounded time.
 */
#ifndef CW_CASCADE_H
#define CW_CASCADE_H

#include <stddef.h>

#include "digital.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A filter at work: coefficients by section, and what it remembers. Sections are held as lanes
 * side by side, in fours; lane k is always two samples behind lane k - 1. */
struct cw_cascade {
    int lanes;   /**< sections, rounded up to fours */
    double gain; /**< of a filter that has no sections; else the first section contains it */
    double b0[CW_SECTIONS_MAX], b1[CW_SECTIONS_MAX], b2[CW_SECTIONS_MAX];
    double a1[CW_SECTIONS_MAX], a2[CW_SECTIONS_MAX];
    double x1[CW_SECTIONS_MAX], x2[CW_SECTIONS_MAX]; /**< last two inputs of each lane */
    double y1[CW_SECTIONS_MAX], y2[CW_SECTIONS_MAX]; /**< last two outputs of each lane */
};

/** Take over the sections of a design and a gain after them; memory is cleared. */
void cw_cascade_init(struct cw_cascade *cascade, const struct cw_sections *design, double gain);

/** Filter \p n samples into \p out, another buffer. Finite inputs only. The output is the same to the bit however
 * the samples are cut into calls. */
void cw_cascade_process(struct cw_cascade *cascade, const float *in, float *out, size_t n);

#ifdef __cplusplus
}
#endif
#endif
