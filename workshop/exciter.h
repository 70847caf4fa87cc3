/* SPDX-License-Identifier: ISC */
/** \file exciter.h
 * The transfer response from an exciter coil to the jack, with two loads, and what it says of the instrument.
 *
 * A small coil over the pickup, fed through a resistor far above its reactance, drives by its current: the EMF is
 * j omega M(f) times that current, M falling as core and cover shield. What stands at the jack divides it:
 * T = j omega M(f) g Y / (Y + 1/Z), Z the impedance at the jack, Y what loads it. Of two loads that differ by a known
 * capacitor C, T0/T1 = 1 + j omega C Z', Z' the impedance of jack and first load together: gains, current and M cancel.
 *
 * Pure functions: text in, values or an error out; memory is allocated for curves only.
 */
#ifndef CW_EXCITER_H
#define CW_EXCITER_H

#include <stdbool.h>
#include <stddef.h>

#include "instrument.h"
#include "one_port.h"
#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_EXCITER_POINTS = 512, CW_EXCITER_LINE = 120 };

/** One frequency: channel 2 over channel 1, and its standard error as a share of the size; without and with the
 * capacitor. */
struct cw_exciter_point {
    double hz;
    struct cw_complex bare, loaded;
    double bare_error, loaded_error;
};

/** Both takes. */
struct cw_exciter {
    size_t count;
    struct cw_exciter_point point[CW_EXCITER_POINTS]; /**< rising in frequency */
    double added;                                     /**< farad */
    struct cw_jack_load load;                         /**< at the jack in both takes */
};

/** What begins a file of these: what stands at the jack, and the heading. \return text */
const char *cw_exciter_head(const struct cw_exciter *exciter, char *text, size_t size);

/** A line of one point, without or with the capacitor: frequency in Hz, dB, degrees, error in per cent, added farad.
 * \param text room for CW_EXCITER_LINE \return text */
const char *cw_exciter_line(const struct cw_exciter *exciter, size_t at, bool loaded, char *text);

/** Read such a file: all points without the capacitor, then as many, at the same frequencies, with it.
 * \return false with \p error filled in */
bool cw_exciter_parse(const char *text, size_t length, struct cw_exciter *exciter, struct cw_one_port_error *error);

/** The impedance of jack and load together, Z', with its errors; frequencies at which the capacitor makes too little
 * difference to tell it are left out. \param curve to be freed by cw_one_port_free()
 * \return false where memory ran out */
bool cw_exciter_impedance(const struct cw_exciter *exciter, struct cw_one_port *curve);

/** How much of the EMF comes through core and cover at a point, dB against the mean within a quarter of an octave of
 * \p reference Hz: the response without the capacitor over j omega and over what the circuit makes of it.
 * \param instrument the circuit, as a fit found it; \param standing where its controls stood
 * \param error      one standard deviation from the noise of the takes, dB
 * \return NAN where no point is near the reference */
double cw_exciter_emf(const struct cw_exciter *exciter, const struct cw_instrument *instrument,
                      struct cw_standing standing, size_t at, double reference, double *error);

#ifdef __cplusplus
}
#endif
#endif
