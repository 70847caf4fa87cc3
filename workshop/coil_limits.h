/* SPDX-License-Identifier: ISC */
/** \file coil_limits.h
 * Between which limits the readings of coils lie that are made as designed: of the scatter of making, computed, until a
 * first coil was measured.
 *
 * Threading class: pure functions, any thread; half a megabyte of stack, no allocation; some 0.2 s.
 */
#ifndef CW_COIL_LIMITS_H
#define CW_COIL_LIMITS_H

#include "acceptance.h"
#include "scatter.h"
#include "setup.h"
#include "spread.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What is read at the bench, of the whole pickup: a split is off. */
enum cw_bench_reading {
    CW_READING_RESISTANCE, /**< ohm at 20 degrees C */
    CW_READING_INDUCTANCE, /**< henry at 120 Hz */
    CW_READING_RESONANCE,  /**< hertz in the bench's load (bench_load.h) */
    CW_BENCH_READINGS
};

/** Share of coils as designed that the limits hold. */
#define CW_LIMITS_HOLD 0.99

/** \param limits 0 and 0 where there is nothing to read */
void cw_coil_limits(const struct cw_setup *setup, const struct cw_scatter *scatter,
                    struct cw_limits limits[CW_BENCH_READINGS]);

#ifdef __cplusplus
}
#endif
#endif
