/* SPDX-License-Identifier: ISC */
/** \file leads.h
 * What a setup's pickup measures at its leads and how sure that is: the values that a winding gives,
 * with their uncertainty.
 *
 * Threading class: pure functions, any thread.
 */
#ifndef CW_LEADS_H
#define CW_LEADS_H

#include "coil.h"
#include "known.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Values at the leads; SI units, EMF and peak in dB. */
enum cw_lead_id {
    CW_LEAD_RESISTANCE,  /**< ohm, DC at 20 degrees C, split as set */
    CW_LEAD_INDUCTANCE,  /**< henry at 120 Hz, split as set */
    CW_LEAD_CAPACITANCE, /**< farad, unsplit */
    CW_LEAD_LOSS,        /**< ohm: resistance across the inductance that costs as much at 3 kHz; unsplit */
    CW_LEAD_EMF,         /**< dB against the reference coil, unsplit */
    CW_LEAD_UNLOADED,    /**< hertz, resonance with nothing connected, split as set; 0 for none */
    CW_LEAD_RESONANCE,   /**< hertz, loaded as set; 0 for none */
    CW_LEAD_PEAK_HZ,     /**< hertz, where a sweep shows the peak, loaded as set; 0 where flat */
    CW_LEAD_PEAK,        /**< dB over the level at low frequency, of that peak; 0 where flat */
    CW_LEADS
};

/** Values with their uncertainty in the same unit, about two standard deviations; 0 where the coil's
 * values are measured ones and nothing is known of the readings. */
struct cw_lead_values {
    double value[CW_LEADS], spread[CW_LEADS];
};

/** Work them out for a clean setup.
 * \param known what the readings that set the coil leave open; NULL for a coil that no reading is known of: the
 *              uncertainty is then that of the model. That of a variant has both. */
void cw_lead_values_of(const struct cw_setup *setup, const struct cw_known *known, struct cw_lead_values *values);

/** Wire of all the coils of a winding. */
struct cw_wire_need {
    int coils;     /**< 1 or 2 */
    double length; /**< metre, without leads and what is cut off */
    double copper; /**< kilogram, nominal bare diameter */
};

/** What a winding takes, whatever coil_from says. */
struct cw_wire_need cw_wire_need_of(const struct cw_setup *setup);

#ifdef __cplusplus
}
#endif
#endif
