/** \file transfer.h
 * Rational functions of s: polynomials, roots, response at a frequency, resonance.
 *
 * Polynomials are in the normalised variable p = s / (2 pi 1 kHz), lowest power first, so that
 * the coefficients of audio circuits stay near one another.
 *
 * Threading class: pure functions, any thread, audio included; bounded time, no allocation.
 */
#ifndef CW_TRANSFER_H
#define CW_TRANSFER_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Highest degree that any network of dsp/circuit.h reaches, with room for intermediate products. */
enum { CW_DEGREE_MAX = 24 };

/** Angular frequency that the normalised variable is measured in, rad/s. */
#define CW_OMEGA_UNIT 6283.185307179586476925

struct cw_complex {
    double re, im;
};

struct cw_poly {
    int degree;
    double c[CW_DEGREE_MAX + 1];
};

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

/** \name Polynomial arithmetic. Results may alias neither argument unless said.
 * @{ */
struct cw_poly cw_poly_constant(double c);
/** c0 + c1 s with s in rad/s (not normalised). */
struct cw_poly cw_poly_linear(double c0, double c1);
struct cw_poly cw_poly_add(struct cw_poly a, struct cw_poly b);
struct cw_poly cw_poly_sub(struct cw_poly a, struct cw_poly b);
struct cw_poly cw_poly_mul(struct cw_poly a, struct cw_poly b);
struct cw_poly cw_poly_scale(struct cw_poly a, double factor);
/** a multiplied by s (rad/s). */
struct cw_poly cw_poly_times_s(struct cw_poly a, double factor);
/** @} */

/** Roots of a polynomial with real coefficients, conjugates adjacent (positive imaginary part
 * first). Simultaneous iteration of Ehrlich (1967) and Aberth (1973) from starting points on the
 * Newton polygon (Bini, Numerical Algorithms 13, 1996).
 * \param roots room for poly->degree values
 * \return the number of roots; leading zero coefficients do not count. */
int cw_poly_roots(const struct cw_poly *poly, struct cw_complex *roots);

/** The same from starting points of the caller's in \p roots, one for each root: quicker where they
 * are near. No two may be equal, and they should not be
 * symmetric about the real axis: points on it cannot leave it together. */
int cw_poly_roots_near(const struct cw_poly *poly, struct cw_complex *roots);

/** Complex value of H at \p hz (Hz, 0 or more). */
struct cw_complex cw_transfer_at(const struct cw_transfer *h, double hz);

/** |H|^2 at \p hz. */
double cw_transfer_power(const struct cw_transfer *h, double hz);

/** Level in dB at \p hz; -inf where H is zero. */
double cw_transfer_db(const struct cw_transfer *h, double hz);

/** Factor H; common zeros and poles (within 1e-9) are taken out of both.
 * \return false if H is zero. */
bool cw_transfer_roots(const struct cw_transfer *h, struct cw_roots *roots);

/** The highest local maximum of |H| between 20 Hz and 200 kHz. */
struct cw_peak {
    double hz; /**< 0 where there is none */
    double db; /**< over the level at low frequency, below 0 where the peak is lower; 0 where there is none */
};
struct cw_peak cw_transfer_peak(const struct cw_transfer *h);

#ifdef __cplusplus
}
#endif
#endif
