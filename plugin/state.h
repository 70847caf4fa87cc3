/* SPDX-License-Identifier: ISC */
/** \file state.h
 * What a session keeps beside the controls: its words, and what level match has learned; as LV2 state.
 *
 * Threading class: as each function says. What run() calls takes no lock; the others do.
 */
#ifndef CW_STATE_H
#define CW_STATE_H

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>

#include <lv2/state/state.h>
#include <lv2/urid/urid.h>

#include "handover.h"
#include "learn.h"
#include "session_text.h"

struct cw_state {
    const LV2_URID_Map *map; /* NULL: the host has none, and keeps no state */
    pthread_mutex_t lock;    /* held by no one for longer than a copy takes; never by run() */
    /* under the lock */
    char text[CW_TEXTS][CW_TEXT_SIZE];
    unsigned text_changes;
    struct cw_learned learned;
    unsigned restored; /* how often it came from outside */
    /* between run() and the others */
    struct cw_handover to_run, from_run;
    _Atomic unsigned touches; /* how often it was changed by other than the host */
    /* run()'s own */
    unsigned taken, told; /* what came from outside, and what was learned, so far */
};

/** Nothing learned, no words. \return false where the system has no lock left. Instantiation class. */
bool cw_state_init(struct cw_state *state, const LV2_Feature *const *features);

/** Instantiation class. */
void cw_state_end(struct cw_state *state);

/** Whether cw_state_take() has something. run() only. */
static inline bool cw_state_any(struct cw_state *state) { return cw_handover_any(&state->to_run); }

/** What was restored since the last call, for the voice to go by; NULL for nothing. run() only. */
const struct cw_learned *cw_state_take(struct cw_state *state);

/** Tell what levels are matched by. Cheap where \p learnings has not changed. run() only. */
void cw_state_tell(struct cw_state *state, unsigned learnings, const struct cw_learned *learned);

/** What the session keeps was changed, and not by the host: it is to be saved. Any thread, run() too. */
void cw_state_touch(struct cw_state *state);

/** How often that was; wraps. Any thread, run() too. */
static inline unsigned cw_state_touches(struct cw_state *state)
{
    return atomic_load_explicit(&state->touches, memory_order_relaxed);
}

/** See instance.h; a text that is set touches. Any thread. */
void cw_state_text(struct cw_state *state, enum cw_session_text which, char text[CW_TEXT_SIZE]);
bool cw_state_set_text(struct cw_state *state, enum cw_session_text which, const char *text);
unsigned cw_state_text_changes(struct cw_state *state);

/** As LV2's state interface has them; any thread, beside run(). */
LV2_State_Status cw_state_save(struct cw_state *state, LV2_State_Store_Function store, LV2_State_Handle handle);
LV2_State_Status cw_state_restore(struct cw_state *state, LV2_State_Retrieve_Function retrieve,
                                  LV2_State_Handle handle);

#endif
