/* SPDX-License-Identifier: ISC */
/** \file names.h
 * What the recording, A and B are called in the window.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_NAMES_H
#define CW_UI_NAMES_H

#include <stdbool.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_NAME_SIZE = 96 /**< bytes, the end included: what a session keeps */ };

/** All zero: nothing has a name. */
struct cw_names {
    char text[CW_SETUPS][CW_NAME_SIZE];
    unsigned changed; /**< bit 1 << enum cw_which: changed here, and to be handed to the plugin */
    bool kept;        /**< the plugin can be reached: a session keeps them */
};

/** Take over what was typed. Blanks around it are left out.
 * \return NULL, or what is wrong with it, and nothing is changed */
const char *cw_names_set(struct cw_names *names, enum cw_which which, const char *text);

/** A and B change names. */
void cw_names_swap(struct cw_names *names);

#ifdef __cplusplus
}
#endif
#endif
