/* SPDX-License-Identifier: ISC */
/** \file sources.h
 * The candidates of a run and the setup that its recording went through, from preset files.
 */
#ifndef CW_SOURCES_H
#define CW_SOURCES_H

#include <stdbool.h>
#include <stddef.h>

#include "candidate.h"
#include "edits.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What a run is made of, as named on the command line. */
struct cw_sources {
    char *const *file; /**< of candidates and comparisons */
    size_t count;
    const char *recorded; /**< file of the recorded-through setup, or NULL: then the one that the files
                               themselves set is used, and none where they set none */
    struct cw_edits edits;
};

/** The same, loaded. Zeroed is empty. */
struct cw_loaded {
    struct cw_candidates list;
    bool has_recorded;
    struct cw_candidate recorded;
};

/** Load the candidates and the recorded-through setup, with the changes that were asked for; one that reaches
 * none of them is named.
 * \param loaded zeroed; to be freed on failure too
 * \return an enum cw_status; what is wrong is reported */
int cw_sources_load(const struct cw_sources *sources, struct cw_loaded *loaded);
void cw_loaded_free(struct cw_loaded *loaded);

#ifdef __cplusplus
}
#endif
#endif
