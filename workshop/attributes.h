/* SPDX-License-Identifier: ISC */
/** \file attributes.h
 * Contracts that a compiler checks, where it can.
 */
#ifndef CW_ATTRIBUTES_H
#define CW_ATTRIBUTES_H

/** The function takes a printf format as argument number \p at and its values from \p first on. */
#if defined(__GNUC__)
#define CW_PRINTF(at, first) __attribute__((format(printf, at, first)))
#else
#define CW_PRINTF(at, first)
#endif

#endif
