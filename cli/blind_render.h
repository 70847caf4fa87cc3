/* SPDX-License-Identifier: ISC */
/** \file blind_render.h
 * The clips of a letter: each time that a candidate is heard it is a clip of its own, matched in level, dithered
 * anew, of the same length and size as all others.
 */
#ifndef CW_BLIND_RENDER_H
#define CW_BLIND_RENDER_H

#include <stdbool.h>
#include <stddef.h>

#include "answer_code.h"
#include "bytes.h"
#include "host.h"
#include "letter.h"
#include "random.h"
#include "sounds.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What of a recording is heard. */
struct cw_excerpt {
    const char *path;
    int channel;          /**< 0 where it must be mono */
    double from, seconds; /**< s */
    int rate;             /**< filled in, Hz */
    long long frames;     /**< filled in */
};

/** The clips of a letter. Zeroed is none. */
struct cw_letter_clips {
    struct cw_bytes *clip;
    size_t count;
    int trial[CW_ANSWERS_MAX][3]; /**< which are heard in each trial */
    int voices;                   /**< 2, or 3 with a reference or X */
};

/** Render them. The last sound of the audition is the reference where the question wants one.
 * Reports and returns false on failure. */
bool cw_letter_render(struct cw_audition *audition, struct cw_host *host, struct cw_excerpt *excerpt,
                      const struct cw_letter *letter, struct cw_random *random, struct cw_letter_clips *clips);
void cw_letter_clips_free(struct cw_letter_clips *clips);

#ifdef __cplusplus
}
#endif
#endif
