/* SPDX-License-Identifier: ISC */
/** \file jig.h
 * Impedance by an audio interface: output, series resistor, node, what is measured. Channel 1 hears the
 * output, channel 2 the node; m is channel 2 over channel 1.
 *
 * Whatever the resistor, the gains and the input's own impedance are, m = (a Z + b) / (c Z + 1). Three
 * takes with known ends (open, a known load, a short) give Z back without knowing any of them (an
 * impedance handbook's open/short/load correction, its appendix; an excerpt was read).
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_JIG_H
#define CW_JIG_H

#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The takes that calibrate a jig, at one frequency. */
struct cw_jig {
    struct cw_complex open, known; /**< m with nothing, and with the known load, at the plug */
    struct cw_complex shorted;     /**< m with the plug shorted; 0 is a good guess where it was not taken */
    struct cw_complex load;        /**< impedance of the known load, ohm */
};

/** Z in ohm of what gave \p m; infinite parts where \p m equals the open take. */
struct cw_complex cw_jig_impedance(const struct cw_jig *jig, struct cw_complex m);

/** Relative standard error of Z for one of m of \p sigma (an amplitude, the same unit as m):
 * |dm| |1/m + 1/(m_o - m)| and a floor of 3e-4 added as squares. Holds with the short taken as 0. */
double cw_jig_error(const struct cw_jig *jig, struct cw_complex m, double sigma);

/** Capacitance in farad of what stays at the node when nothing is connected: cable and input. A believable
 * figure (30 to 200 pF for each metre of cable) speaks for the value typed in for the known load; a
 * negative or absurd one for a wrong value or swapped takes.
 * \param series_ohm the series resistor
 * \param hz         of these takes; best near 2 kHz */
double cw_jig_open_capacitance(const struct cw_jig *jig, double series_ohm, double hz);

#ifdef __cplusplus
}
#endif
#endif
