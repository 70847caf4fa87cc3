/* SPDX-License-Identifier: ISC */
#include "redesign.h"

#include <math.h>
#include <string.h>

#include "circuit.h"

void cw_redesign_init(struct cw_redesign *work, double rate)
{
    memset(work, 0, sizeof *work);
    work->rate = rate;
    work->next = CW_REDESIGN_DONE;
}

static bool undoes(const struct cw_redesign *work) { return work->controls.global[CW_G_UNDO_RECORDING] > 0.0; }

static bool has_places(const struct cw_redesign *work)
{
    return undoes(work) && work->controls.global[CW_G_STRING_PLACES] > 0.0;
}

void cw_redesign_start(struct cw_redesign *work, const struct cw_controls *controls)
{
    int listen = (int)controls->global[CW_G_LISTEN];
    work->controls = *controls;
    work->which = listen == CW_LISTEN_A ? CW_A : CW_B;
    work->sloped = work->matched = false;
    work->tries = 0;
    work->digital = CW_DIGITAL_MATCH;
    memset(&work->design, 0, sizeof work->design);
    work->design.gain = work->design.top = 1.0;
    bool enabled = controls->global[CW_G_ENABLED] > 0.0;
    work->trim = enabled ? pow(10.0, 0.05 * controls->global[CW_G_TRIM]) : 1.0;
    work->next = enabled && listen != CW_LISTEN_RECORDED ? CW_REDESIGN_COIL : CW_REDESIGN_DONE;
}

/* A first try says whether there is anything to put in. */
static enum cw_redesign_step slope_step(struct cw_redesign *work)
{
    if (work->tries == 0 && !cw_place_change(work->power, work->rec_power, work->power)) {
        return CW_REDESIGN_SECTIONS;
    }
    work->sloped = cw_slope_try(work->power, work->rate, work->tries, &work->slope);
    work->tries++;
    return work->sloped || work->tries == CW_SLOPE_TRIES ? CW_REDESIGN_SECTIONS : CW_REDESIGN_SLOPE;
}

static enum cw_redesign_step sections_step(struct cw_redesign *work)
{
    const struct cw_slope *slope = work->sloped ? &work->slope : NULL;
    work->digital = cw_digital_do(work->digital, &work->target, slope, work->rate,
                                  work->controls.global[CW_G_BOOST_LIMIT], &work->plan, &work->limit, &work->design);
    if (work->digital != CW_DIGITAL_DONE) {
        return CW_REDESIGN_SECTIONS;
    }
    work->matched = work->controls.global[CW_G_LEVEL_MATCH] > 0.0;
    return CW_REDESIGN_DONE;
}

/* A silent candidate is a silent filter, and there is no more to do. */
static enum cw_redesign_step silence(struct cw_redesign *work)
{
    memset(&work->design, 0, sizeof work->design);
    work->design.silent = true;
    return CW_REDESIGN_DONE;
}

static enum cw_redesign_step target_step(struct cw_redesign *work)
{
    if (!cw_target_begin(&work->candidate, &work->target)) {
        return silence(work);
    }
    return undoes(work) ? CW_REDESIGN_DIVIDE : CW_REDESIGN_SECTIONS;
}

static enum cw_redesign_step divide_step(struct cw_redesign *work)
{
    if (!cw_target_divide(&work->recorded, &work->target)) {
        return silence(work);
    }
    return has_places(work) ? CW_REDESIGN_MEANS : CW_REDESIGN_SECTIONS;
}

bool cw_redesign_step(struct cw_redesign *work)
{
    const struct cw_setup *candidate = &work->controls.setup[work->which], *recorded = &work->controls.setup[CW_REC];
    switch (work->next) {
    case CW_REDESIGN_COIL:
        cw_coil_solve(candidate, &work->pickup);
        work->next = CW_REDESIGN_NETWORK;
        break;
    case CW_REDESIGN_NETWORK:
        cw_circuit_transfer(candidate, &work->pickup, CW_DRIVE_STRING, &work->candidate);
        work->next = undoes(work) ? CW_REDESIGN_REC_COIL : CW_REDESIGN_TARGET;
        break;
    case CW_REDESIGN_REC_COIL:
        cw_coil_solve(recorded, &work->rec_pickup);
        work->next = CW_REDESIGN_REC_NETWORK;
        break;
    case CW_REDESIGN_REC_NETWORK:
        cw_circuit_transfer(recorded, &work->rec_pickup, CW_DRIVE_STRING, &work->recorded);
        work->next = CW_REDESIGN_TARGET;
        break;
    case CW_REDESIGN_TARGET: work->next = target_step(work); break;
    case CW_REDESIGN_DIVIDE: work->next = divide_step(work); break;
    case CW_REDESIGN_MEANS:
        cw_place_means_at(candidate, &work->means[work->which]);
        work->next = CW_REDESIGN_POWER;
        break;
    case CW_REDESIGN_POWER:
        cw_place_power(candidate, &work->pickup, &work->means[work->which], work->power);
        work->next = CW_REDESIGN_REC_MEANS;
        break;
    case CW_REDESIGN_REC_MEANS:
        cw_place_means_at(recorded, &work->means[CW_REC]);
        work->next = CW_REDESIGN_REC_POWER;
        break;
    case CW_REDESIGN_REC_POWER:
        cw_place_power(recorded, &work->rec_pickup, &work->means[CW_REC], work->rec_power);
        work->next = CW_REDESIGN_SLOPE;
        break;
    case CW_REDESIGN_SLOPE: work->next = slope_step(work); break;
    case CW_REDESIGN_SECTIONS: work->next = sections_step(work); break;
    case CW_REDESIGN_DONE:
    default: break;
    }
    return work->next == CW_REDESIGN_DONE;
}
