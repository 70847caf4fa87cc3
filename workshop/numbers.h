/* SPDX-License-Identifier: ISC */
/** \file numbers.h
 * Numbers as people read them: the one place that chooses units, decimals and signs for window,
 * program and page.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_NUMBERS_H
#define CW_NUMBERS_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A frequency, Hz: "2.87 kHz", "412 Hz". \return text */
const char *cw_print_hz(double hz, char *text, size_t size);

/** A resistance: "4.7 kΩ", "470 Ω", "1 MΩ". \return text */
const char *cw_print_ohms(double kilohm, char *text, size_t size);

/** A capacitance: "220 nF", "1 µF", "470 pF". \return text */
const char *cw_print_farads(double nanofarad, char *text, size_t size);

/** An inductance: "4.5 H", "850 mH". \return text */
const char *cw_print_henry(double henry, char *text, size_t size);

/** A change or level with its sign, '-' for below 0: "+1.5 dB", "-0.25 dB"; what shows as zero has none
 * ("0.0 dB"), what is nothing at all is "silent". From 100 dB on without decimals. \return text */
const char *cw_print_db(double db, int decimals, char *text, size_t size);

/** A share of 100: "75 %". \return text */
const char *cw_print_percent(double of_100, int decimals, char *text, size_t size);

/** How far a value may be out, as a share of 100: whole, below one with a decimal: "8 %", "0.5 %". \return text */
const char *cw_print_percent_out(double of_100, char *text, size_t size);

/** A change of a share of 100 with its sign, as cw_print_db(): "-12.3 %". \return text */
const char *cw_print_percent_change(double of_100, int decimals, char *text, size_t size);

/** A number with no sign where it shows as zero: "0.00", never "-0.00". \return text */
const char *cw_print_plain(double number, int decimals, char *text, size_t size);

/** A number with its sign, as cw_print_db() has it, where the unit stands elsewhere: "+1.50", "0.00". \return text */
const char *cw_print_signed(double number, int decimals, char *text, size_t size);

/** A resonance, Hz: "3.04 kHz"; 0 is "none". \return text */
const char *cw_print_resonance(double hz, char *text, size_t size);

/** Where a peak stands, Hz: "2.70 kHz"; 0 is "flat". \return text */
const char *cw_print_peak_hz(double hz, char *text, size_t size);

/** A peak: "2.70 kHz, +4.0 dB"; 0 Hz is "flat". \return text */
const char *cw_print_peak(double hz, double db, char *text, size_t size);

/** Hum or buzz against one coil below which the coils are said to cancel it, dB: our own choice. */
#define CW_CANCELS_DB (-40.0)

/** Hum or buzz against one coil, dB: "-8.0 dB", or "cancels". \return text */
const char *cw_print_noise(double db, char *text, size_t size);

/** Put the sign of minus (U+2212) for each hyphen before a digit, for what is drawn or read on a page;
 * terminals and tables keep the hyphen, which other programs read. What does not fit is cut. \return text */
const char *cw_true_minus(char *text, size_t size);

/** A number for a program: six digits, no remains of arithmetic: what is under a millionth of \p grain is 0.
 * Infinity below 0 is "-inf"; what is no number, nothing. \param grain a size of its kind that matters: 1 for
 * dB and Hz, the value itself for a change of it \return text */
const char *cw_print_csv_number(double number, double grain, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
