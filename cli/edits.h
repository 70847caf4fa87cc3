/* SPDX-License-Identifier: ISC */
/** \file edits.h
 * Changes of controls asked for on the command line: --set SYMBOL=VALUE.
 */
#ifndef CW_EDITS_H
#define CW_EDITS_H

#include <stdbool.h>
#include <stddef.h>

#include "acts.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Where a setup stands, as changes are addressed: 1u << a side of enum cw_which, and with it CW_AS_CANDIDATE
 * where it is one that is listened to. */
enum { CW_AS_CANDIDATE = 1u << CW_SETUPS };

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

/** Apply to a setup that stands \p at a place. */
void cw_edits_apply(const struct cw_edits *edits, unsigned at, struct cw_setup *setup);

/** Mark the parameters that the changes set in a setup that stands \p at a place; the others stay as they are. */
void cw_edits_mark(const struct cw_edits *edits, unsigned at, bool set[CW_PARAMS]);

/** Say on standard error which of the changes do nothing in a setup that has them, and why.
 * \return why they do nothing where not one of them does anything (the first's reason), else CW_ACTS */
enum cw_idle cw_edits_name_idle(const struct cw_edits *edits, unsigned at, const char *name,
                                const struct cw_setup *setup);

/** Say on standard error which of the changes are addressed to no setup of a run.
 * \param at where the setups of the run stand, all together \return false where there is one */
bool cw_edits_name_lost(const struct cw_edits *edits, unsigned at);

/** Apply the edits of global parameters. */
void cw_edits_apply_globals(const struct cw_edits *edits, double global[CW_GLOBALS]);

#ifdef __cplusplus
}
#endif
#endif
