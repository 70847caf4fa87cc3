/* SPDX-License-Identifier: ISC */
/** \file match_run.h
 * A search for windable specs on all processors, and its list.
 */
#ifndef CW_MATCH_RUN_H
#define CW_MATCH_RUN_H

#include <stdbool.h>
#include <stddef.h>

#include "wind_rank.h"
#include "wind_search.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Most rows of the list. */
enum { CW_MATCH_ROWS_MAX = 200 };

/** Most combinations that are tried. */
enum { CW_MATCH_KINDS_MAX = 1000000 };

/** A search and what came of it. Zeroed is empty. */
struct cw_match {
    struct cw_wind_search search;
    double told; /**< two standard deviations of the target, dB */
    bool each;   /**< list every combination, see cw_wind_rank() */
    size_t list; /**< rows wanted, to CW_MATCH_ROWS_MAX */
    size_t kinds, solved, near;
    size_t rows;
    struct cw_wind_candidate row[CW_MATCH_ROWS_MAX];
};

/** Solve every combination and rank. Reports and returns false where memory runs out or on an interrupt;
 * \c solved is 0 where nothing fits the former's room. */
bool cw_match_run(struct cw_match *match);

#ifdef __cplusplus
}
#endif
#endif
