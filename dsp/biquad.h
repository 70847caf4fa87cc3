/* SPDX-License-Identifier: ISC */
/** \file biquad.h
 * Second-order sections: run and response.
 *
 * Threading class: audio; no allocation, no state beyond the struct given.
 */
#ifndef CW_BIQUAD_H
#define CW_BIQUAD_H

#include <stdbool.h>
#include <stddef.h>

#include "exact.h"

#ifdef __cplusplus
extern "C" {
#endif

/** (b0 + b1 z^-1 + b2 z^-2) / (1 + a1 z^-1 + a2 z^-2) */
struct cw_biquad {
    double b0, b1, b2, a1, a2;
};

/** Most sections that a ratio of two setups needs; a multiple of four, so that vectors come out even. What a design
 * may ask for is reckoned up in dsp/roots.h. */
enum { CW_SECTIONS_MAX = 20 };

/** A filter: a cascade of sections. With count 0 it is the gain alone. */
struct cw_sections {
    int count;
    double gain; /**< applied once, before the first section */
    struct cw_biquad section[CW_SECTIONS_MAX];
    double top;     /**< the highest gain at any frequency up to rate / 2, as an amplitude ratio */
    bool silent;    /**< the response is zero: gain is 0 */
    bool mirrored;  /**< zeros of the recorded-through response in the right half plane were mirrored */
    bool limited;   /**< the boost limit is at work */
    int correction; /**< zeros of the magnitude correction that was found: 6, or less where that failed */
};

/** Memory of one section, transposed direct form II. */
struct cw_biquad_state {
    double s1, s2;
};

/** |H|^2 of the section at \p hz for sample rate \p rate. */
double cw_biquad_power(const struct cw_biquad *section, double hz, double rate);

/** Squared magnitude of c0 + c1 z^-1 + c2 z^-2 at u = sin^2(w/2), given the sums c0 + c1 + c2 and
 * c0 - c1 + c2. A polynomial in u keeps its digits at low frequency (M. Vicanek, "Matched Second
 * Order Digital Filters", 2016, uses the same form). */
static inline double cw_quadratic_power(double sum, double alternate, double c0, double c2, double u)
{
    return sum * sum * (1.0 - u) + alternate * alternate * u - 16.0 * c0 * c2 * u * (1.0 - u);
}

/** Filter \p n samples; \p in and \p out may be the same. */
void cw_biquad_process(const struct cw_biquad *section, struct cw_biquad_state *state, const float *in, float *out,
                       size_t n);

#ifdef __cplusplus
}
#endif
#endif
