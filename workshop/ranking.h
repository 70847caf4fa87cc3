/* SPDX-License-Identifier: ISC */
/** \file ranking.h
 * A ranking from comparisons of two: R. A. Bradley and M. E. Terry, Biometrika 39, 1952, by maximum likelihood
 * as a logistic regression (A. Agresti, Categorical Data Analysis, 2nd ed. 2002, section 10.6), and circular
 * triads (M. G. Kendall and B. Babington Smith, Biometrika 31, 1940).
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_RANKING_H
#define CW_RANKING_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_RANKED_MAX = 16 };

/** Comparisons of up to CW_RANKED_MAX candidates. Zeroed, with count set, is none yet. */
struct cw_preferences {
    int count;
    double trials[CW_RANKED_MAX][CW_RANKED_MAX]; /**< [i][j]: i heard first, j second */
    double firsts[CW_RANKED_MAX][CW_RANKED_MAX]; /**< of these, how often i, the first, was preferred */
};

/** What they say. The logit of the probability that i, heard first, is preferred to j is
 * strength[i] - strength[j] + order. */
struct cw_ranking {
    double strength[CW_RANKED_MAX]; /**< over candidate 0, whose is 0 */
    double error[CW_RANKED_MAX];    /**< standard errors of these; 0 for candidate 0 */
    double order, order_error;      /**< in favour of what is heard first; 0 where it was not fitted */
    double deviance;
    int freedom;    /**< degrees of freedom of the deviance */
    bool is_helped; /**< half a preference was added each way for each pair, since someone never won or lost */
};

/** Fit. \param with_order whether an effect of the order is fitted too
 * \return false where the comparisons do not connect all candidates, or there are fewer than two */
bool cw_rank(const struct cw_preferences *preferences, bool with_order, struct cw_ranking *ranking);

/** Circular triads (A over B, B over C, C over A) of a full round of \p count candidates: wins of each.
 * \param most how many there can be at most, or NULL */
double cw_circular_triads(int count, const int *wins, double *most);

#ifdef __cplusplus
}
#endif
#endif
