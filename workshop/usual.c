/* SPDX-License-Identifier: ISC */
#include "usual.h"

#include <math.h>
#include <stddef.h>

#include "control.h"
#include "series.h"

/* What the usual values of a parameter are. */
struct usual {
    double every;     /* multiples of it; 0: none */
    bool preferred;   /* values of E12 */
    double listed[5]; /* as they are; ends with 0 */
};

static const struct usual *usual_of(enum cw_param_id id)
{
    static const struct usual metres = {.every = 1.0}, fives = {.every = 5.0}, parts = {.preferred = true},
                              pots = {.listed = {250.0, 300.0, 500.0, 1000.0}};
    switch (id) {
    case CW_P_CABLE_LENGTH:
    case CW_P_VOLUME:
    case CW_P_TONE: return &metres;
    case CW_P_SPLIT_KEEP:
    case CW_P_TAPER: return &fives;
    case CW_P_VOLUME_POT:
    case CW_P_TONE_POT: return &pots;
    case CW_P_SPLIT_RESISTOR:
    case CW_P_SPLIT_CAPACITOR:
    case CW_P_TONE_CAP:
    case CW_P_BLEED_CAP:
    case CW_P_BLEED_RESISTOR: return &parts;
    default: return NULL;
    }
}

static void take_nearer(const struct cw_param_info *info, double share, double candidate, double *off, double *value)
{
    double away = fabs(cw_control_share(info, candidate) - share);
    if (candidate >= info->minimum && candidate <= info->maximum && away <= *off) {
        *off = away;
        *value = candidate;
    }
}

bool cw_usual_near(const struct cw_param_info *info, double share, double reach, double *value)
{
    int id = 0;
    while (id < CW_PARAMS && info != &cw_param_info[id]) {
        id++;
    }
    const struct usual *usual = usual_of((enum cw_param_id)id); /* none of a control that is common to all setups */
    if (!usual) {
        return false;
    }
    const double span = info->maximum - info->minimum;
    double at =
        info->flags & CW_LOG ? info->minimum * pow(info->maximum / info->minimum, share) : info->minimum + span * share;
    double off = reach, found = NAN;
    if (usual->every > 0.0) {
        take_nearer(info, share, usual->every * round(at / usual->every), &off, &found);
    }
    if (usual->preferred && at > 0.0) {
        take_nearer(info, share, cw_series_below(CW_SERIES_E12, at), &off, &found);
        take_nearer(info, share, cw_series_above(CW_SERIES_E12, at), &off, &found);
    }
    for (size_t i = 0; usual->listed[i] > 0.0; i++) {
        take_nearer(info, share, usual->listed[i], &off, &found);
    }
    *value = isfinite(found) ? found : *value;
    return isfinite(found);
}
