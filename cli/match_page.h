/* SPDX-License-Identifier: ISC */
/** \file match_page.h
 * The directory of a search: the specs as presets, and a page to hear them beside the target.
 */
#ifndef CW_MATCH_PAGE_H
#define CW_MATCH_PAGE_H

#include <stdbool.h>

#include "candidate.h"
#include "match_run.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What is to be played. */
struct cw_match_sound {
    const char *di;       /**< recording, or NULL for the phrase of our own */
    int channel;          /**< of the recording, 0 where it must be mono */
    const char *recorded; /**< file of what it went through, or NULL */
};

/** Write it: what an audition writes, the target first where there is one, then the rows of the list. Reports and
 * returns false on failure; then nothing is left behind.
 * \param target NULL where there are only wishes */
bool cw_match_write(const struct cw_match *match, const struct cw_candidate *target, const struct cw_match_sound *play,
                    const char *directory, bool force);

#ifdef __cplusplus
}
#endif
#endif
