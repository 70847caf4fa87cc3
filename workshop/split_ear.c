/* SPDX-License-Identifier: ISC */
#include "split_ear.h"

#include <math.h>

#include "circuit.h"
#include "coil.h"
#include "transfer.h"

/* What a setup lets through under the strings. */
struct placed {
    struct cw_transfer h;
    double power[CW_PLACE_POINTS]; /* over |h|^2 */
};

static double placed_power(const void *of, double hz)
{
    const struct placed *placed = of;
    double step = fmin(fmax(log2(hz / cw_place_hz(0)) * CW_PLACE_STEPS, 0.0), CW_PLACE_POINTS - 1.0);
    int low = (int)fmin(step, CW_PLACE_POINTS - 2.0);
    double share = step - low;
    return cw_transfer_power(&placed->h, hz) * ((1.0 - share) * placed->power[low] + share * placed->power[low + 1]);
}

static void levels_of(const struct cw_setup *setup, struct cw_place_means *means, double level[CW_AUDIBLE_BANDS])
{
    struct placed placed;
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &placed.h);
    cw_place_power_of(setup, means, placed.power);
    cw_audible_levels_of(placed_power, &placed, level);
}

void cw_split_full_of(const struct cw_setup *full, struct cw_split_full *against)
{
    against->means = (struct cw_place_means){.parts = 0};
    levels_of(full, &against->means, against->level);
}

void cw_split_ear_of(const struct cw_setup *setup, struct cw_split_full *against, struct cw_split_ear *ear)
{
    struct cw_setup turned = *setup;
    double level[CW_AUDIBLE_BANDS];
    turned.value[CW_P_SPLIT_COIL] = 1.0 - setup->value[CW_P_SPLIT_COIL];
    levels_of(setup, &against->means, level);
    ear->is = cw_audible_of(level, against->level);
    levels_of(&turned, &against->means, level);
    ear->other = cw_audible_of(level, against->level);
}
