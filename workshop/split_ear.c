/* SPDX-License-Identifier: ISC */
#include "split_ear.h"

#include <assert.h>
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

static void see(const struct cw_setup *setup, struct cw_place_means *means, struct cw_audible_seen *seen)
{
    struct placed placed;
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &placed.h);
    cw_place_power_of(setup, means, placed.power);
    cw_audible_see(placed_power, &placed, seen);
}

void cw_split_full_of(const struct cw_setup *full, struct cw_split_full *against)
{
    struct cw_audible_seen seen;
    against->means = (struct cw_place_means){.stand = false};
    see(full, &against->means, &seen);
    cw_audible_levels_seen(&seen, 1, &against->level);
}

void cw_split_ears_of(const struct cw_setup *const setups[], int count, struct cw_split_full *against,
                      struct cw_split_ear ear[])
{
    struct cw_audible_seen seen[2 * CW_SPLIT_EARS];
    double level[2 * CW_SPLIT_EARS][CW_AUDIBLE_BANDS];
    assert(count > 0 && count <= CW_SPLIT_EARS);
    for (int i = 0; i < count; i++) {
        struct cw_setup turned = *setups[i];
        turned.value[CW_P_SPLIT_COIL] = 1.0 - turned.value[CW_P_SPLIT_COIL];
        see(setups[i], &against->means, &seen[2 * i]);
        see(&turned, &against->means, &seen[2 * i + 1]);
    }
    cw_audible_levels_seen(seen, 2 * count, level);
    for (int i = 0; i < count; i++) {
        ear[i].is = cw_audible_of(level[2 * i], against->level);
        ear[i].other = cw_audible_of(level[2 * i + 1], against->level);
    }
}
