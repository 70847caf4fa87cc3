/* SPDX-License-Identifier: ISC */
/** \file wind_rank.h
 * What a search found, in order: judged by the exact measure, with the interval that the model leaves, and those
 * that cannot be told from one another as equal.
 *
 * Threading class: pure functions, any thread; no allocation; some milliseconds a candidate.
 */
#ifndef CW_WIND_RANK_H
#define CW_WIND_RANK_H

#include <stdbool.h>
#include <stddef.h>

#include "audible.h"
#include "setup.h"
#include "wind_search.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Candidates whose bands differ by no more are equal, dB, however well the target is known: half of what is just
 * noticed (our own choice). */
#define CW_WIND_EQUAL_DB 0.7

/** One spec in the list. */
struct cw_wind_candidate {
    struct cw_wind_found found;
    struct cw_setup setup;
    double level[CW_AUDIBLE_BANDS];
    struct cw_audible apart;  /**< from the target's bands; zeros where there are none */
    double uncertainty;       /**< see cw_wind_uncertainty() */
    double figure[CW_WISHES]; /**< see cw_wind_figures() */
    int place;                /**< from 1; equals share it */
};

/** The miss by the exact measure, times just noticeable, of a candidate whose setup, bands and figures are there; with
 * the wish that misses most: CW_WISHES where it is the bands. */
double cw_wind_judge(const struct cw_wind_target *target, const struct cw_wind_candidate *candidate,
                     enum cw_wish_id *by);

/** Put what was found into order and the best of it into a list.
 * \param found is put into order; its best are polished
 * \param told  two standard deviations of the target's bands, dB
 * \param each  every combination; else of those that differ in insulation, potting and magnet only, the nearest
 * \param most  rows of the list
 * \param near  how many combinations lie within max(told, CW_WIND_EQUAL_DB) of the first; may be NULL
 * \return rows filled */
size_t cw_wind_rank(const struct cw_wind_search *search, struct cw_wind_found *found, size_t count, double told,
                    bool each, struct cw_wind_candidate *candidate, size_t most, size_t *near);

#ifdef __cplusplus
}
#endif
#endif
