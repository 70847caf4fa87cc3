/* SPDX-License-Identifier: ISC */
/** \file c_complex.h
 * The model's complex numbers as those of C, whose functions (cabs, carg) the bench work needs, and back.
 *
 * For C only. Threading class: pure functions, any thread.
 */
#ifndef CW_C_COMPLEX_H
#define CW_C_COMPLEX_H

#ifndef __cplusplus

#include <complex.h>

#include "polynomial.h"

static inline double complex cw_as_c(struct cw_complex a) { return a.re + I * a.im; }

static inline struct cw_complex cw_of_c(double complex a) { return (struct cw_complex){creal(a), cimag(a)}; }

#endif

#endif
