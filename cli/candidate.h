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
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Changes asked for with --set SYMBOL=VALUE. A symbol without prefix goes to every candidate; with
 * a_ or b_ to candidates of that side, with rec_ to the recorded-through setup. Zeroed is empty. */
struct cw_edits {
    struct cw_edit {
        bool global, any_side;
        enum cw_which which;
        int index;
        double value;
    } * item;
    size_t count;
};

/** Take one SYMBOL=VALUE, with '_' or '-' in the symbol; what a value was taken for is said (see
 * cw_value_note()). \param why on failure: what was expected and found, and what may have been meant. */
bool cw_edits_add(struct cw_edits *edits, const char *text, char *why, size_t why_size);
void cw_edits_free(struct cw_edits *edits);

/** Apply to a setup that stands on a side. */
void cw_edits_apply(const struct cw_edits *edits, enum cw_which side, struct cw_setup *setup);

/** Say on standard error which of the changes do nothing in a setup that has them, and why.
 * \return why they do nothing where not one of them does anything (the first's reason), else CW_ACTS */
enum cw_idle cw_edits_name_idle(const struct cw_edits *edits, enum cw_which side, const char *name,
                                const struct cw_setup *setup);

/** Apply the edits of global parameters. */
void cw_edits_apply_globals(const struct cw_edits *edits, double global[CW_GLOBALS]);

/** One setup with its name. */
struct cw_candidate {
    char *label;  /**< for people */
    char *source; /**< as named on the command line */
    struct cw_setup setup;
    enum cw_idle idle; /**< of a variant: why its changes do nothing; CW_ACTS where they do something */
};

/** A list of candidates. Zeroed is empty. */
struct cw_candidates {
    struct cw_candidate *item;
    size_t count;
};

/** Most candidates that one command takes. */
enum { CW_CANDIDATES_MAX = 64 };

/** Add what FILE, FILE#a, FILE#b or FILE#rec names: one candidate, or two of a comparison. A file
 * that sets rec_* only stands for that setup. Reports and returns false on failure. */
bool cw_candidates_add(struct cw_candidates *list, const char *name, const struct cw_edits *edits);
void cw_candidates_free(struct cw_candidates *list);

/** The recorded-through setup of FILE: rec_* where it is set, else a_* (a candidate used as the
 * reference); or the side named. Reports and returns false on failure. */
bool cw_recorded_load(const char *name, const struct cw_edits *edits, struct cw_candidate *recorded);
void cw_candidate_free(struct cw_candidate *candidate);

#ifdef __cplusplus
}
#endif
#endif
