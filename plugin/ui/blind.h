/* SPDX-License-Identifier: ISC */
/** \file blind.h
 * A blind choice between A and B: they stand behind X and Y, drawn anew for each trial, and the count is told when
 * the trials are done that were chosen before.
 *
 * Between trials the recording is heard, so that no trial tells of the one before by whether the sound changes.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_BLIND_H
#define CW_UI_BLIND_H

#include <stdbool.h>
#include <stddef.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum cw_blind_state {
    CW_BLIND_OFF,
    CW_BLIND_SETTING_OUT, /**< how many trials? */
    CW_BLIND_DRAWING,     /**< waits for cw_blind_draw() */
    CW_BLIND_TRIAL,
    CW_BLIND_DONE
};

/** What can be pressed. */
enum cw_blind_button {
    CW_BLIND_BEGIN, /**< outside: the blind choice begins */
    CW_BLIND_8,     /**< numbers of trials */
    CW_BLIND_12,
    CW_BLIND_16,
    CW_BLIND_24,
    CW_BLIND_OPEN, /**< until the listener stops: told as evidence */
    CW_BLIND_X,
    CW_BLIND_Y,
    CW_BLIND_PREFER_X,
    CW_BLIND_PREFER_Y,
    CW_BLIND_END,
    CW_BLIND_BUTTONS
};

struct cw_blind {
    enum cw_blind_state state;
    int trials; /**< chosen before; 0 until the listener stops */
    int done;   /**< trials answered */
    int for_a;  /**< of them for A */
    bool x_is_b;
    int spoilt;            /**< trials that the host upset: not counted, drawn anew */
    bool heard_x, heard_y; /**< heard in this trial: a choice wants both */
    enum cw_listen listen; /**< what is to be heard now */
};

/** Whether A and B are to be hidden. */
bool cw_blind_hides(const struct cw_blind *blind);

/** The question is put how many trials there shall be. */
void cw_blind_begin(struct cw_blind *blind);

/** A button. What is not offered in this state does nothing. \return whether something changed */
bool cw_blind_press(struct cw_blind *blind, enum cw_blind_button button);

/** Whether a button is offered now, and can be pressed. */
bool cw_blind_offers(const struct cw_blind *blind, enum cw_blind_button button);
bool cw_blind_can(const struct cw_blind *blind, enum cw_blind_button button);

/** What was drawn for the next trial, in CW_BLIND_DRAWING; from a source that nobody can foresee. */
void cw_blind_draw(struct cw_blind *blind, bool x_is_b);

/** The host changed what is heard, or what is compared: the trial does not count, and is drawn anew.
 * \return whether a trial was on */
bool cw_blind_spoil(struct cw_blind *blind);

/** Evidence that one of the two is preferred, whichever: the mean of that for A and that for B, so that its mean is 1
 * for one who chooses by chance, whenever he stops. */
double cw_blind_evidence(const struct cw_blind *blind);

/** How far the trials are, without a word on how they went. */
void cw_blind_progress(const struct cw_blind *blind, char *text, size_t size);

/** How they went, in two lines; in CW_BLIND_DONE. */
void cw_blind_result(const struct cw_blind *blind, char *text, char *meaning, size_t size);

#ifdef __cplusplus
}
#endif
#endif
