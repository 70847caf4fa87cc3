/* SPDX-License-Identifier: ISC */
/** \file exact.h
 * What the core asks of the compiler: NaN, infinity and the order of operations mean what IEEE 754 and C say.
 */
#ifndef CW_EXACT_H
#define CW_EXACT_H

#if defined(__FAST_MATH__) || (defined(__FINITE_MATH_ONLY__) && __FINITE_MATH_ONLY__)
#error "Coilwright is not to be built with -Ofast, -ffast-math or -ffinite-math-only: its output would hold NaN"
#endif

#endif
