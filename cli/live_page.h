/* SPDX-License-Identifier: ISC */
/** \file live_page.h
 * The live page: one HTML file with the recording and the program's own core, in which the listener moves a
 * setup's values against the candidates.
 */
#ifndef CW_LIVE_PAGE_H
#define CW_LIVE_PAGE_H

#include <stdbool.h>
#include <stdio.h>

#include "bytes.h"
#include "sounds.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Whether this program holds the core as WebAssembly. Reports where it does not, with what the build lacked. */
bool cw_live_page_can(void);

/** What the page needs beside the audition. Zeroed is empty. */
struct cw_live_take {
    struct cw_bytes clip; /**< the recording, FLAC of 24 bits */
    long long frames;     /**< of it */
};

/** Read the recording for the page: up to CW_PAGE_SECONDS. Reports and returns false on failure.
 * \param audition rendered \param channel of the recording, 0 where it must be mono */
bool cw_live_take_read(const struct cw_audition *audition, const char *di, int channel, struct cw_live_take *take);
void cw_live_take_free(struct cw_live_take *take);

/** Write the page; what it is made of is in workshop/page/. */
void cw_live_page_write(FILE *stream, const struct cw_audition *audition, const struct cw_live_take *take);

#ifdef __cplusplus
}
#endif
#endif
