/* SPDX-License-Identifier: ISC */
/** \file sources.h
 * From preset files to the sounds of an audition.
 */
#ifndef CW_SOURCES_H
#define CW_SOURCES_H

#include <stddef.h>

#include "sounds.h"
#include "candidate.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What an audition is made of, as named on the command line. */
struct cw_sources {
    char *const *file; /**< of candidates and comparisons */
    size_t count;
    const char *recorded; /**< file of the recorded-through setup, or NULL: then the one that the files
                               themselves set is used, and none where they set none */
    struct cw_edits edits;
};

/** Fill sounds, pairs and the recorded-through setup from files. A side of a comparison that equals
 * an earlier candidate is that candidate.
 * \return an enum cw_status; what is wrong is reported */
int cw_audition_load(struct cw_audition *audition, const struct cw_sources *sources);

#ifdef __cplusplus
}
#endif
#endif
