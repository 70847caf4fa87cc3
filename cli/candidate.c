/* SPDX-License-Identifier: ISC */
#include "candidate.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "defaults.h"
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
    for (size_t i = 0; i < list->files; i++) {
        cw_file_free(&list->file[i].said);
    }
    free(list->item);
    free(list->file);
    memset(list, 0, sizeof *list);
}

unsigned cw_candidates_at(const struct cw_candidates *list)
{
    unsigned at = 0;
    for (size_t i = 0; i < list->count; i++) {
        at |= list->item[i].at;
    }
    return at;
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

/* What the file leaves out; a change that was asked for stands in. */
static void name_defaults(const struct cw_file *file, const char *name, enum cw_which side, unsigned at,
                          const struct cw_edits *edits)
{
    bool given[CW_PARAMS];
    memcpy(given, file->sets_param[side], sizeof given);
    cw_edits_mark(edits, at, given);
    cw_defaults_name(name, cw_setup_prefix[side], &file->controls.setup[side], given);
}

static bool make_candidate(const struct cw_file *file, const char *name, enum cw_which side, unsigned at,
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
    candidate->at = at;
    name_defaults(file, name, side, at, edits);
    cw_edits_apply(edits, at, &candidate->setup);
    cw_edits_name_idle(edits, at, name, &candidate->setup);
    candidate->known = file->known[side];
    cw_known_follow(&candidate->known, &file->controls.setup[side], &candidate->setup);
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
    size_t most = list->most ? list->most : CW_CANDIDATES_MAX;
    if (list->count == most) {
        cw_error_at(name, 0, "expected at most %zu candidates, found more", most);
        return false;
    }
    struct cw_candidate *item = realloc(list->item, (list->count + 1) * sizeof *item);
    if (!item) {
        cw_error_memory();
        return false;
    }
    list->item = item;
    item[list->count] = (struct cw_candidate){.idle = CW_ACTS};
    if (!make_candidate(file, name, side, 1u << side | CW_AS_CANDIDATE, edits, &list->item[list->count])) {
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

/* Room for one more file at the end of the list; it counts once it is filled. */
static struct cw_candidate_file *next_file(struct cw_candidates *list, const char *name)
{
    struct cw_candidate_file *more = realloc(list->file, (list->files + 1) * sizeof *more);
    if (!more) {
        cw_error_memory();
        return NULL;
    }
    list->file = more;
    more[list->files] = (struct cw_candidate_file){.name = name, .first = list->count};
    return &more[list->files];
}

/* What a file without a side named stands for. */
static bool append_all(struct cw_candidates *list, const struct cw_file *file, const char *name,
                       const struct cw_edits *edits)
{
    if (!file->sets[CW_A] && !file->sets[CW_B]) {
        return append(list, file, name, CW_REC, edits);
    }
    return (!file->sets[CW_A] || append(list, file, name, CW_A, edits)) &&
           (!file->sets[CW_B] || append(list, file, name, CW_B, edits));
}

bool cw_candidates_add(struct cw_candidates *list, const char *name, const struct cw_edits *edits)
{
    struct named named;
    struct cw_candidate_file *file = next_file(list, name);
    if (!file || !split_name(name, &named)) {
        return false;
    }
    bool good = cw_file_load(named.path, &file->said);
    if (good) {
        list->files++;
        good = has_side(&file->said, &named) && (named.has_side ? append(list, &file->said, name, named.side, edits)
                                                                : append_all(list, &file->said, name, edits));
        file->count = list->count - file->first;
    }
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
    bool good = has_side(&file, &named) && make_candidate(&file, name, side, 1u << CW_REC, edits, recorded);
    cw_file_free(&file);
    free(named.path);
    return good;
}
