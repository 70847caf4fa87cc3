/* SPDX-License-Identifier: ISC */
/** \file acts.h
 * Which parameters of a setup do anything, and why the others do not: the one rule that window,
 * program and pages ask.
 *
 * Threading class: pure functions, any thread, audio included.
 */
#ifndef CW_ACTS_H
#define CW_ACTS_H

#include <stdbool.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Why a parameter does nothing. */
enum cw_idle {
    CW_ACTS,                /**< it does something */
    CW_IDLE_WOUND,          /**< it is a measured value, and the coil's values come from its winding */
    CW_IDLE_MEASURED,       /**< it is of the winding, and the coil's values are measured ones */
    CW_IDLE_ONE_COIL,       /**< it is of the second coil, and there is one */
    CW_IDLE_NO_SHARE,       /**< it says how the core's share is lost, and there is none */
    CW_IDLE_COVER_KNOWN,    /**< it is a value of the cover, and the cover is one with values of its own, or none */
    CW_IDLE_NOT_SERIES,     /**< it is of the split, and the coils are not two in series */
    CW_IDLE_SPLIT_OFF,      /**< it is of the split, and the split is off */
    CW_IDLE_NOT_OF_KIND,    /**< the kind of split has no such part */
    CW_IDLE_NOTHING_KEPT,   /**< a part across the turns that are kept, and none is */
    CW_IDLE_VOLUME_CLOSED,  /**< volume is at 0: nothing is heard */
    CW_IDLE_VOLUME_FULL,    /**< it acts on the upper part of the volume's track, and volume is full up */
    CW_IDLE_NO_BLEED,       /**< there is no treble bleed capacitor */
    CW_IDLE_TONE_CLOSED,    /**< tone is at 0: nothing of its track is left */
    CW_IDLE_ENDS_OF_TRACKS, /**< volume and tone stand at ends of their tracks, where the taper is no matter */
    CW_IDLE_NO_CABLE,       /**< the cable has no length */
    CW_IDLES
};

/** Why parameter \p id changes neither the sound nor any figure (enum cw_meter_id) of a setup, the
 * others being as they are and string_places being on; CW_ACTS where it does change something. Of a setup that is
 * silent (volume at 0) only the controls and the cable are said to do nothing: the others are still read at its leads.
 * \param setup clean values (see cw_param_clean()) */
enum cw_idle cw_param_idle(const struct cw_setup *setup, enum cw_param_id id);

/** Whether it does anything. */
static inline bool cw_param_acts(const struct cw_setup *setup, enum cw_param_id id)
{
    return cw_param_idle(setup, id) == CW_ACTS;
}

/** Whether the pickup is split: two coils in series, and the split on. */
static inline bool cw_split_acts(const struct cw_setup *setup) { return cw_param_acts(setup, CW_P_SPLIT_BY); }

/** The reason in words, as they follow "does nothing here: " ("split is off"); "" for CW_ACTS. Static. */
const char *cw_idle_words(enum cw_idle why);

#ifdef __cplusplus
}
#endif
#endif
