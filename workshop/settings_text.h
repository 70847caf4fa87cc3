/* SPDX-License-Identifier: ISC */
/** \file settings_text.h
 * A setup as a few lines of plain text, to be copied into a message and out of it again:
 *
 *     coilwright settings 1
 *     name Yours, after full
 *     coils Two in series
 *     inductance 7.6 H
 *     ...
 *     end 61
 *
 * Each line after the name is a parameter's symbol and its value with its unit, as dsp/parameters.def has them;
 * those that are left out stand at their defaults. The last line says how many there are, so that a text that was
 * cut is noticed.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_SETTINGS_TEXT_H
#define CW_SETTINGS_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "quantity.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Write every value of a setup, to nine digits.
 * \param name  UTF-8, without line breaks
 * \param text  may be NULL where \p size is 0
 * \return bytes of the whole, without the zero; where that is \p size or more, \p text is cut */
size_t cw_settings_text(const char *name, const struct cw_setup *setup, char *text, size_t size);

/** Room for the name of settings. */
enum { CW_SETTINGS_NAME_BYTES = 200 };

/** What was read. */
struct cw_settings {
    struct cw_setup setup;
    bool set[CW_PARAMS];
    char name[CW_SETTINGS_NAME_BYTES]; /**< as it stands there; empty where there is none */
};

/** What is wrong with a text. */
struct cw_settings_fault {
    unsigned line; /**< of the text, from 1 on */
    char why[CW_WHY_SIZE + 80];
};

/** Whether a text holds settings: a line of it begins as the first of them does. */
bool cw_settings_found(const char *text);

/** Read them. What stands before and after is passed over, and so are what mail programs do to lines: marks of
 * quotation ('>'), blanks around (no-break spaces too), empty lines, and CR.
 * \return false where something is wrong; then \p fault says what */
bool cw_settings_read(const char *text, struct cw_settings *settings, struct cw_settings_fault *fault);

#ifdef __cplusplus
}
#endif
#endif
