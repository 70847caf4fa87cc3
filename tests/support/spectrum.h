/* SPDX-License-Identifier: ISC */
/** \file spectrum.h
 * One bin at a time: the discrete-time Fourier transform at any frequency, in double precision.
 * Written for accuracy, not speed. Pure functions, any thread.
 */
#ifndef CW_TEST_SPECTRUM_H
#define CW_TEST_SPECTRUM_H

#include <stddef.h>

struct spectrum_value {
    double re, im;
};

/** Sum of x[i] exp(-j 2 pi hz i / rate): of an impulse response, the response at \p hz. */
struct spectrum_value spectrum_at(const float *x, size_t n, double hz, double rate);

/** Its magnitude in dB (amplitude 1 = 0 dB). */
double spectrum_db(const float *x, size_t n, double hz, double rate);

/** Its phase in radians, -pi to pi. */
double spectrum_phase(const float *x, size_t n, double hz, double rate);

/** Amplitude (peak) of a sine at \p hz in \p x; exact where \p n holds whole periods. */
double spectrum_amplitude(const float *x, size_t n, double hz, double rate);

/** In place, the discrete Fourier transform of \p n complex values; \p n is a power of two. */
void spectrum_fft(double *re, double *im, size_t n);

#endif
