/* SPDX-License-Identifier: ISC */
/** \file seals.h
 * The seals of the recording, A and B in the window, and whether each setup is still what was sealed. They come from
 * presets and sessions, and go with copies and swaps.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_SEALS_H
#define CW_UI_SEALS_H

#include <stdbool.h>
#include <stddef.h>

#include "seal_mark.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Marks by setup, as the session keeps them; "" for none. */
struct cw_seal_texts {
    char of[CW_SETUPS][CW_SEAL_MARK_TEXT];
};

/** All zero: nothing is sealed. */
struct cw_seals {
    struct cw_seal_texts text;
    unsigned changed; /**< bit 1 << enum cw_which: carried here, and to be handed to the plugin */
    enum cw_seal_standing standing[CW_SETUPS];
    struct cw_seal_mark mark[CW_SETUPS];
    struct {
        char text[CW_SEAL_MARK_TEXT];
        struct cw_setup setup;
    } judged[CW_SETUPS]; /**< what the two above are of */
};

/** Whether two are the same. */
bool cw_seal_texts_same(const struct cw_seal_texts *a, const struct cw_seal_texts *b);

/** Whether any setup has one. */
bool cw_seals_any(const struct cw_seals *seals);

/** Take texts over, of an earlier time or of the plugin. \param handed the plugin has them already */
void cw_seals_take(struct cw_seals *seals, const struct cw_seal_texts *text, bool handed);

/** A setup was copied, seal and all. */
void cw_seals_copy(struct cw_seals *seals, enum cw_which from, enum cw_which to);

/** A and B changed places. */
void cw_seals_swap(struct cw_seals *seals);

/** Judge what differs from what was judged last. */
void cw_seals_judge(struct cw_seals *seals, const struct cw_setup setup[CW_SETUPS]);

/** A standing in few words, with the revision and so many digits of the fingerprint; "" where there is none. */
void cw_seals_words(const struct cw_seals *seals, enum cw_which which, int digits, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
