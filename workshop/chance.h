/* SPDX-License-Identifier: ISC */
/** \file chance.h
 * What right answers prove: exact binomial tests, intervals, what could have been detected, and evidence that
 * may be added up over rounds.
 *
 * A trial is right or wrong; by guessing it is right with probability \p guess (1/2 of two, 1/3 of three).
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_CHANCE_H
#define CW_CHANCE_H

#ifdef __cplusplus
extern "C" {
#endif

/** Most trials that the functions below look at. */
enum { CW_TRIALS_MAX = 10000 };

/** Probability of \p right or more of \p trials where each is right with probability \p p, 0 to 1. */
double cw_binomial_tail(int trials, int right, double p);

/** Fewest right answers of \p trials that guessing reaches with a probability of at most \p level; trials + 1
 * where not even all right would do. */
int cw_fewest_right(int trials, double guess, double level);

/** Regularised incomplete beta function I_x(a, b), a and b above 0, by its continued fraction (DLMF 8.17.22). */
double cw_incomplete_beta(double a, double b, double x);

/** The exact interval of the true share of right answers (C. J. Clopper and E. S. Pearson, Biometrika 26,
 * 1934). \param confidence 0 to 1, as in 0.95 */
void cw_clopper_pearson(int trials, int right, double confidence, double *low, double *high);

/** Probability that a listener who is right with probability \p p passes the test of cw_fewest_right(): what
 * was left over of 1 is the risk of missing him (L. Leventhal, J. Audio Eng. Soc. 34(6), 1986). */
double cw_power(int trials, double p, double guess, double level);

/** The fewest trials from which on the power never falls below \p power again; the power saws, since answers
 * are whole. \return 0 where CW_TRIALS_MAX do not suffice */
int cw_trials_for_power(double p, double guess, double level, double power);

/** Evidence against guessing between two, in favour of a share above one half that is anywhere with the same
 * density: 2^(n+1) B(k+1, n-k+1) P(Beta(k+1, n-k+1) > 1/2). Under guessing its mean is 1 whenever one stops, so
 * that those of rounds are multiplied, and 20 is passed with a probability of at most 1/20 (J. Ville, 1939). */
double cw_evidence(int trials, int right);

#ifdef __cplusplus
}
#endif
#endif
