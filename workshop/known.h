/* SPDX-License-Identifier: ISC */
/** \file known.h
 * How well the values of a coil are known that was set by readings: it travels with the candidate, so that figures that
 * are worked out later state what the readings leave open.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_KNOWN_H
#define CW_KNOWN_H

#include <stdbool.h>
#include <stddef.h>

#include "measurement.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What the readings leave open. Zeroed: nothing is known of readings. */
struct cw_known {
    bool given;
    bool variant; /**< the setup is another coil than the one that was measured, with its calibration */
    /** A row for each reading: what resistance, inductance, capacitance and loss are multiplied by, as a logarithm,
     * where that reading is out by two standard deviations. The rows are independent of each other. */
    double shift[CW_READINGS][CW_READINGS];
};

/** The largest shift that is taken, a factor of e^2. */
#define CW_KNOWN_SHIFT_MAX 2.0

/** The parameter that a reading sets: a calibration of a winding, a value of measured ones. */
enum cw_param_id cw_known_param(const struct cw_setup *setup, enum cw_reading_id id);

/** The setup where a reading is out, by \p sign times two standard deviations; within the ranges. */
struct cw_setup cw_known_moved(const struct cw_known *known, const struct cw_setup *setup, enum cw_reading_id reading,
                               double sign);

/** What is known after a setup was changed: of another coil from measured values nothing, of another winding what its
 * calibration is known by; controls, cable and split change nothing. */
void cw_known_follow(struct cw_known *known, const struct cw_setup *was, const struct cw_setup *is);

/** Bytes of the longest text, its zero included. */
enum { CW_KNOWN_TEXT = 256 };

/** As a preset holds it: "coil" or "variant" and the rows; "" where nothing is known. \return text */
const char *cw_known_print(const struct cw_known *known, char text[CW_KNOWN_TEXT]);

/** Read what cw_known_print() wrote; the locale's decimal point does not matter. \return false where it is anything
 * else, the known then being zeroed */
bool cw_known_read(const char *text, struct cw_known *known);

#ifdef __cplusplus
}
#endif
#endif
