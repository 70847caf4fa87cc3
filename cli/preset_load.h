/* SPDX-License-Identifier: ISC */
/** \file preset_load.h
 * Reads candidate files: LV2 presets (Turtle) of the plugin, and settings as plain lines (settings_text.h).
 */
#ifndef CW_PRESET_LOAD_H
#define CW_PRESET_LOAD_H

#include <stdbool.h>

#include "known.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Largest file that is read as a preset, bytes. */
enum { CW_FILE_MAX_BYTES = 1 << 20 };

/** What a preset file says. */
struct cw_file {
    struct cw_controls controls; /**< what is not set stands at its default */
    bool sets[CW_SETUPS];        /**< at least one port of the setup is set */
    bool sets_param[CW_SETUPS][CW_PARAMS];
    bool sets_global[CW_GLOBALS];
    struct cw_known known[CW_SETUPS]; /**< what the readings behind a coil leave open */
    char *label;                      /**< rdfs:label, or the file's name without directory and suffix */
    char *comment;                    /**< rdfs:comment, or NULL */
};

/** Read a preset or settings: a file, or a bundle directory that holds one. Every mistake in it is reported in
 * one line.
 * \return false on failure; then there is nothing to free. */
bool cw_file_load(const char *path, struct cw_file *file);
void cw_file_free(struct cw_file *file);

#ifdef __cplusplus
}
#endif
#endif
