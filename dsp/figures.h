/* SPDX-License-Identifier: ISC */
/** \file figures.h
 * The figures of a setup that people ask for: resonance, resistance, level, hum.
 *
 * Threading class: pure, any thread, audio included; bounded time.
 */
#ifndef CW_FIGURES_H
#define CW_FIGURES_H

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Last harmonic of the mains that counts as buzz; the first is the second. */
enum { CW_BUZZ_LAST = 20 };

/** Figures of one setup, indexed by enum cw_meter_id, in the table's units. */
struct cw_figures {
    double value[CW_METERS];
};

/** Work out the figures of a setup with clean values.
 * \param mains_hz 50 or 60 */
void cw_figures_of(const struct cw_setup *setup, double mains_hz, struct cw_figures *figures);

#ifdef __cplusplus
}
#endif
#endif
