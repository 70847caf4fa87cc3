/* SPDX-License-Identifier: ISC */
#include "acceptance.h"

#include <math.h>
#include <stdbool.h>

#include "statistics.h"

enum cw_verdict cw_judge(struct cw_limits limits, double reading, double expanded)
{
    if (reading - expanded >= limits.low && reading + expanded <= limits.high) {
        return CW_VERDICT_PASS;
    }
    return reading + expanded < limits.low || reading - expanded > limits.high ? CW_VERDICT_FAIL : CW_VERDICT_CLOSE;
}

struct cw_limits cw_guarded(struct cw_limits limits, double band)
{
    return (struct cw_limits){limits.low + band, limits.high - band};
}

/* Probability that a true value is read within limits. */
static double read_within(struct cw_limits accept, double value, double standard)
{
    if (accept.low > accept.high) {
        return 0.0;
    }
    return cw_normal((accept.high - value) / standard) - cw_normal((accept.low - value) / standard);
}

/* Adds the share of the prior between two values, and of it what is accepted: by Simpson's rule. */
static void add_part(const struct cw_prior *prior, double from, double to, struct cw_limits accept, double standard,
                     double *made, double *accepted)
{
    enum { PARTS = 2000 };
    double step = (to - from) / PARTS;
    for (int i = 0; i <= PARTS && to > from; i++) {
        double value = from + i * step, weight = i == 0 || i == PARTS ? 1.0 : i % 2 ? 4.0 : 2.0;
        double share = weight * prior->density(prior->of, value) * step / 3.0;
        *made += share;
        *accepted += share * read_within(accept, value, standard);
    }
}

/* The prior is cut at the limits, so that no part has a step in it. */
struct cw_risks cw_risks_of(const struct cw_prior *prior, struct cw_limits limits, struct cw_limits accept,
                            double standard)
{
    double low = fmin(fmax(limits.low, prior->from), prior->to);
    double high = fmin(fmax(limits.high, low), prior->to);
    double bad = 0.0, bad_accepted = 0.0, good = 0.0, good_accepted = 0.0;
    add_part(prior, prior->from, low, accept, standard, &bad, &bad_accepted);
    add_part(prior, high, prior->to, accept, standard, &bad, &bad_accepted);
    add_part(prior, low, high, accept, standard, &good, &good_accepted);
    return (struct cw_risks){bad, bad_accepted + good_accepted, bad_accepted, good - good_accepted};
}

double cw_guard_band_for(const struct cw_prior *prior, struct cw_limits limits, double standard, double most,
                         int among_accepted)
{
    bool two_sided = isfinite(limits.low) && isfinite(limits.high);
    double width = fmin(limits.high, prior->to) - fmax(limits.low, prior->from);
    double low = 0.0, high = two_sided ? 0.5 * width : width;
    for (int i = 0; i < 60; i++) {
        double band = i == 0 ? 0.0 : 0.5 * (low + high);
        struct cw_risks risks = cw_risks_of(prior, limits, cw_guarded(limits, band), standard);
        double risk = among_accepted && risks.accepted > 0.0 ? risks.accepted_bad / risks.accepted : risks.accepted_bad;
        if (i == 0 && risk <= most) {
            return 0.0;
        }
        if (risk > most) {
            low = band;
        } else {
            high = band;
        }
    }
    return high;
}
