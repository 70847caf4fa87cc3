/* SPDX-License-Identifier: ISC */
#include "candidate.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "escape.h"
#include "message.h"
#include "preset_load.h"
#include "near.h"
#include "quantity.h"
#include "turtle.h"

void cw_candidate_free(struct cw_candidate *candidate)
{
    free(candidate->label);
    free(candidate->source);
    memset(candidate, 0, sizeof *candidate);
}

void cw_candidates_free(struct cw_candidates *list)
{
    for (size_t i = 0; i < list->count; i++) {
        cw_candidate_free(&list->item[i]);
    }
    free(list->item);
    memset(list, 0, sizeof *list);
}

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

static bool reaches(const struct cw_edit *edit, enum cw_which side)
{
    return !edit->global && (edit->any_side ? side != CW_REC : edit->which == side);
}

void cw_edits_apply(const struct cw_edits *edits, enum cw_which side, struct cw_setup *setup)
{
    for (size_t i = 0; edits && i < edits->count; i++) {
        const struct cw_edit *edit = &edits->item[i];
        if (reaches(edit, side)) {
            setup->value[edit->index] = edit->value;
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

enum cw_idle cw_edits_name_idle(const struct cw_edits *edits, enum cw_which side, const char *name,
                                const struct cw_setup *setup)
{
    enum cw_idle all = CW_ACTS;
    size_t count = 0, idle = 0;
    for (size_t i = 0; edits && i < edits->count; i++) {
        const struct cw_edit *edit = &edits->item[i];
        enum cw_param_id id = (enum cw_param_id)edit->index;
        if (!reaches(edit, side)) {
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

void cw_edits_apply_globals(const struct cw_edits *edits, double global[CW_GLOBALS])
{
    for (size_t i = 0; edits && i < edits->count; i++) {
        if (edits->item[i].global) {
            global[edits->item[i].index] = edits->item[i].value;
        }
    }
}

/* The name of a side after '#'. */
static bool side_of(const char *text, enum cw_which *side)
{
    static const char *const names[CW_SETUPS] = {[CW_REC] = "rec", [CW_A] = "a", [CW_B] = "b"};
    for (int i = 0; i < CW_SETUPS; i++) {
        if (strcmp(text, names[i]) == 0) {
            *side = (enum cw_which)i;
            return true;
        }
    }
    return false;
}

/* A name on the command line: a path and perhaps a side. */
struct named {
    char *path;
    bool has_side;
    enum cw_which side;
};

static bool split_name(const char *name, struct named *named)
{
    *named = (struct named){.path = strdup(name)};
    if (!named->path) {
        cw_error_memory();
        return false;
    }
    char *hash = strrchr(named->path, '#');
    if (!hash || access(name, F_OK) == 0) {
        return true;
    }
    if (!side_of(hash + 1, &named->side)) {
        cw_error_at(name, 0, "expected #a, #b or #rec after the file's name, found '#%s'", hash + 1);
        free(named->path);
        return false;
    }
    named->has_side = true;
    *hash = '\0';
    return true;
}

/* Of a label that something is added to. */
enum { OWN_BYTES = CW_LABEL_BYTES_MAX - 28 };

/* How A and B of a comparison are told apart: by what differs, where that is one thing. */
static void side_label(const struct cw_file *file, enum cw_which side, char *label, size_t size)
{
    int differs = -1, count = 0;
    for (int i = 0; i < CW_PARAMS; i++) {
        if (file->controls.setup[CW_A].value[i] != file->controls.setup[CW_B].value[i]) {
            differs = i;
            count++;
        }
    }
    const char *letter = side == CW_A ? "A" : "B";
    if (count != 1) {
        char own[OWN_BYTES];
        snprintf(label, size, "%s, %s", cw_text_fit(file->label, own, sizeof own), letter);
        return;
    }
    char value[64];
    const struct cw_param_info *info = &cw_param_info[differs];
    cw_value_print(info, file->controls.setup[side].value[differs], value, sizeof value);
    snprintf(label, size, "%s: %s %s", letter, info->name, value);
}

static bool make_candidate(const struct cw_file *file, const char *name, enum cw_which side,
                           const struct cw_edits *edits, struct cw_candidate *candidate)
{
    char label[CW_LABEL_BYTES_MAX + 1], own[OWN_BYTES];
    if (file->sets[CW_A] && file->sets[CW_B] && side != CW_REC) {
        side_label(file, side, label, sizeof label);
    } else if (side == CW_REC && (file->sets[CW_A] || file->sets[CW_B])) {
        snprintf(label, sizeof label, "%s, recorded through", cw_text_fit(file->label, own, sizeof own));
    } else {
        cw_text_fit(file->label, label, sizeof label);
    }
    candidate->setup = file->controls.setup[side];
    cw_edits_apply(edits, side, &candidate->setup);
    cw_edits_name_idle(edits, side, name, &candidate->setup);
    candidate->label = strdup(label);
    candidate->source = strdup(name);
    if (candidate->label && candidate->source) {
        return true;
    }
    cw_candidate_free(candidate);
    cw_error_memory();
    return false;
}

static bool append(struct cw_candidates *list, const struct cw_file *file, const char *name, enum cw_which side,
                   const struct cw_edits *edits)
{
    if (list->count == CW_CANDIDATES_MAX) {
        cw_error_at(name, 0, "expected at most %d candidates, found more", CW_CANDIDATES_MAX);
        return false;
    }
    struct cw_candidate *item = realloc(list->item, (list->count + 1) * sizeof *item);
    if (!item) {
        cw_error_memory();
        return false;
    }
    list->item = item;
    item[list->count] = (struct cw_candidate){.idle = CW_ACTS};
    if (!make_candidate(file, name, side, edits, &list->item[list->count])) {
        return false;
    }
    list->count++;
    return true;
}

static bool has_side(const struct cw_file *file, const struct named *named)
{
    if (!named->has_side || file->sets[named->side]) {
        return true;
    }
    cw_error_at(named->path, 0, "expected a preset that sets %s ports, found none", cw_setup_prefix[named->side]);
    return false;
}

bool cw_candidates_add(struct cw_candidates *list, const char *name, const struct cw_edits *edits)
{
    struct named named;
    struct cw_file file;
    if (!split_name(name, &named)) {
        return false;
    }
    if (!cw_file_load(named.path, &file)) {
        free(named.path);
        return false;
    }
    bool good = has_side(&file, &named);
    if (good && named.has_side) {
        good = append(list, &file, name, named.side, edits);
    } else if (good && !file.sets[CW_A] && !file.sets[CW_B]) {
        good = append(list, &file, name, CW_REC, edits);
    } else if (good) {
        good = (!file.sets[CW_A] || append(list, &file, name, CW_A, edits)) &&
               (!file.sets[CW_B] || append(list, &file, name, CW_B, edits));
    }
    cw_file_free(&file);
    free(named.path);
    return good;
}

bool cw_recorded_load(const char *name, const struct cw_edits *edits, struct cw_candidate *recorded)
{
    struct named named;
    struct cw_file file;
    memset(recorded, 0, sizeof *recorded);
    if (!split_name(name, &named)) {
        return false;
    }
    if (!cw_file_load(named.path, &file)) {
        free(named.path);
        return false;
    }
    enum cw_which side = named.has_side ? named.side : file.sets[CW_REC] ? CW_REC : file.sets[CW_A] ? CW_A : CW_B;
    bool good = has_side(&file, &named) && make_candidate(&file, name, side, NULL, recorded);
    if (good) {
        cw_edits_apply(edits, CW_REC, &recorded->setup);
        cw_edits_name_idle(edits, CW_REC, name, &recorded->setup);
    }
    cw_file_free(&file);
    free(named.path);
    return good;
}
