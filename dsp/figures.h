/* SPDX-License-Identifier: ISC */
/** \file figures.h
 * The figures of a setup that people ask for: resonance, resistance, level, hum.
 *
 * Threading class: pure, any thread, audio included; bounded time.
 */
#ifndef CW_FIGURES_H
#define CW_FIGURES_H

#include <stdbool.h>

#include "coil.h"
#include "resonance.h"
#include "setup.h"
#include "transfer.h"

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

/** The same in steps of bounded length, for who has little time at once. */
struct cw_figures_work {
    struct cw_figures figures; /**< to be read when the last step is done */
    /* ---- */
    int next; /**< step */
    struct cw_setup setup;
    double mains_hz;
    struct cw_pickup pickup;
    struct cw_transfer h;
    struct cw_resonance resonance;
};

/** Begin with a setup; what was at work is dropped. */
void cw_figures_start(struct cw_figures_work *work, const struct cw_setup *setup, double mains_hz);

/** Do the next step. \return true when it was the last one */
bool cw_figures_step(struct cw_figures_work *work);

#ifdef __cplusplus
}
#endif
#endif
