/* SPDX-License-Identifier: ISC */
/** \file schematic_file.h
 * Writes the wiring of a split as a file.
 */
#ifndef CW_SCHEMATIC_FILE_H
#define CW_SCHEMATIC_FILE_H

#include <stdbool.h>

#include "split_schematic.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Write an SVG file. Reports and returns false on failure; then nothing is left behind. */
bool cw_schematic_save(const struct cw_schematic *schematic, const char *path, bool force);

#ifdef __cplusplus
}
#endif
#endif
