/* SPDX-License-Identifier: ISC */
#include "digital.h"

#include <assert.h>
#include <string.h>

#include "limit.h"
#include "match.h"
#include "sections.h"
#include "target.h"

void cw_digital_design(const struct cw_transfer *candidate, const struct cw_transfer *recorded, double rate,
                       double limit_db, struct cw_sections *out)
{
    cw_digital_design_sloped(candidate, recorded, NULL, rate, limit_db, out);
}

void cw_digital_of_target(const struct cw_target *target, const struct cw_slope *slope, double rate, double limit_db,
                          struct cw_sections *out)
{
    struct cw_plan plan;
    memset(out, 0, sizeof *out);
    cw_match(target, rate, &plan);
    out->mirrored = target->mirrored;
    out->correction = plan.correction;
    if (slope) {
        cw_slope_append(slope, &plan);
    }
    cw_sections_of(&plan, out);
    cw_limit_boost(&plan, limit_db, out);
}

void cw_digital_design_sloped(const struct cw_transfer *candidate, const struct cw_transfer *recorded,
                              const struct cw_slope *slope, double rate, double limit_db, struct cw_sections *out)
{
    assert(rate > 0.0 && limit_db >= 0.0);
    struct cw_target target;
    if (!cw_target_of(candidate, recorded, &target)) {
        memset(out, 0, sizeof *out);
        out->silent = true;
        return;
    }
    cw_digital_of_target(&target, slope, rate, limit_db, out);
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
