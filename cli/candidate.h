/* SPDX-License-Identifier: ISC */
/** \file candidate.h
 * Candidate files: LV2 presets (Turtle) of urn:coilwright:voicing.
 *
 * A candidate is a preset that sets a_* ports; a reference sets rec_*; a comparison sets a_* and
 * b_*. On the command line FILE stands for the candidates in it (a comparison for two), FILE#a,
 * FILE#b and FILE#rec for one side.
 */
#ifndef CW_CANDIDATE_H
#define CW_CANDIDATE_H

#include <stdbool.h>
#include <stddef.h>

#include "acts.h"
#include "edits.h"
#include "known.h"
#include "preset_load.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One setup with its name. */
struct cw_candidate {
    char *label;  /**< for people */
    char *source; /**< as named on the command line */
    struct cw_setup setup;
    struct cw_known known; /**< what the readings behind its coil leave open */
    unsigned at;           /**< the side of its file that it is, see edits.h */
    enum cw_idle idle;     /**< of a variant: why its changes do nothing; CW_ACTS where they do something */
};

/** A file that candidates came from. */
struct cw_candidate_file {
    struct cw_file said;
    const char *name;    /**< as named on the command line; the caller's */
    size_t first, count; /**< its candidates in the list */
};

/** A list of candidates, and the files that they came from. Zeroed is empty. */
struct cw_candidates {
    struct cw_candidate *item;
    size_t count;
    struct cw_candidate_file *file;
    size_t files;
    size_t most; /**< that it takes; 0: CW_CANDIDATES_MAX */
};

/** Most candidates that a command takes which draws or tables them side by side. */
enum { CW_CANDIDATES_MAX = 64 };

/** Add what FILE, FILE#a, FILE#b or FILE#rec names: one candidate, or two of a comparison. A file
 * that sets rec_* only stands for that setup. Reports and returns false on failure. */
bool cw_candidates_add(struct cw_candidates *list, const char *name, const struct cw_edits *edits);
void cw_candidates_free(struct cw_candidates *list);

/** Where the candidates stand, all together, see edits.h. */
unsigned cw_candidates_at(const struct cw_candidates *list);

/** The recorded-through setup of FILE: rec_* where it is set, else a_* (a candidate used as the
 * reference); or the side named. Reports and returns false on failure. */
bool cw_recorded_load(const char *name, const struct cw_edits *edits, struct cw_candidate *recorded);
void cw_candidate_free(struct cw_candidate *candidate);

#ifdef __cplusplus
}
#endif
#endif
