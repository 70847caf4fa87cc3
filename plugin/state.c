/* SPDX-License-Identifier: ISC */
#include "state.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <lv2/atom/atom.h>

#include "learned_bytes.h"
#include "plugin_uri.h"

/* There in every state that this plugin saved. Without it, it is a preset: what is not in it stays as it is. */
static const char FORMAT_KEY[] = CW_PLUGIN_URI "#state_format", LEARNED_KEY[] = CW_PLUGIN_URI "#learned";
static const int32_t FORMAT = 1;

static const uint32_t KEPT_FLAGS = LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE;

bool cw_state_init(struct cw_state *state, const LV2_Feature *const *features)
{
    memset(state, 0, sizeof *state);
    cw_handover_init(&state->to_run);
    cw_handover_init(&state->from_run);
    for (; features && *features; features++) {
        if (strcmp((*features)->URI, LV2_URID__map) == 0) {
            state->map = (*features)->data;
        }
    }
    return pthread_mutex_init(&state->lock, NULL) == 0;
}

void cw_state_end(struct cw_state *state) { pthread_mutex_destroy(&state->lock); }

/* ---- run()'s side ------------------------------------------------------------------------------ */

const struct cw_learned *cw_state_take(struct cw_state *state)
{
    const struct cw_handed *handed = cw_handover_take(&state->to_run);
    if (!handed) {
        return NULL;
    }
    state->taken = handed->after;
    return &handed->learned;
}

void cw_state_tell(struct cw_state *state, unsigned learnings, const struct cw_learned *learned)
{
    if (learnings != state->told) {
        state->told = learnings;
        cw_handover_give(&state->from_run, learned, state->taken);
    }
}

void cw_state_touch(struct cw_state *state) { atomic_fetch_add_explicit(&state->touches, 1, memory_order_relaxed); }

/* ---- the others' side -------------------------------------------------------------------------- */

/* Under the lock. What was learned before run() took over what was restored last is out of date. */
static void catch_up(struct cw_state *state)
{
    const struct cw_handed *handed = cw_handover_take(&state->from_run);
    if (handed && handed->after == state->restored) {
        state->learned = handed->learned;
    }
}

void cw_state_text(struct cw_state *state, enum cw_session_text which, char text[CW_TEXT_SIZE])
{
    pthread_mutex_lock(&state->lock);
    memcpy(text, state->text[which], CW_TEXT_SIZE);
    pthread_mutex_unlock(&state->lock);
}

/* Under the lock. \return whether it is another */
static bool put_text(struct cw_state *state, enum cw_session_text which, const char *text)
{
    const bool other = strcmp(state->text[which], text) != 0;
    if (other) {
        snprintf(state->text[which], CW_TEXT_SIZE, "%s", text);
        state->text_changes++;
    }
    return other;
}

bool cw_state_set_text(struct cw_state *state, enum cw_session_text which, const char *text)
{
    if (!cw_session_text_valid(which, text, strnlen(text, CW_TEXT_SIZE) + 1)) {
        return false;
    }
    pthread_mutex_lock(&state->lock);
    const bool other = put_text(state, which, text);
    pthread_mutex_unlock(&state->lock);
    if (other) {
        cw_state_touch(state);
    }
    return true;
}

unsigned cw_state_text_changes(struct cw_state *state)
{
    pthread_mutex_lock(&state->lock);
    const unsigned changes = state->text_changes;
    pthread_mutex_unlock(&state->lock);
    return changes;
}

/* ---- saved and restored ------------------------------------------------------------------------ */

static LV2_URID urid(const struct cw_state *state, const char *uri) { return state->map->map(state->map->handle, uri); }

static LV2_URID text_urid(const struct cw_state *state, enum cw_session_text which)
{
    char uri[128];
    snprintf(uri, sizeof uri, CW_PLUGIN_URI "#%s", cw_session_text_key(which));
    return urid(state, uri);
}

static LV2_State_Status save_texts(struct cw_state *state, LV2_State_Store_Function store, LV2_State_Handle handle)
{
    const LV2_URID string = urid(state, LV2_ATOM__String);
    for (int i = 0; i < CW_TEXTS; i++) {
        char text[CW_TEXT_SIZE];
        cw_state_text(state, (enum cw_session_text)i, text);
        LV2_State_Status status = text[0] ? store(handle, text_urid(state, (enum cw_session_text)i), text,
                                                  strlen(text) + 1, string, KEPT_FLAGS)
                                          : LV2_STATE_SUCCESS;
        if (status != LV2_STATE_SUCCESS) {
            return status;
        }
    }
    return LV2_STATE_SUCCESS;
}

static LV2_State_Status save_learned(struct cw_state *state, LV2_State_Store_Function store, LV2_State_Handle handle)
{
    uint8_t bytes[CW_LEARNED_BYTES];
    pthread_mutex_lock(&state->lock);
    catch_up(state);
    const size_t size = cw_learned_to_bytes(&state->learned, bytes);
    const bool any = state->learned.count > 0;
    pthread_mutex_unlock(&state->lock);
    return any ? store(handle, urid(state, LEARNED_KEY), bytes, size, urid(state, LV2_ATOM__Chunk), KEPT_FLAGS)
               : LV2_STATE_SUCCESS;
}

LV2_State_Status cw_state_save(struct cw_state *state, LV2_State_Store_Function store, LV2_State_Handle handle)
{
    if (!state->map) {
        return LV2_STATE_ERR_NO_FEATURE;
    }
    LV2_State_Status status =
        store(handle, urid(state, FORMAT_KEY), &FORMAT, sizeof FORMAT, urid(state, LV2_ATOM__Int), KEPT_FLAGS);
    status = status == LV2_STATE_SUCCESS ? save_texts(state, store, handle) : status;
    return status == LV2_STATE_SUCCESS ? save_learned(state, store, handle) : status;
}

/* A property of a session's state. */
struct found {
    const void *value; /* NULL where it is not there */
    size_t size;
    bool right_type;
};

static struct found find(const struct cw_state *state, LV2_State_Retrieve_Function retrieve, LV2_State_Handle handle,
                         LV2_URID key, const char *type)
{
    uint32_t type_found = 0, flags = 0;
    struct found found = {NULL, 0, false};
    found.value = retrieve(handle, key, &found.size, &type_found, &flags);
    found.right_type = found.value && type_found == urid(state, type);
    return found;
}

/* Bit 1 << which of the setups that a text names: a preset that names one and says nothing of a seal sets another
 * design there. */
static unsigned names(enum cw_session_text which) { return which <= CW_TEXT_B ? 1u << which : 0u; }

static bool is_seal_of(enum cw_session_text which, unsigned named)
{
    return which >= CW_TEXT_SEAL_RECORDED && which <= CW_TEXT_SEAL_B && named & 1u << (which - CW_TEXT_SEAL_RECORDED);
}

/* A text that cannot stand there counts as none. \return whether all were right */
static bool restore_texts(struct cw_state *state, LV2_State_Retrieve_Function retrieve, LV2_State_Handle handle,
                          bool ours)
{
    bool right = true;
    unsigned named = 0;
    for (int i = 0; i < CW_TEXTS; i++) {
        const enum cw_session_text which = (enum cw_session_text)i;
        const struct found found = find(state, retrieve, handle, text_urid(state, which), LV2_ATOM__String);
        const bool valid = found.right_type && cw_session_text_valid(which, found.value, found.size);
        right = right && (valid || !found.value);
        named |= valid ? names(which) : 0u;
        if (valid || ours || is_seal_of(which, named)) {
            pthread_mutex_lock(&state->lock);
            put_text(state, which, valid ? found.value : "");
            pthread_mutex_unlock(&state->lock);
        }
    }
    return right;
}

static bool restore_learned(struct cw_state *state, LV2_State_Retrieve_Function retrieve, LV2_State_Handle handle,
                            bool ours)
{
    static const struct cw_learned nothing;
    struct cw_learned learned;
    const struct found found = find(state, retrieve, handle, urid(state, LEARNED_KEY), LV2_ATOM__Chunk);
    const bool valid = found.right_type && cw_learned_of_bytes(found.value, found.size, &learned);
    if (valid || ours) {
        pthread_mutex_lock(&state->lock);
        state->learned = valid ? learned : nothing;
        state->restored++;
        cw_handover_give(&state->to_run, &state->learned, state->restored);
        pthread_mutex_unlock(&state->lock);
    }
    return valid || !found.value;
}

LV2_State_Status cw_state_restore(struct cw_state *state, LV2_State_Retrieve_Function retrieve, LV2_State_Handle handle)
{
    if (!state->map) {
        return LV2_STATE_ERR_NO_FEATURE;
    }
    const struct found format = find(state, retrieve, handle, urid(state, FORMAT_KEY), LV2_ATOM__Int);
    const bool ours = format.right_type && format.size == sizeof FORMAT;
    bool right = ours || !format.value;
    right = restore_texts(state, retrieve, handle, ours) && right;
    right = restore_learned(state, retrieve, handle, ours) && right;
    return right ? LV2_STATE_SUCCESS : LV2_STATE_ERR_BAD_TYPE;
}
