/* SPDX-License-Identifier: ISC */
/** \file names.h
 * The words of the window's session: what the recording, A and B are called, the job, and notes.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_NAMES_H
#define CW_UI_NAMES_H

#include <stdbool.h>

#include "session_text.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_NAMES = CW_TEXT_NOTES + 1 /**< texts that can be typed, in the order of enum cw_session_text */ };

/** All zero: nothing has a name. */
struct cw_names {
    char text[CW_NAMES][CW_TEXT_SIZE];
    unsigned changed; /**< bit 1 << enum cw_session_text: changed here, and to be handed to the plugin */
    bool kept;        /**< the plugin can be reached: a session keeps them */
};

/** What is asked for: "Name of A", "Job" ... */
extern const char *const cw_names_label[CW_NAMES];

/** Take over what was typed. Blanks around it are left out.
 * \return NULL, or what is wrong with it, and nothing is changed */
const char *cw_names_set(struct cw_names *names, enum cw_session_text which, const char *text);

/** A and B change names. */
void cw_names_swap(struct cw_names *names);

#ifdef __cplusplus
}
#endif
#endif
