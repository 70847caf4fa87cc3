/* SPDX-License-Identifier: ISC */
#include "view_edit.h"

#include <stdio.h>
#include <string.h>

#include "control.h"
#include "layout.h"
#include "model.h"
#include "names.h"
#include "quantity.h"
#include "view_change.h"
#include "view_items.h"
#include "view_state.h"
#include "history.h"
#include "session_text.h"
#include "setup.h"

/* Bytes of a value as it is typed. */
enum { VALUE_SIZE = 96 };

/* Names stand under what is heard, job and notes in boxes of their own: the id of either is that of the text. */
static bool is_words(enum cw_item_kind kind) { return kind == CW_ITEM_LISTEN || kind == CW_ITEM_WORDS; }

void cw_view_edit(struct cw_view *view, struct cw_ref what, const char *first)
{
    cw_view_attend(view, what);
    view->edit.what = what;
    view->edit.why[0] = '\0';
    view->edit.fresh = first[0] == '\0';
    if (is_words(what.kind)) { /* notes grow: one letter does not replace them */
        view->edit.fresh = what.id != CW_TEXT_NOTES;
        snprintf(view->edit.text, sizeof view->edit.text, "%s", view->names.text[what.id]);
    } else if (view->edit.fresh) {
        cw_control_print(cw_control_info(what.id), cw_model_value(&view->model, what.id), view->edit.text,
                         sizeof view->edit.text);
    } else {
        snprintf(view->edit.text, sizeof view->edit.text, "%s", first);
    }
    cw_view_redraw_all(view);
}

void cw_view_end_edit(struct cw_view *view)
{
    view->edit.what = cw_no_ref;
    view->edit.why[0] = '\0';
    cw_view_redraw_all(view);
}

/* Returns false where the text cannot stand there: it stays, with what is wrong. */
static bool take_words(struct cw_view *view)
{
    const enum cw_session_text which = (enum cw_session_text)view->edit.what.id;
    char before[CW_TEXT_SIZE];
    memcpy(before, view->names.text[which], sizeof before);
    const char *why = view->edit.fresh ? NULL : cw_names_set(&view->names, which, view->edit.text);
    if (why) {
        snprintf(view->edit.why, sizeof view->edit.why, "%s", why);
        cw_view_redraw_all(view);
        return false;
    }
    cw_history_text(&view->history, which, before, view->names.text[which]);
    cw_view_end_edit(view);
    return true;
}

bool cw_view_take_edit(struct cw_view *view)
{
    double value;
    int port = view->edit.what.id;
    if (is_words(view->edit.what.kind)) {
        return take_words(view);
    }
    if (!view->edit.fresh) {
        if (!cw_value_parse(cw_control_info(port), view->edit.text, &value, view->edit.why)) {
            cw_view_redraw_all(view);
            return false;
        }
        cw_view_set_at_once(view, port, value);
    }
    cw_view_end_edit(view);
    return true;
}

static void type(struct cw_view *view, const char *text)
{
    if (view->edit.fresh) {
        view->edit.text[0] = '\0';
        view->edit.fresh = false;
    }
    const size_t room =
        is_words(view->edit.what.kind) ? cw_session_text_size((enum cw_session_text)view->edit.what.id) : VALUE_SIZE;
    if (strlen(view->edit.text) + strlen(text) < room) {
        strcat(view->edit.text, text);
    }
    cw_view_redraw_all(view);
}

static void delete_last(struct cw_view *view)
{
    size_t length = view->edit.fresh ? 0 : strlen(view->edit.text);
    while (length > 0 && ((unsigned char)view->edit.text[--length] & 0xc0) == 0x80) {
    }
    view->edit.text[length] = '\0';
    view->edit.fresh = false;
    cw_view_redraw_all(view);
}

bool cw_view_edit_key(struct cw_view *view, const struct cw_event *event)
{
    switch (event->key) {
    case CW_KEY_TEXT: type(view, event->text); return true;
    case CW_KEY_BACKSPACE:
    case CW_KEY_DELETE: delete_last(view); return true;
    case CW_KEY_ENTER:
        if (event->fine && view->edit.what.kind == CW_ITEM_WORDS && view->edit.what.id == CW_TEXT_NOTES) {
            type(view, "\n");
        } else {
            cw_view_take_edit(view);
        }
        return true;
    case CW_KEY_ESCAPE: cw_view_end_edit(view); return true;
    default: return false;
    }
}
