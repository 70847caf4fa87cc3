/* SPDX-License-Identifier: ISC */
/** \file fourier.h
 * Discrete Fourier transform in double precision, of powers of two (J. W. Cooley and J. W. Tukey, Math. Comp. 19,
 * 1965). The library that the program uses elsewhere has single precision, whose rounding an impedance near the open
 * cable's magnifies to more than a millionth.
 *
 * Threading class: not the audio thread (it allocates); a transform that is prepared serves one thread at a time.
 */
#ifndef CW_FOURIER_H
#define CW_FOURIER_H

#include <stdbool.h>
#include <stddef.h>

#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What a size needs. Zeroed is empty. */
struct cw_fourier {
    size_t size;
    struct cw_complex *turn; /**< exp(-2 pi i k / size), k up to half the size */
};

/** The power of two that is \p frames or the next above; 2 at least. */
size_t cw_fourier_size(size_t frames);

/** Prepare. \param size a power of two, 2 or more \return false where memory ran out */
bool cw_fourier_init(struct cw_fourier *fourier, size_t size);

void cw_fourier_free(struct cw_fourier *fourier);

/** X_k = sum over n of x_n exp(-2 pi i k n / size), in place. */
void cw_fourier_forward(const struct cw_fourier *fourier, struct cw_complex *x);

/** The same with exp(+2 pi i k n / size), not divided by the size. */
void cw_fourier_back(const struct cw_fourier *fourier, struct cw_complex *x);

#ifdef __cplusplus
}
#endif
#endif
