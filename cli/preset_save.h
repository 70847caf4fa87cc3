/* SPDX-License-Identifier: ISC */
/** \file preset_save.h
 * Writes candidate files: LV2 presets (Turtle) of the plugin.
 */
#ifndef CW_PRESET_SAVE_H
#define CW_PRESET_SAVE_H

#include <stdbool.h>

#include "preset_text.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Whether a preset could be written to \p path (NULL: none is wanted) now, as cw_outputs_ready(). */
bool cw_preset_ready(const char *path, bool force);

/** Write a preset.
 * \param path     "-" is standard output; a name that ends in ".lv2" becomes a bundle, which hosts
 *                 find once it stands in their LV2 path
 * \param comment  or NULL
 * \param setups   one pointer for each of enum cw_which; NULL leaves that one out
 * \param force    replace an existing file
 * Reports and returns false on failure; then nothing is left behind. */
bool cw_candidate_save(const char *path, const char *label, const char *comment,
                       const struct cw_setup *const setups[CW_SETUPS], bool force);

/** The same, with names and seals beside the controls, and how well the coils are known. */
bool cw_worded_save(const char *path, const char *label, const char *comment,
                    const struct cw_setup *const setups[CW_SETUPS], const struct cw_preset_words *words, bool force);

#ifdef __cplusplus
}
#endif
#endif
