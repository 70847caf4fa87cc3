/* SPDX-License-Identifier: ISC */
/** \file sweep.h
 * The synchronised exponential sweep that measurements are made with, and its spectrum in closed form.
 *
 *     x(t) = sin(2 pi f1 L exp(t / L)),  L = T / ln(f2 / f1)
 *
 * Source: A. Novak, P. Lotton, L. Simon, "Synchronized Swept-Sine: Theory, Application, and
 * Implementation", JAES 63(10), 2015 (an excerpt was read). Spectrum by stationary phase.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_SWEEP_H
#define CW_SWEEP_H

#include <stddef.h>

#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A sweep. */
struct cw_sweep {
    double low_hz, high_hz;   /**< where it begins and ends */
    double seconds;           /**< how long it takes */
    double fade_in, fade_out; /**< raised cosines, seconds */
};

/** 20 Hz to 20 kHz in 5 s, faded in over 50 ms and out over 5 ms. */
void cw_sweep_init(struct cw_sweep *sweep);

/** L: seconds in which the frequency rises by the factor e. */
double cw_sweep_rate(const struct cw_sweep *sweep);

/** The sweep at a time in seconds, -1 to 1; 0 outside it. */
double cw_sweep_at(const struct cw_sweep *sweep, double seconds);

/** X(f) = 1/2 sqrt(L / f) exp(j 2 pi f L (1 - ln(f / f1)) - j pi / 4), seconds: without the fades. */
struct cw_complex cw_sweep_spectrum(const struct cw_sweep *sweep, double hz);

/** \name The take: what a measuring file plays. Silence, a marker, a pause, the sweep, a pause in which the
 * answer rings out, a marker, silence. The markers tell dropped samples.
 * @{ */
/** Seconds of the whole file, and from its start to the first marker, the sweep and the last marker. */
double cw_sweep_take_seconds(const struct cw_sweep *sweep);
double cw_sweep_take_first_marker(void);
double cw_sweep_take_start(void);
double cw_sweep_take_last_marker(const struct cw_sweep *sweep);
/** The file at a time in seconds, -1 to 1. */
double cw_sweep_take_at(const struct cw_sweep *sweep, double seconds);
/** @} */

#ifdef __cplusplus
}
#endif
#endif
