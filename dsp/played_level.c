/* SPDX-License-Identifier: ISC */
#include "played_level.h"

#include <math.h>
#include <stddef.h>

#include "acts.h"
#include "circuit.h"

enum { RECORDED, SPLIT, FULL, DONE };

void cw_played_start(struct cw_played_work *work, const struct cw_setup *setup, const struct cw_setup *recorded,
                     bool undoes, const struct cw_learned *learned)
{
    work->setup = *setup;
    work->recorded = *recorded;
    work->undoes = undoes;
    work->learned = learned;
    work->level = work->split = 0.0;
    work->next = cw_split_acts(setup) ? RECORDED : DONE;
}

/* A response, and that of the recording where it is undone, else NULL. */
struct heard {
    const struct cw_transfer *h, *recorded;
};

/* What the recording holds of a frequency is what its own path let through. */
static double power_at(const void *of, double hz)
{
    const struct heard *heard = of;
    const double recorded = heard->recorded ? cw_transfer_power(heard->recorded, hz) : 1.0;
    return recorded > 0.0 ? cw_transfer_power(heard->h, hz) / recorded : 0.0;
}

/* How much louder than the recording what was played is through a drive of the setup, as a power ratio. */
static double loudness_through(const struct cw_played_work *work, enum cw_drive drive)
{
    struct cw_transfer h;
    cw_circuit_transfer(&work->setup, &work->pickup, drive, &h);
    return cw_learned_through(work->learned, power_at, &(struct heard){&h, work->undoes ? &work->rec_h : NULL});
}

static void solve_recorded(struct cw_played_work *work)
{
    if (work->undoes) {
        cw_coil_solve(&work->recorded, &work->pickup);
        cw_circuit_transfer(&work->recorded, &work->pickup, CW_DRIVE_STRING, &work->rec_h);
    }
}

static void compare(struct cw_played_work *work)
{
    const double full = loudness_through(work, CW_DRIVE_UNSPLIT);
    const double db = full > 0.0 ? 10.0 * log10(work->split / full) : 0.0;
    work->level = cw_param_clean(&cw_meter_info[CW_M_LEVEL], db, 0.0);
}

bool cw_played_step(struct cw_played_work *work)
{
    switch (work->next) {
    case RECORDED: solve_recorded(work); break;
    case SPLIT:
        cw_coil_solve(&work->setup, &work->pickup);
        work->split = loudness_through(work, CW_DRIVE_STRING);
        break;
    case FULL: compare(work); break;
    default: return true;
    }
    work->next++;
    return work->next >= DONE;
}
