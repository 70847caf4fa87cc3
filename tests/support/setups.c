/* SPDX-License-Identifier: ISC */
#include "setups.h"

#include "coil.h"

#include <math.h>
#include <stdio.h>

double rng_unit(struct rng *rng)
{
    rng->state += 0x9e3779b97f4a7c15u;
    uint64_t z = rng->state;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    z ^= z >> 31;
    return (double)(z >> 11) * 0x1p-53;
}

double rng_between(struct rng *rng, double lo, double hi) { return lo + (hi - lo) * rng_unit(rng); }

double rng_log(struct rng *rng, double lo, double hi) { return lo * pow(hi / lo, rng_unit(rng)); }

int rng_pick(struct rng *rng, int count) { return (int)(rng_unit(rng) * count); }

double setups_value(struct rng *rng, const struct cw_param_info *info)
{
    if (info->flags & CW_ENUM) {
        return info->points[rng_pick(rng, (int)info->point_count)].value;
    }
    if (info->flags & CW_TOGGLE) {
        return rng_pick(rng, 2);
    }
    double value = info->flags & CW_LOG ? rng_log(rng, info->minimum, info->maximum)
                                        : rng_between(rng, info->minimum, info->maximum);
    return cw_param_clean(info, (double)(float)value, info->preset);
}

/* Put one of the ends in place of a random value in `share` of the cases. */
static void sometimes(struct rng *rng, double *value, double share, double lo, double hi)
{
    double u = rng_unit(rng);
    if (u < share / 2) {
        *value = lo;
    } else if (u < share) {
        *value = hi;
    }
}

double setups_reference_henry(void)
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    cw_setup_defaults(&setup);
    setup.value[CW_P_COIL_FROM] = CW_FROM_WINDING;
    cw_coil_solve(&setup, &pickup);
    return cw_coil_inductance_at(&pickup.coil[0], CW_BENCH_HZ);
}

void setups_random(struct rng *rng, int index, struct cw_setup *setup)
{
    double *v = setup->value;
    for (int i = 0; i < CW_PARAMS; i++) {
        if (i != CW_P_SPLIT_COIL) {
            v[i] = setups_value(rng, &cw_param_info[i]);
        }
    }
    int kind = index % SETUPS_KINDS;
    v[CW_P_SPLIT_COIL] = index / SETUPS_KINDS % 2; /* each split of coil two, then each of coil one */
    v[CW_P_COIL_FROM] = CW_FROM_MEASURED;
    v[CW_P_COILS] = kind == 0 ? CW_COILS_ONE : kind == 1 ? CW_COILS_PARALLEL : CW_COILS_SERIES;
    v[CW_P_SPLIT] = kind >= 3;
    if (kind >= 3) {
        v[CW_P_SPLIT_BY] = kind - 3;
    }
    v[CW_P_VOLUME] = (double)(float)rng_between(rng, 0.5, 10.0);
    sometimes(rng, &v[CW_P_VOLUME], 0.6, 10.0, 10.0);
    sometimes(rng, &v[CW_P_CORE_SHARE], 0.5, 0.0, 0.0);
    sometimes(rng, &v[CW_P_COVER], 0.5, CW_COVER_NONE, CW_COVER_NONE);
    sometimes(rng, &v[CW_P_TONE], 0.5, 0.0, 10.0);
    sometimes(rng, &v[CW_P_BLEED_CAP], 0.5, 0.0, 0.0);
    sometimes(rng, &v[CW_P_BLEED_RESISTOR], 0.3, 0.0, 0.0);
    sometimes(rng, &v[CW_P_SPLIT_KEEP], 0.3, 0.0, 100.0);
    sometimes(rng, &v[CW_P_CABLE_LENGTH], 0.1, 0.0, 0.0);
}

struct cw_setup setups_job_12(void)
{
    struct cw_setup s;
    cw_setup_defaults(&s);
    s.value[CW_P_COILS] = CW_COILS_SERIES;
    s.value[CW_P_INDUCTANCE] = 4.6;
    s.value[CW_P_RESISTANCE] = 8.2;
    s.value[CW_P_CAPACITANCE] = 110;
    s.value[CW_P_LOSS] = 600;
    s.value[CW_P_COUPLING] = 0.147;
    return s;
}

const char *setups_describe(const struct cw_setup *setup)
{
    static char line[1600];
    size_t used = 0;
    line[0] = '\0';
    for (int i = 0; i < CW_PARAMS; i++) {
        if (cw_param_info[i].group == CW_GROUP_WINDING || used >= sizeof line) {
            continue;
        }
        int n = snprintf(line + used, sizeof line - used, "%s=%.9g ", cw_param_info[i].symbol, setup->value[i]);
        used += n > 0 ? (size_t)n : 0;
    }
    return line;
}
