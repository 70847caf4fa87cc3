/* SPDX-License-Identifier: ISC */
#include "recorded_loss.h"

#include <stdio.h>

#include "acts.h"
#include "numbers.h"
#include "places.h"
#include "split_kind.h"

bool cw_hears_both_coils(const struct cw_setup *setup)
{
    const double *v = setup->value;
    bool one_left = cw_split_acts(setup) && v[CW_P_SPLIT_BY] == CW_SPLIT_TAPPED && v[CW_P_SPLIT_KEEP] == 0.0;
    return v[CW_P_COILS] != CW_COILS_ONE && !one_left;
}

double cw_first_null(const struct cw_setup *setup)
{
    const double *v = setup->value;
    if (!cw_hears_both_coils(setup) || !(v[CW_P_COIL_DISTANCE] > 0.0)) {
        return 0.0;
    }
    return 2.0 * v[CW_P_SCALE_LENGTH] * cw_string_pitch(CW_STRINGS - 1) / (2.0 * v[CW_P_COIL_DISTANCE]);
}

bool cw_recorded_loss(const struct cw_setup *recorded, char *text, size_t size)
{
    char hz[24];
    double null = cw_first_null(recorded);
    if (!(null > 0.0)) {
        return false;
    }
    snprintf(
        text, size,
        "The recording was made through both coils: what fell into their nulls, on the lowest string from %s up, is "
        "lost. To judge a split, record through the coil that will stay.",
        cw_print_hz(null, hz, sizeof hz));
    return true;
}
