/* SPDX-License-Identifier: ISC */
/** \file quantity.h
 * Values as people write them: 250k, 4.7n, 620pF, 4k7, 10kohm, 4.5H, 75%, 3 kHz, on, "Alnico 5", with a
 * decimal point or comma (6,5 m), whatever the locale.
 *
 * Pure functions.
 */
#ifndef CW_QUANTITY_H
#define CW_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Room for a sentence that says what was expected. */
enum { CW_WHY_SIZE = 360 };

/** Read a number with an optional SI prefix and unit. A comma is a decimal comma (8,2k), unless commas part
 * thousands: several of them (1,000,000), or one before three digits of a bare number or of hertz or ohms
 * without a prefix (5,000 turns; 3,100 Hz).
 * \param unit the unit that the result is in; a bare number is taken to be in it
 * \param value left alone on failure
 * \return false where the text is no such quantity. */
bool cw_quantity_parse(const char *text, enum cw_unit unit, double *value);

/** Read a temperature: a number, alone or with °C, degC or C behind it.
 * \param celsius left alone on failure
 * \return false where the text is none */
bool cw_celsius_parse(const char *text, double *celsius);

/** Read the value of a parameter: a quantity in range, an entry of its list (see choice.h; for wire also
 * its bare diameter, 0.0635mm), or on / off.
 * \param value left alone on failure
 * \param why   on failure: "expected ..., found '...'" */
bool cw_value_parse(const struct cw_param_info *info, const char *text, double *value, char why[CW_WHY_SIZE]);

/** What a parameter takes and where it stands by default: "25 to 2000 kΩ; default 500 kΩ". \return text */
const char *cw_value_range(const struct cw_param_info *info, char *text, size_t size);

/** What a text was taken for, where that is not just what it says: the gauge of a wire given by its
 * diameter. \param value as cw_value_parse() read it \return false where there is nothing to say */
bool cw_value_note(const struct cw_param_info *info, const char *text, double value, char *note, size_t size);

/** Check a number read from elsewhere against the parameter's range and list; rounding to single
 * precision is forgiven. \param value is put to the nearest value allowed */
bool cw_value_check(const struct cw_param_info *info, double *value, char why[CW_WHY_SIZE]);

/** Write a value with its unit or the label of its scale point. \return text */
const char *cw_value_print(const struct cw_param_info *info, double value, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
