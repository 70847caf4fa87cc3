/* SPDX-License-Identifier: ISC */
/** \file wire.h
 * Enamelled copper wire by American wire gauge, whole and half sizes 36 to 46. SI units.
 *
 * Threading class: pure functions, any thread, audio included.
 */
#ifndef CW_WIRE_H
#define CW_WIRE_H

#include <stdbool.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Smallest and largest gauge number that this file knows. */
#define CW_GAUGE_MIN 36.0
#define CW_GAUGE_MAX 46.0

/** A diameter with its limits, metre. */
struct cw_diameter {
    double minimum, nominal, maximum;
};

/** Geometric diameter in metre: 0.127 mm * 92^((36 - gauge)/39) (ASTM B258). */
double cw_wire_formula(double gauge);

/** Whether the standard gives the nominal diameter of this size: the whole sizes. Half sizes are
 * worked out by the formula and rounded as the standard rounds: to 0.1 mil down to AWG 44, to
 * 0.01 mil below. */
bool cw_wire_is_standard(double gauge);

/** Bare diameter. The nominal value is the rounded inch size of ASTM B258; the limits are 0.1 mil
 * either way down to AWG 44 and 0.07 mil below, our reading of published NEMA MW 1000 figures.
 * \param gauge taken to the nearest half size of CW_GAUGE_MIN .. CW_GAUGE_MAX */
struct cw_diameter cw_wire_bare(double gauge);

/** Diameter over the enamel: bare nominal times 1.108 for single and 1.225 for heavy build, limits
 * 7 % either way. A fit of our own to NEMA MW 1000 figures of AWG 40 to 46; its nominal values lie
 * within 3 % of them (the figures themselves are rounded to 0.1 mil, 2 to 3 % here). */
struct cw_diameter cw_wire_overall(double gauge, enum cw_insulation insulation);

/** Resistance in ohm of a metre at 20 degrees C, annealed copper of 58 MS/m, 0.017241 ohm
 * mm^2/m (IEC 60028:1925), for a bare diameter in metre. */
double cw_wire_ohm_per_metre(double bare_diameter);

/** Resistance at a temperature in degrees C over that at 20: 1 + 0.00393 (T - 20)
 * (IEC 60028:1925). */
double cw_wire_resistance_ratio(double celsius);

/** Mass in kg of a metre of bare copper (8890 kg/m^3) of that diameter in metre. */
double cw_wire_mass_per_metre(double bare_diameter);

#ifdef __cplusplus
}
#endif
#endif
