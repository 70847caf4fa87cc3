/* SPDX-License-Identifier: ISC */
#include "no_cable.h"

#include "circuit.h"
#include "transfer.h"

struct cw_no_cable cw_no_cable_of(const struct cw_setup *setup, const struct cw_pickup *pickup)
{
    struct cw_setup bare = *setup;
    struct cw_transfer h;
    bare.value[CW_P_CABLE_LENGTH] = 0.0;
    cw_circuit_transfer(&bare, pickup, CW_DRIVE_STRING, &h);
    struct cw_resonance resonance = cw_resonance_of(&bare, &h);
    return (struct cw_no_cable){resonance.hz, cw_peak_of(&h, &resonance)};
}
