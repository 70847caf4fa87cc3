/* SPDX-License-Identifier: ISC */
/** \file setups.h
 * Random setups over the whole parameter ranges, the same on every machine.
 */
#ifndef TEST_SETUPS_H
#define TEST_SETUPS_H

#include <stdint.h>

#include "setup.h"
#include "split_kind.h"

/** A small deterministic generator (SplitMix64: Steele, Lea and Flood, OOPSLA 2014). */
struct rng {
    uint64_t state;
};

/** Uniform in [0, 1). */
double rng_unit(struct rng *rng);

/** Uniform in [lo, hi). */
double rng_between(struct rng *rng, double lo, double hi);

/** Logarithmically uniform in [lo, hi); both above 0. */
double rng_log(struct rng *rng, double lo, double hi);

/** A random whole number in 0 .. count - 1. */
int rng_pick(struct rng *rng, int count);

/** A value of the parameter from its whole range: logarithmic where the table says so, one of the
 * points where it is a list. It is exact as a float, so that a port carries it unchanged. */
double setups_value(struct rng *rng, const struct cw_param_info *info);

/** Kinds of wiring that setups_random() goes through: one coil, parallel, series unsplit, and
 * series with each kind of split. */
enum { SETUPS_KINDS = 3 + CW_SPLIT_KINDS };

/** Inductance of the reference coil at 120 Hz, henry: a coil known by its values has the EMF
 * sqrt(inductance / this). */
double setups_reference_henry(void);

/** Random setup number \p index of kind \p index modulo SETUPS_KINDS, with measured coil values.
 * The ends of the controls (volume and tone at 0 and 10, no bleed, bleed by a bare capacitor,
 * nothing or everything of coil two kept) come up more often than by chance; volume is never so
 * low that nothing is heard. */
void setups_random(struct rng *rng, int index, struct cw_setup *setup);

/** The coils of job 12, as in presets/job-12-full.ttl, on the default controls. */
struct cw_setup setups_job_12(void);

/** One line that tells a setup apart, for messages; static storage, overwritten by the next call. */
const char *setups_describe(const struct cw_setup *setup);

#endif
