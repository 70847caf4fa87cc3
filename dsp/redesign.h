/* SPDX-License-Identifier: ISC */
/** \file redesign.h
 * From controls to the sections that are heard, in steps of bounded length: so that a short block of audio does
 * not carry the work of a whole design.
 *
 * Threading class: audio; no allocation, no lock, bounded time.
 */
#ifndef CW_REDESIGN_H
#define CW_REDESIGN_H

#include <stdbool.h>

#include "biquad.h"
#include "coil.h"
#include "digital.h"
#include "limit.h"
#include "match.h"
#include "places.h"
#include "setup.h"
#include "slope.h"
#include "target.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What one step does. */
enum cw_redesign_step {
    CW_REDESIGN_COIL,     /**< of what is to be heard */
    CW_REDESIGN_NETWORK,  /**< about it */
    CW_REDESIGN_REC_COIL, /**< of what the recording contains */
    CW_REDESIGN_REC_NETWORK,
    CW_REDESIGN_TARGET, /**< roots of what is to be heard */
    CW_REDESIGN_DIVIDE, /**< and of its ratio to the recording */
    CW_REDESIGN_MEANS,  /**< what the strings do where the candidate's coils stand */
    CW_REDESIGN_POWER,
    CW_REDESIGN_REC_MEANS, /**< and where the recording's did */
    CW_REDESIGN_REC_POWER,
    CW_REDESIGN_SLOPE,    /**< the slope between them; as often as a gentler one has to be tried */
    CW_REDESIGN_SECTIONS, /**< the digital filter, in steps of its own */
    CW_REDESIGN_DONE
};

/** A design at work. What stands above the line is the caller's to read when it is done. */
struct cw_redesign {
    struct cw_sections design; /**< what is heard; a plain gain where nothing is to be changed */
    double trim;               /**< gain after it, as a factor */
    bool matched;              /**< its level is to be matched */
    /* ---- */
    double rate;
    enum cw_redesign_step next;
    struct cw_controls controls; /**< as they were at the start */
    enum cw_which which;         /**< the candidate heard */
    bool sloped;
    int tries; /**< at a slope */
    struct cw_pickup pickup, rec_pickup;
    struct cw_transfer candidate, recorded;
    double power[CW_PLACE_POINTS], rec_power[CW_PLACE_POINTS];
    struct cw_place_means means[CW_SETUPS]; /**< of the places that a setup last had */
    struct cw_slope slope;
    struct cw_target target;
    enum cw_digital_step digital;
    struct cw_plan plan;
    struct cw_limit limit;
};

/** Prepare for a sample rate, Hz, 8000 to 384000. Nothing is at work. */
void cw_redesign_init(struct cw_redesign *work, double rate);

/** Begin anew with these controls, clean ones; what was at work is dropped. */
void cw_redesign_start(struct cw_redesign *work, const struct cw_controls *controls);

/** Do the next step. \return true when the design is done; nothing is done from then on */
bool cw_redesign_step(struct cw_redesign *work);

#ifdef __cplusplus
}
#endif
#endif
