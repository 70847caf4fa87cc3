/* SPDX-License-Identifier: ISC */
/** \file least_squares.h
 * Nonlinear least squares: the values for which a sum of squares is least, and how surely they are known.
 *
 * The search is Levenberg and Marquardt's as MINPACK has it (J. J. Moré, Lecture Notes in Mathematics 630, 1978),
 * by the library cminpack; derivatives are central differences.
 *
 * Threading class: pure functions that allocate; not the audio thread.
 */
#ifndef CW_LEAST_SQUARES_H
#define CW_LEAST_SQUARES_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Fill in \p rows residuals for the values \p at; \p of is what the caller handed over. */
typedef void cw_residuals(const double *at, double *residual, int rows, const void *of);

/** A problem: \p rows residuals of \p count values, count at most rows. */
struct cw_squares {
    cw_residuals *residuals;
    const void *of;
    int count, rows;
    double enough; /**< share by which the sum still falls where the search ends, or after 100 steps; 0: to the last
                      digit */
};

/** Search from \p at, which becomes the answer.
 * \param sum the sum of squares there
 * \return false where memory ran out or nothing finite was found; \p at is then of no use */
bool cw_squares_least(const struct cw_squares *squares, double *at, double *sum);

/** Covariance of the values for residuals of standard deviation 1: the inverse of J'J by Cholesky's way.
 * \param covariance count times count
 * \param log_volume logarithm of its determinant; may be NULL
 * \return false where memory ran out or some direction is not determined at all */
bool cw_squares_covariance(const struct cw_squares *squares, const double *at, double *covariance, double *log_volume);

#ifdef __cplusplus
}
#endif
#endif
