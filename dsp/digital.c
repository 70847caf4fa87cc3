/* SPDX-License-Identifier: ISC */
#include "digital.h"

#include <assert.h>
#include <string.h>

#include "match.h"
#include "sections.h"
#include "target.h"

void cw_digital_design(const struct cw_transfer *candidate, const struct cw_transfer *recorded, double rate,
                       double limit_db, struct cw_sections *out)
{
    cw_digital_design_sloped(candidate, recorded, NULL, rate, limit_db, out);
}

enum cw_digital_step cw_digital_do(enum cw_digital_step step, const struct cw_target *target,
                                   const struct cw_slope *slope, double rate, double limit_db, struct cw_plan *plan,
                                   struct cw_limit *limit, struct cw_sections *out)
{
    switch (step) {
    case CW_DIGITAL_MATCH:
        memset(out, 0, sizeof *out);
        cw_match(target, rate, plan);
        out->mirrored = target->mirrored;
        out->correction = plan->correction;
        return slope ? CW_DIGITAL_SLOPE : CW_DIGITAL_CUT;
    case CW_DIGITAL_SLOPE: cw_slope_append(slope, plan); return CW_DIGITAL_CUT;
    case CW_DIGITAL_CUT:
        cw_sections_of(plan, out);
        return cw_limit_exceeded(plan, limit_db, out) ? CW_DIGITAL_LIMIT : CW_DIGITAL_DONE;
    case CW_DIGITAL_LIMIT:
        cw_limit_begin(plan, limit_db, out, limit);
        return cw_limit_step(limit, plan) ? CW_DIGITAL_AGAIN : CW_DIGITAL_POLES;
    case CW_DIGITAL_POLES: return cw_limit_step(limit, plan) ? CW_DIGITAL_AGAIN : CW_DIGITAL_POLES;
    case CW_DIGITAL_AGAIN: cw_limit_cut(plan, limit_db, out); return CW_DIGITAL_DONE;
    case CW_DIGITAL_DONE:
    default: return CW_DIGITAL_DONE;
    }
}

void cw_digital_design_sloped(const struct cw_transfer *candidate, const struct cw_transfer *recorded,
                              const struct cw_slope *slope, double rate, double limit_db, struct cw_sections *out)
{
    assert(rate > 0.0 && limit_db >= 0.0);
    struct cw_target target;
    struct cw_plan plan;
    struct cw_limit limit;
    enum cw_digital_step step = CW_DIGITAL_MATCH;
    if (!cw_target_of(candidate, recorded, &target)) {
        memset(out, 0, sizeof *out);
        out->silent = true;
        return;
    }
    while (step != CW_DIGITAL_DONE) {
        step = cw_digital_do(step, &target, slope, rate, limit_db, &plan, &limit, out);
    }
}

double cw_sections_power(const struct cw_sections *sections, double hz, double rate)
{
    double power = sections->gain * sections->gain;
    for (int i = 0; i < sections->count; i++) {
        power *= cw_biquad_power(&sections->section[i], hz, rate);
    }
    return power;
}

void cw_sections_impulse(const struct cw_sections *sections, double *response, size_t length)
{
    assert(length >= 1);
    memset(response, 0, length * sizeof *response);
    response[0] = sections->gain;
    for (int i = 0; i < sections->count; i++) {
        const struct cw_biquad b = sections->section[i];
        double s1 = 0.0, s2 = 0.0;
        for (size_t n = 0; n < length; n++) {
            double x = response[n], y = b.b0 * x + s1;
            s1 = b.b1 * x - b.a1 * y + s2;
            s2 = b.b2 * x - b.a2 * y;
            response[n] = y;
        }
    }
}
