/* SPDX-License-Identifier: ISC */
/** \file preset_text.h
 * A candidate file as text: an LV2 preset in Turtle, as the program and the live page write it.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_PRESET_TEXT_H
#define CW_PRESET_TEXT_H

#include <stddef.h>

#include "known.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The prefixes of a preset and of a bundle's manifest. */
extern const char cw_preset_prefixes[];

/** What a preset says beside the ports: of the plugin's state (session_text.h), where NULL leaves a text as it is; and
 * for the program only, how well the coil is known. */
struct cw_preset_words {
    const char *name[CW_SETUPS];             /**< what the window calls it */
    const char *seal[CW_SETUPS];             /**< the mark of its seal, seal_mark.h */
    const struct cw_known *known[CW_SETUPS]; /**< what its readings leave open, or NULL */
};

/** What a preset calls the known of a side: a property of the preset, a text as cw_known_print() writes it. Permanent.
 * \return a URI */
const char *cw_preset_known_key(enum cw_which which);

/** Write a preset that sets every port of the setups given.
 * \param label   UTF-8; what is none becomes '?'
 * \param comment or NULL
 * \param setups  NULL where a side is not set
 * \param words   NULL for none
 * \param text    may be NULL where \p size is 0
 * \return bytes of the whole, without the zero; where that is \p size or more, \p text is cut */
size_t cw_preset_text(const char *label, const char *comment, const struct cw_setup *const setups[CW_SETUPS],
                      const struct cw_preset_words *words, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
