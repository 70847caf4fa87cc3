/** \file coil.h
 * From a setup to the electrical values of its coils, in SI units.
 *
 * Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_COIL_H
#define CW_COIL_H

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One coil: in series its EMF, its resistance and its inductor; the loss resistor across the
 * inductor; the capacitance across the whole. */
struct cw_coil {
    double emf;         /**< share of the EMF; the unsplit pickup's EMFs add up to its sensitivity */
    double resistance;  /**< ohm, DC at 20 degrees C */
    double inductance;  /**< henry */
    double capacitance; /**< farad */
    double loss;        /**< ohm */
};

/** A pickup before any split: one coil, or two that are coupled. */
struct cw_pickup {
    enum cw_coils coils;
    struct cw_coil coil[2]; /**< coil one (hot side), coil two; coil two is all zero where there is one */
    double mutual;          /**< henry, series-aiding */
    double fill;            /**< share of the former's window that the turns ask for; 0 for measured values */
    double turns;           /**< turns of coil one after the clamp to the former; 0 for measured values */
};

/** Work out the coils of a setup whose values are clean (see cw_param_clean()). */
void cw_coil_solve(const struct cw_setup *setup, struct cw_pickup *pickup);

#ifdef __cplusplus
}
#endif
#endif
