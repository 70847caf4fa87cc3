/* SPDX-License-Identifier: ISC */
/** \file spice.h
 * ngspice as a judge: a netlist of a setup, written from its values alone (nothing of dsp/ but the
 * parameter table is used; where there is a core, its parts are those of dsp/coil.h), and its AC analysis.
 */
#ifndef TEST_SPICE_H
#define TEST_SPICE_H

#include <stdbool.h>

#include "setup.h"

enum { SPICE_POINTS_MAX = 400 };

/** What one analysis gives, at each frequency: real and imaginary part. */
struct spice_point {
    double hz;
    double string[2];   /**< output, both EMFs as they are */
    double hum[2];      /**< output, the EMF of the coil reduced (else of coil two) reversed */
    double one_coil[2]; /**< output, the coil that stays alone */
    double unsplit[2];  /**< output, the split off */
    double ohm[2];      /**< impedance at the leads, nothing connected */
};

/** True if ngspice can be run. */
bool spice_available(void);

/** Analyse a setup from 20 Hz to 20 kHz, logarithmically spaced.
 * \param points room for SPICE_POINTS_MAX
 * \return number of points; 0 if ngspice failed (it says why on the standard error) */
int spice_analyse(const struct cw_setup *setup, struct spice_point *points);

/** Most poles that spice_poles() gives. */
enum { SPICE_POLES_MAX = 16 };

/** Natural frequencies of a setup with one coil, by ngspice's pole-zero analysis: real and imaginary
 * part, rad/s. (It does not converge with two coupled coils and a tone control.)
 * \return number of poles; 0 if ngspice failed */
int spice_poles(const struct cw_setup *setup, double pole[SPICE_POLES_MAX][2]);

#endif
