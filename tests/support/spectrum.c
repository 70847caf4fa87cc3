/* SPDX-License-Identifier: ISC */
#include "spectrum.h"

#include <math.h>

#include "constants.h"

/* The phasor is turned by complex multiplication and set anew at each chunk, so that its
 * rounding error cannot grow. */
enum { CHUNK = 64 };

struct spectrum_value spectrum_at(const float *x, size_t n, double hz, double rate)
{
    const double cycles = hz / rate;
    const double turn_re = cos(2.0 * CW_PI * cycles), turn_im = -sin(2.0 * CW_PI * cycles);
    struct spectrum_value sum = {0.0, 0.0};
    for (size_t at = 0; at < n; at += CHUNK) {
        const double whole = cycles * (double)at;
        const double angle = -2.0 * CW_PI * (whole - floor(whole));
        const size_t end = n - at < CHUNK ? n : at + CHUNK;
        double re = cos(angle), im = sin(angle);
        for (size_t i = at; i < end; i++) {
            const double next = re * turn_re - im * turn_im;
            sum.re += x[i] * re;
            sum.im += x[i] * im;
            im = re * turn_im + im * turn_re;
            re = next;
        }
    }
    return sum;
}

double spectrum_db(const float *x, size_t n, double hz, double rate)
{
    const struct spectrum_value value = spectrum_at(x, n, hz, rate);
    return 10.0 * log10(value.re * value.re + value.im * value.im);
}

double spectrum_phase(const float *x, size_t n, double hz, double rate)
{
    const struct spectrum_value value = spectrum_at(x, n, hz, rate);
    return atan2(value.im, value.re);
}

double spectrum_amplitude(const float *x, size_t n, double hz, double rate)
{
    const struct spectrum_value value = spectrum_at(x, n, hz, rate);
    return 2.0 * hypot(value.re, value.im) / (double)n;
}

static void swap(double *a, double *b)
{
    const double kept = *a;
    *a = *b;
    *b = kept;
}

/* Radix two, decimation in time (J. Cooley and J. Tukey, Math. Comput. 19, 1965). Each twiddle is
 * computed, not stepped to: slow and accurate. */
void spectrum_fft(double *re, double *im, size_t n)
{
    for (size_t i = 1, j = 0; i < n; i++) {
        size_t bit = n >> 1;
        for (; j & bit; bit >>= 1) {
            j ^= bit;
        }
        j ^= bit;
        if (i < j) {
            swap(&re[i], &re[j]);
            swap(&im[i], &im[j]);
        }
    }
    for (size_t half = 1; half < n; half *= 2) {
        for (size_t k = 0; k < half; k++) {
            const double angle = -CW_PI * (double)k / (double)half;
            const double wr = cos(angle), wi = sin(angle);
            for (size_t i = k; i < n; i += 2 * half) {
                const double tr = wr * re[i + half] - wi * im[i + half];
                const double ti = wr * im[i + half] + wi * re[i + half];
                re[i + half] = re[i] - tr;
                im[i + half] = im[i] - ti;
                re[i] += tr;
                im[i] += ti;
            }
        }
    }
}
