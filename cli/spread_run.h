/* SPDX-License-Identifier: ISC */
/** \file spread_run.h
 * The draws of a spread, on all processors, and what they come to.
 */
#ifndef CW_SPREAD_RUN_H
#define CW_SPREAD_RUN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "plot_model.h"
#include "spread.h"
#include "spread_pair.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Of one design, and of the difference of two (the second less the first). */
enum { CW_SPREAD_ONE, CW_SPREAD_TWO, CW_SPREAD_DIFFERENCE, CW_SPREAD_SETS };

/** Draws whose whole response is kept for the plot, and pairs that are listened to by the model of the ear. */
enum { CW_SPREAD_CURVES = 2000, CW_SPREAD_PAIRS = 400 };

struct cw_spread_run {
    struct cw_spread design[2];
    int designs; /**< 1 or 2 */
    size_t draws;
    uint64_t seed;
    struct cw_spread_found found[CW_SPREAD_SETS][CW_SPREAD_FIGURES];
    double same_way[CW_SPREAD_FIGURES]; /**< share of pairs that differ the way the designs do */
    double too_full[2];                 /**< share of draws whose turns do not fit the former */
    struct cw_pairs_found pairs;
    double (*curve)[CW_PLOT_POINTS]; /**< levels, dB: CW_SPREAD_CURVES of each design; NULL where none is drawn */
};

/** Draw. \param with_curves keep responses for cw_spread_band() \return false after a message */
bool cw_spread_run(struct cw_spread_run *run, bool with_curves);
void cw_spread_run_free(struct cw_spread_run *run);

/** Levels below which a share of the draws of a design lie, at each point of a plot; the curves are put into order. */
void cw_spread_band(struct cw_spread_run *run, int design, double share, double level[CW_PLOT_POINTS]);

#ifdef __cplusplus
}
#endif
#endif
