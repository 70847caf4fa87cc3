/* SPDX-License-Identifier: ISC */
/** \file history.h
 * What the user changed, step by step, to be taken back and done again.
 *
 * A step is all that one gesture changed: a drag, a copy of every control, a run of wheel steps on
 * one control. What the host changes is in no step: taking one back touches only the ports that the
 * user moved.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_HISTORY_H
#define CW_UI_HISTORY_H

#include <stdbool.h>
#include <stdint.h>

#include "seals.h"
#include "session_text.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_HISTORY_STEPS = 64,       /**< steps that are kept; the oldest go first */
    CW_HISTORY_JOINED_MS = 1000, /**< steps of a wheel or an arrow key this near are one */
    CW_HISTORY_CHANGES = CW_PORT_METER
};

struct cw_change {
    int port;
    float before, after;
};

/** A text that was typed. */
struct cw_text_change {
    bool any;
    enum cw_session_text which;
    char before[CW_TEXT_SIZE], after[CW_TEXT_SIZE];
};

struct cw_step {
    int count;
    uint32_t time; /**< when it was last added to, ms; wraps */
    bool swaps;    /**< A and B changed names as well */
    bool joins;    /**< one of a run of small steps */
    bool sealed;   /**< seals were carried along: what they were, and became */
    struct cw_seal_texts before, after;
    struct cw_text_change text;
    struct cw_change change[CW_HISTORY_CHANGES]; /**< in the order of the first change of each port */
};

/** All zero: nothing happened yet. */
struct cw_history {
    struct cw_step step[CW_HISTORY_STEPS + 1]; /**< a ring; one place is for the step that is being made */
    int first;                                 /**< oldest step */
    int count;                                 /**< steps that are kept */
    int done;                                  /**< of them not taken back; the next step begins after them */
    bool open;
};

/** Begin a step; one that is open goes on. */
void cw_history_begin(struct cw_history *history);

/** A port went from one value to another; passed over where no step is open. */
void cw_history_note(struct cw_history *history, int port, double before, double after);

/** A and B changed names in the step that is open; with no change beside it, it leaves no trace. */
void cw_history_swap(struct cw_history *history);

/** Seals were carried along in the step that is open. */
void cw_history_seals(struct cw_history *history, const struct cw_seal_texts *before,
                      const struct cw_seal_texts *after);

/** A text was typed in the step that is open. */
void cw_history_text(struct cw_history *history, enum cw_session_text which, const char *before, const char *after);

/** End the step. One that changed nothing leaves no trace; another ends what could be done again.
 * \param time  ms, of any clock that may wrap
 * \param joins it is one of a run of small steps, and joins the last where that was one on the same port */
void cw_history_end(struct cw_history *history, uint32_t time, bool joins);

/** The step that would be taken back, and the one that would be done again; NULL where there is none. */
const struct cw_step *cw_history_last(const struct cw_history *history);
const struct cw_step *cw_history_next(const struct cw_history *history);

/** Go one step back or forth, and tell which it was; the caller moves the ports. An open step is ended first. NULL
 * where there is none. */
const struct cw_step *cw_history_undo(struct cw_history *history);
const struct cw_step *cw_history_redo(struct cw_history *history);

#ifdef __cplusplus
}
#endif
#endif
