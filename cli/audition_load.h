/* SPDX-License-Identifier: ISC */
/** \file audition_load.h
 * From preset files to the sounds of an audition.
 */
#ifndef CW_AUDITION_LOAD_H
#define CW_AUDITION_LOAD_H

#include <stdbool.h>
#include <stddef.h>

#include "candidate.h"
#include "sounds.h"
#include "sources.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Most candidates of an audition: the page plays them all at once. */
enum { CW_AUDITION_MOST = 256 };

/** Fill sounds, pairs and the recorded-through setup from files. A side of a comparison that equals
 * an earlier candidate is that candidate.
 * \return an enum cw_status; what is wrong is reported */
int cw_audition_load(struct cw_audition *audition, const struct cw_sources *sources);

/** The same of setups that are at hand, with globals at their defaults.
 * \return false where memory runs out, which is reported */
bool cw_audition_of(struct cw_audition *audition, const struct cw_candidate *candidate, size_t count);

/** Set what the recording went through, sound 0 being there. \return false where memory runs out, which is reported */
bool cw_audition_set_recorded(struct cw_audition *audition, const struct cw_candidate *recorded);

#ifdef __cplusplus
}
#endif
#endif
