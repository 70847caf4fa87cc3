/* SPDX-License-Identifier: ISC */
/** \file acceptance.h
 * Limits, and what a reading that is itself uncertain says about keeping them: guard bands and their risks (JCGM
 * 106:2012; ISO 14253-1 for the decision rule).
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_ACCEPTANCE_H
#define CW_ACCEPTANCE_H

#ifdef __cplusplus
extern "C" {
#endif

/** Two limits; -INFINITY or INFINITY where there is none. */
struct cw_limits {
    double low, high;
};

/** What a reading says. */
enum cw_verdict {
    CW_VERDICT_PASS,  /**< inside the limits by the uncertainty */
    CW_VERDICT_CLOSE, /**< too close to tell */
    CW_VERDICT_FAIL   /**< outside by the uncertainty */
};

/** Judge a reading. \param expanded its expanded uncertainty (about two standard deviations), 0 or more. A reading
 * that is no number is too close to tell. */
enum cw_verdict cw_judge(struct cw_limits limits, double reading, double expanded);

/** The limits moved inwards by a guard band; low is above high where nothing is left. */
struct cw_limits cw_guarded(struct cw_limits limits, double band);

/** What is known of the true value before it is measured: a density between two ends, 0 outside. */
struct cw_prior {
    double (*density)(const void *of, double value);
    const void *of;
    double from, to;
};

/** Shares of all that is made. */
struct cw_risks {
    double bad;           /**< outside the limits, before any inspection */
    double accepted;      /**< accepted */
    double accepted_bad;  /**< outside the limits and accepted: the global consumer's risk (JCGM 106, 9.5.2) */
    double rejected_good; /**< inside and rejected: the producer's */
};

/** The risks of accepting readings within \p accept that have a normal error of standard deviation \p standard. */
struct cw_risks cw_risks_of(const struct cw_prior *prior, struct cw_limits limits, struct cw_limits accept,
                            double standard);

/** The guard band at which the share that is accepted and bad comes down to \p most; among those accepted, or of all
 * that is made. \return 0 where no band is needed; where none suffices, all that the limits leave */
double cw_guard_band_for(const struct cw_prior *prior, struct cw_limits limits, double standard, double most,
                         int among_accepted);

#ifdef __cplusplus
}
#endif
#endif
