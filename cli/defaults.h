/* SPDX-License-Identifier: ISC */
/** \file defaults.h
 * What nobody gave and is heard all the same, said.
 */
#ifndef CW_DEFAULTS_H
#define CW_DEFAULTS_H

#include <stdbool.h>
#include <stdio.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Print which controls, cable and input a setup has because they were not given, with their values, and how many
 * values of its coil. Prints nothing where all were given.
 * \param given of each parameter */
void cw_defaults_print(FILE *stream, const struct cw_setup *setup, const bool given[CW_PARAMS]);

/** Say in one line on standard error that a file leaves controls at their defaults that act in its setup.
 * \param name of the file, as it was named \param prefix of the symbols, as in cw_setup_prefix
 * \param given of each parameter */
void cw_defaults_name(const char *name, const char *prefix, const struct cw_setup *setup, const bool given[CW_PARAMS]);

#ifdef __cplusplus
}
#endif
#endif
