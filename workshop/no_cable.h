/* SPDX-License-Identifier: ISC */
/** \file no_cable.h
 * What a pickup would be with no length of cable: what people are told beside every cable.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_NO_CABLE_H
#define CW_NO_CABLE_H

#include "coil.h"
#include "resonance.h"
#include "setup.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

struct cw_no_cable {
    double hz;           /**< resonance, Hz; 0 for none */
    struct cw_peak peak; /**< 0 Hz where flat */
};

/** The same setup with a cable of no length; the input's capacitance stays.
 * \param pickup of the setup, from cw_coil_solve() */
struct cw_no_cable cw_no_cable_of(const struct cw_setup *setup, const struct cw_pickup *pickup);

#ifdef __cplusplus
}
#endif
#endif
