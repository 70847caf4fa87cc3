/* SPDX-License-Identifier: ISC */
/** \file rehearsal.h
 * Takes as an interface would record them from an instrument that is known, so that the way from jig to circuit can be
 * walked without one. They are made with the program's own circuit and prove nothing about it: its judges are in
 * tests/.
 *
 * The jig has 100 kohm in series, 1 Mohm and 350 pF at the node, a gain of 1.03; 2 V are full scale. The instrument has
 * 4.48 H at 120 Hz with a steel core, 8 kohm, 120 pF, two pots of 500 kohm and 22 nF. Noise is at -90 dBFS; what the
 * instrument is plugged into hums by 2 mV.
 *
 * Threading class: pure functions that allocate; not the audio thread.
 */
#ifndef CW_REHEARSAL_H
#define CW_REHEARSAL_H

#include <stdbool.h>
#include <stddef.h>

#include "sweep.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The takes. */
enum cw_rehearsal {
    CW_REHEARSAL_OPEN,
    CW_REHEARSAL_KNOWN,
    CW_REHEARSAL_CHECK,
    CW_REHEARSAL_SILENT,
    CW_REHEARSAL_FULL,
    CW_REHEARSAL_DARK,    /**< tone at 0 */
    CW_REHEARSAL_HALF,    /**< volume at half */
    CW_REHEARSAL_CHOKE,   /**< 100 mH, 60 ohm and 80 pF, 60 kohm of loss, in the instrument's place */
    CW_REHEARSAL_EXCITER, /**< by an exciter coil, volume and tone at 10 */
    CW_REHEARSAL_LOADED,  /**< and with 470 pF at the plug */
    CW_REHEARSALS
};

/** What an ohmmeter reads of the two resistors. */
enum { CW_REHEARSAL_KNOWN_OHM = 99800, CW_REHEARSAL_CHECK_OHM = 22100 };

/** Their files, as in "open.wav". Static. */
extern const char *const cw_rehearsal_file[CW_REHEARSALS];

/** Make a take: the same each time.
 * \param level of the sweep's peak, 1 is full scale
 * \param rate  Hz
 * \param one, two room for \p frames samples of each channel
 * \return false where memory ran out */
bool cw_rehearse(enum cw_rehearsal take, const struct cw_sweep *sweep, double level, double rate, float *one,
                 float *two, size_t frames);

#ifdef __cplusplus
}
#endif
#endif
