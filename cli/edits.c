/* SPDX-License-Identifier: ISC */
#include "edits.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "message.h"
#include "near.h"
#include "quantity.h"

static void say(char *why, size_t size, const char *format, const char *found) { snprintf(why, size, format, found); }

/* Where the symbol of a change belongs: with a prefix or a global's name as in the table, without
 * a prefix on any side. */
static bool find_edit(const char *symbol, struct cw_edit *edit, const struct cw_param_info **info)
{
    struct cw_place place = cw_place_find(symbol);
    *edit = (struct cw_edit){.global = place.global, .which = place.which, .index = place.index};
    if (!place.found) {
        edit->any_side = true;
        edit->index = cw_param_find(symbol);
    }
    if (edit->index < 0) {
        return false;
    }
    *info = edit->global ? &cw_global_info[edit->index] : &cw_param_info[edit->index];
    return true;
}

/* A symbol that is none, with the one that was perhaps meant. */
static void refuse_symbol(const char *symbol, char *why, size_t size)
{
    struct cw_nearest nearest = {0};
    for (int i = 0; i < CW_PARAMS; i++) {
        cw_nearest_try(&nearest, symbol, cw_param_info[i].symbol);
    }
    for (int i = 0; i < CW_GLOBALS; i++) {
        cw_nearest_try(&nearest, symbol, cw_global_info[i].symbol);
    }
    if (nearest.word) {
        snprintf(why, size, "expected the symbol of a control, found '%s': did you mean '%s'?", symbol, nearest.word);
    } else {
        say(why, size, "expected the symbol of a control such as cable_length, found '%s'", symbol);
    }
}

bool cw_edits_add(struct cw_edits *edits, const char *text, char *why, size_t why_size)
{
    char symbol[64];
    const char *equals = strchr(text, '=');
    if (!equals || equals == text || (size_t)(equals - text) >= sizeof symbol) {
        say(why, why_size, "expected SYMBOL=VALUE, found '%.64s'", text);
        return false;
    }
    memcpy(symbol, text, (size_t)(equals - text));
    symbol[equals - text] = '\0';
    for (char *c = symbol; *c; c++) {
        *c = *c == '-' ? '_' : *c;
    }
    struct cw_edit edit;
    const struct cw_param_info *info;
    if (!find_edit(symbol, &edit, &info)) {
        refuse_symbol(symbol, why, why_size);
        return false;
    }
    char reason[CW_WHY_SIZE];
    if (!cw_value_parse(info, equals + 1, &edit.value, reason)) {
        snprintf(why, why_size, "%s: %s", symbol, reason);
        return false;
    }
    char note[100];
    if (cw_value_note(info, equals + 1, edit.value, note, sizeof note)) {
        cw_error("%s: %s", symbol, note);
    }
    struct cw_edit *item = realloc(edits->item, (edits->count + 1) * sizeof *item);
    if (!item) {
        say(why, why_size, "%s", "out of memory");
        return false;
    }
    edits->item = item;
    edits->item[edits->count++] = edit;
    return true;
}

void cw_edits_free(struct cw_edits *edits)
{
    free(edits->item);
    memset(edits, 0, sizeof *edits);
}

static bool reaches(const struct cw_edit *edit, unsigned at)
{
    return !edit->global && (at & (edit->any_side ? CW_AS_CANDIDATE : 1u << edit->which));
}

void cw_edits_apply(const struct cw_edits *edits, unsigned at, struct cw_setup *setup)
{
    for (size_t i = 0; edits && i < edits->count; i++) {
        const struct cw_edit *edit = &edits->item[i];
        if (reaches(edit, at)) {
            setup->value[edit->index] = edit->value;
        }
    }
}

void cw_edits_mark(const struct cw_edits *edits, unsigned at, bool set[CW_PARAMS])
{
    for (size_t i = 0; edits && i < edits->count; i++) {
        if (reaches(&edits->item[i], at)) {
            set[edits->item[i].index] = true;
        }
    }
}

/* The change that would let it act, as --set takes it; NULL where that is more than one. */
static const char *remedy(enum cw_idle why)
{
    static const char *const change[CW_IDLES] = {
        [CW_IDLE_WOUND] = "'coil_from=measured values'", [CW_IDLE_MEASURED] = "coil_from=winding",
        [CW_IDLE_NOT_SERIES] = "'coils=two in series'",  [CW_IDLE_SPLIT_OFF] = "split=on",
        [CW_IDLE_NO_BLEED] = "bleed_cap=1000",
    };
    return change[why];
}

enum cw_idle cw_edits_name_idle(const struct cw_edits *edits, unsigned at, const char *name,
                                const struct cw_setup *setup)
{
    enum cw_idle all = CW_ACTS;
    size_t count = 0, idle = 0;
    for (size_t i = 0; edits && i < edits->count; i++) {
        const struct cw_edit *edit = &edits->item[i];
        enum cw_param_id id = (enum cw_param_id)edit->index;
        if (!reaches(edit, at)) {
            continue;
        }
        enum cw_idle why = cw_param_idle(setup, id);
        count++;
        if (why != CW_ACTS) {
            const char *change = remedy(why);
            cw_error_at(name, 0, "%s does nothing here: %s%s%s%s", cw_param_info[id].symbol, cw_idle_words(why),
                        change ? " (--set " : "", change ? change : "", change ? " changes that)" : "");
            all = idle++ == 0 ? why : all;
        }
    }
    return idle == count ? all : CW_ACTS;
}

bool cw_edits_name_lost(const struct cw_edits *edits, unsigned at)
{
    bool lost = false;
    for (size_t i = 0; i < edits->count; i++) {
        const struct cw_edit *edit = &edits->item[i];
        if (edit->global || reaches(edit, at)) {
            continue;
        }
        lost = true;
        if (edit->which == CW_REC) {
            cw_error("rec_%s changes nothing here: no recorded-through setup is divided out",
                     cw_param_info[edit->index].symbol);
        } else {
            cw_error("%s%s changes nothing here: no candidate stands on side %s", cw_setup_prefix[edit->which],
                     cw_param_info[edit->index].symbol, edit->which == CW_A ? "A" : "B");
        }
    }
    return !lost;
}

void cw_edits_apply_globals(const struct cw_edits *edits, double global[CW_GLOBALS])
{
    for (size_t i = 0; edits && i < edits->count; i++) {
        if (edits->item[i].global) {
            global[edits->item[i].index] = edits->item[i].value;
        }
    }
}
