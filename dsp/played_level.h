/* SPDX-License-Identifier: ISC */
/** \file played_level.h
 * The level of a split against the full pickup by what was played, as level match weighs it: the network alone, as in
 * the level of figures.h.
 *
 * Threading class: pure, any thread, audio included; bounded time.
 */
#ifndef CW_PLAYED_LEVEL_H
#define CW_PLAYED_LEVEL_H

#include <stdbool.h>

#include "coil.h"
#include "learn.h"
#include "setup.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** In steps of bounded length. */
struct cw_played_work {
    double level; /**< dB, within the meter's range; to be read when the last step is done */
    /* ---- */
    int next; /**< step */
    struct cw_setup setup, recorded;
    bool undoes;
    const struct cw_learned *learned;
    struct cw_pickup pickup;
    struct cw_transfer rec_h;
    double split; /**< loudness as set */
};

/** Begin with a setup of clean values; what was at work is dropped.
 * \param undoes  the response of the recorded-through setup is divided out of what was played
 * \param learned kept, not owned; enough to go by (cw_learned_enough()) */
void cw_played_start(struct cw_played_work *work, const struct cw_setup *setup, const struct cw_setup *recorded,
                     bool undoes, const struct cw_learned *learned);

/** Do the next step. \return true when it was the last one */
bool cw_played_step(struct cw_played_work *work);

#ifdef __cplusplus
}
#endif
#endif
