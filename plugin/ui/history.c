/* SPDX-License-Identifier: ISC */
#include "history.h"

#include <stddef.h>
#include <stdio.h>
#include <string.h>

static int place(const struct cw_history *history, int number)
{
    return (history->first + number) % (CW_HISTORY_STEPS + 1);
}

/* The step that is being made stands after those that are done, in the place of what could be done again only once it
 * has a change. */
static struct cw_step *making(struct cw_history *history) { return &history->step[place(history, history->done)]; }

void cw_history_begin(struct cw_history *history) { history->open = true; }

/* Nothing is in it yet. */
static void empty(struct cw_step *step)
{
    step->count = 0;
    step->swaps = step->sealed = step->text.any = false;
}

/* The step that is being made, of which something is noted: what could be done again ends. */
static struct cw_step *noted(struct cw_history *history)
{
    if (history->count != history->done) {
        empty(making(history));
        history->count = history->done;
    }
    return making(history);
}

void cw_history_note(struct cw_history *history, int port, double before, double after)
{
    if (!history->open || before == after) {
        return;
    }
    struct cw_step *step = noted(history);
    for (int i = 0; i < step->count; i++) {
        if (step->change[i].port == port) {
            step->change[i].after = (float)after;
            return;
        }
    }
    step->change[step->count++] = (struct cw_change){port, (float)before, (float)after};
}

void cw_history_swap(struct cw_history *history)
{
    if (history->open && history->count == history->done) {
        making(history)->swaps = true;
    }
}

void cw_history_seals(struct cw_history *history, const struct cw_seal_texts *before, const struct cw_seal_texts *after)
{
    if (!history->open || cw_seal_texts_same(before, after)) {
        return;
    }
    struct cw_step *step = noted(history);
    step->before = step->sealed ? step->before : *before;
    step->after = *after;
    step->sealed = true;
}

void cw_history_text(struct cw_history *history, enum cw_session_text which, const char *before, const char *after)
{
    if (!history->open || strcmp(before, after) == 0) {
        return;
    }
    struct cw_text_change *text = &noted(history)->text;
    text->any = true;
    text->which = which;
    snprintf(text->before, sizeof text->before, "%s", before);
    snprintf(text->after, sizeof text->after, "%s", after);
}

/* Whether it holds more than values of controls. */
static bool has_words(const struct cw_step *step) { return step->sealed || step->text.any; }

/* A drag that came back to where it began changed nothing. */
static void drop_unchanged(struct cw_step *step)
{
    int kept = 0;
    for (int i = 0; i < step->count; i++) {
        if (step->change[i].before != step->change[i].after) {
            step->change[kept++] = step->change[i];
        }
    }
    step->count = kept;
}

static bool join(struct cw_history *history, const struct cw_step *step)
{
    if (history->done == 0 || step->count != 1 || has_words(step)) {
        return false;
    }
    struct cw_step *last = &history->step[place(history, history->done - 1)];
    if (!last->joins || has_words(last) || last->count != 1 || last->change[0].port != step->change[0].port ||
        last->change[0].after != step->change[0].before || step->time - last->time > CW_HISTORY_JOINED_MS) {
        return false;
    }
    last->change[0].after = step->change[0].after;
    last->time = step->time;
    drop_unchanged(last);
    history->count -= last->count == 0 ? 1 : 0; /* there and back */
    return true;
}

void cw_history_end(struct cw_history *history, uint32_t time, bool joins)
{
    if (!history->open) {
        return;
    }
    history->open = false;
    if (history->count != history->done) { /* nothing was noted: what can be done again stays */
        return;
    }
    struct cw_step *step = making(history);
    drop_unchanged(step);
    step->time = time;
    step->joins = joins;
    bool kept = (step->count > 0 || has_words(step)) && !(joins && join(history, step));
    if (kept && history->count == CW_HISTORY_STEPS) {
        history->first = place(history, 1);
    } else if (kept) {
        history->count++;
    }
    history->done = history->count;
    empty(making(history));
}

const struct cw_step *cw_history_last(const struct cw_history *history)
{
    return history->done > 0 ? &history->step[place(history, history->done - 1)] : NULL;
}

const struct cw_step *cw_history_next(const struct cw_history *history)
{
    return history->done < history->count ? &history->step[place(history, history->done)] : NULL;
}

const struct cw_step *cw_history_undo(struct cw_history *history)
{
    cw_history_end(history, 0, false);
    const struct cw_step *step = cw_history_last(history);
    history->done -= step ? 1 : 0;
    return step;
}

const struct cw_step *cw_history_redo(struct cw_history *history)
{
    cw_history_end(history, 0, false);
    const struct cw_step *step = cw_history_next(history);
    history->done += step ? 1 : 0;
    return step;
}
