/* SPDX-License-Identifier: ISC */
/** \file transfer.h
 * Rational functions of s: response at a frequency, zeros and poles, peak.
 *
 * Threading class: pure functions, any thread, audio included; bounded time, no allocation.
 */
#ifndef CW_TRANSFER_H
#define CW_TRANSFER_H

#include <stdbool.h>

#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

/** num(p) / den(p). A transfer function that is zero everywhere has num = 0. */
struct cw_transfer {
    struct cw_poly num, den;
};

/** Zeros, poles (normalised, conjugates next to one another, positive imaginary part first) and
 * the ratio of the leading coefficients. */
struct cw_roots {
    int zeros, poles;
    struct cw_complex zero[CW_DEGREE_MAX], pole[CW_DEGREE_MAX];
    double gain;
};

/** Complex value of H at \p hz (Hz, 0 or more). */
struct cw_complex cw_transfer_at(const struct cw_transfer *h, double hz);

/** |H|^2 at \p hz. */
double cw_transfer_power(const struct cw_transfer *h, double hz);

/** |of_a A + of_b B|^2 of two responses of one network, which have their denominator in common. */
double cw_transfer_mixed_power(const struct cw_transfer *a, double of_a, const struct cw_transfer *b, double of_b,
                               double hz);

/** Level in dB at \p hz; -inf where H is zero. */
double cw_transfer_db(const struct cw_transfer *h, double hz);

/** Factor H; common zeros and poles (within 1e-9) are taken out of both.
 * \return false if H is zero. */
bool cw_transfer_roots(const struct cw_transfer *h, struct cw_roots *roots);

/** The highest local maximum of |H| between 20 Hz and 200 kHz, however little it stands out: what a fit
 * follows. What people are told is in dsp/resonance.h. */
struct cw_peak {
    double hz; /**< 0 where there is none */
    double db; /**< over the level at low frequency, below 0 where the peak is lower; 0 where there is none */
};
struct cw_peak cw_transfer_peak(const struct cw_transfer *h);

#ifdef __cplusplus
}
#endif
#endif
