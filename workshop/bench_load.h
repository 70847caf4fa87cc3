/* SPDX-License-Identifier: ISC */
/** \file bench_load.h
 * The load in which a pickup's resonance is read at the bench: one that everybody can solder, whatever guitar it is
 * for.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_BENCH_LOAD_H
#define CW_BENCH_LOAD_H

#include "coil.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** 470 pF and 1 MΩ across the leads: our own choice, a cable and an amplifier. */
#define CW_BENCH_LOAD_FARAD 470e-12
#define CW_BENCH_LOAD_OHM 1e6

/** The setup of a pickup as it is read at the bench: with the split off. */
struct cw_setup cw_bench_setup(const struct cw_setup *setup);

/** Resonance of a pickup in it, hertz; 0 where there is none. */
double cw_bench_resonance(const struct cw_setup *setup, const struct cw_pickup *pickup);

#ifdef __cplusplus
}
#endif
#endif
