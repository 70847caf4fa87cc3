/* SPDX-License-Identifier: ISC */
/* From preset files to the sounds of an audition. */
#include "sources.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "fingerprint.h"
#include "message.h"
#include "preset_load.h"
#include "setup.h"
#include "sha256.h"

enum { NAME_BYTES = 48 };

/* "03-long-cable": the number keeps the order and the name apart from every other. */
static char *file_name(size_t number, const char *label)
{
    char *name = malloc(NAME_BYTES);
    if (!name) {
        return NULL;
    }
    size_t at = (size_t)snprintf(name, NAME_BYTES, "%02zu", number);
    bool gap = true;
    for (; *label && at < NAME_BYTES - 2; label++) {
        char c = *label >= 'A' && *label <= 'Z' ? (char)(*label - 'A' + 'a') : *label;
        bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (plain && gap) {
            name[at++] = '-';
        }
        if (plain) {
            name[at++] = c;
        }
        gap = !plain;
    }
    name[at] = '\0';
    return name;
}

/* Text from elsewhere; NULL stays NULL. \return false when out of memory */
static bool copy_text(char **to, const char *from)
{
    *to = from ? strdup(from) : NULL;
    return !from || *to;
}

static struct cw_sound *add_sound(struct cw_audition *audition, const char *label, const char *comment)
{
    struct cw_sound *more = realloc(audition->sound, sizeof *more * (audition->count + 1));
    if (!more) {
        cw_error_memory();
        return NULL;
    }
    audition->sound = more;
    struct cw_sound *sound = &more[audition->count];
    memset(sound, 0, sizeof *sound);
    sound->name = file_name(audition->count, label);
    if (!sound->name || !copy_text(&sound->label, label) || !copy_text(&sound->comment, comment)) {
        cw_sound_free(sound);
        cw_error_memory();
        return NULL;
    }
    audition->count++;
    return sound;
}

static bool same_setup(const struct cw_setup *a, const struct cw_setup *b)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        if (a->value[i] != b->value[i]) {
            return false;
        }
    }
    return true;
}

/* Index of the sound of a candidate: an equal one where `share` allows it, else a new one. */
static bool sound_of(struct cw_audition *audition, const struct cw_candidate *candidate, const char *comment,
                     const double global[CW_GLOBALS], bool share, size_t *index)
{
    for (size_t i = 1; share && i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        if (sound->boost_limit == global[CW_G_BOOST_LIMIT] && sound->mains == global[CW_G_MAINS] &&
            sound->places == (global[CW_G_STRING_PLACES] > 0.0) && same_setup(&sound->setup, &candidate->setup)) {
            *index = i;
            return true;
        }
    }
    struct cw_sound *sound = add_sound(audition, candidate->label, comment);
    if (!sound) {
        return false;
    }
    unsigned char digest[CW_SHA256_BYTES];
    sound->setup = candidate->setup;
    sound->boost_limit = global[CW_G_BOOST_LIMIT];
    sound->mains = global[CW_G_MAINS];
    sound->places = global[CW_G_STRING_PLACES] > 0.0;
    cw_fingerprint(&sound->setup, digest);
    cw_sha256_print(digest, sound->digest);
    *index = audition->count - 1;
    return true;
}

static bool add_pair(struct cw_audition *audition, const struct cw_file *file, size_t a, size_t b)
{
    struct cw_pair *more = realloc(audition->pair, sizeof *more * (audition->pairs + 1));
    if (!more) {
        cw_error_memory();
        return false;
    }
    audition->pair = more;
    struct cw_pair *pair = &more[audition->pairs];
    *pair = (struct cw_pair){.a = a, .b = b};
    if (!copy_text(&pair->label, file->label) || !copy_text(&pair->comment, file->comment)) {
        free(pair->label);
        cw_error_memory();
        return false;
    }
    audition->pairs++;
    return true;
}

/* Take over a recorded-through setup as what sound 0 contains. */
static bool set_recorded(struct cw_audition *audition, const struct cw_setup *setup, const char *label,
                         const char *source)
{
    free(audition->recorded_label);
    free(audition->recorded_source);
    audition->has_recorded = true;
    audition->sound[0].setup = *setup;
    if (copy_text(&audition->recorded_label, label) && copy_text(&audition->recorded_source, source)) {
        return true;
    }
    cw_error_memory();
    return false;
}

/* A session saved in a host says itself what its recording went through. One recording has one
 * such setup: two files that differ leave it open. */
static int recorded_from_file(struct cw_audition *audition, const struct cw_file *file, bool undo, const char *source)
{
    if (!file->sets[CW_REC] || !undo || !(file->sets[CW_A] || file->sets[CW_B])) {
        return CW_DONE;
    }
    const struct cw_setup *setup = &file->controls.setup[CW_REC];
    if (!audition->has_recorded) {
        return set_recorded(audition, setup, file->label, source) ? CW_DONE : CW_FAILED;
    }
    if (same_setup(setup, &audition->sound[0].setup)) {
        return CW_DONE;
    }
    cw_error_at(source, 0, "expected the recorded-through setup of %s, found another (--recorded chooses one)",
                audition->recorded_source);
    return CW_BAD_USAGE;
}

/* Path of FILE, FILE#a ... as cw_candidates_add() understands it. */
static char *path_of(const char *name)
{
    char *path = strdup(name);
    if (!path) {
        cw_error_memory();
    } else if (access(name, F_OK) != 0 && strrchr(path, '#')) {
        *strrchr(path, '#') = '\0';
    }
    return path;
}

/* The candidates of one file, the last `count` of the list. */
static int add_file(struct cw_audition *audition, const struct cw_sources *sources, const struct cw_file *file,
                    const struct cw_candidate *candidate, size_t count)
{
    struct cw_controls controls = file->controls;
    cw_edits_apply_globals(&sources->edits, controls.global);
    size_t index[2] = {0, 0};
    for (size_t i = 0; i < count; i++) {
        if (!sound_of(audition, &candidate[i], count == 1 ? file->comment : NULL, controls.global, count == 2,
                      &index[i])) {
            return CW_FAILED;
        }
    }
    if (count == 2 && !add_pair(audition, file, index[0], index[1])) {
        return CW_FAILED;
    }
    bool undo = controls.global[CW_G_UNDO_RECORDING] > 0.0;
    return sources->recorded ? CW_DONE : recorded_from_file(audition, file, undo, candidate[0].source);
}

static int load_file(struct cw_audition *audition, const struct cw_sources *sources, const char *name,
                     struct cw_candidates *list)
{
    size_t before = list->count;
    if (!cw_candidates_add(list, name, &sources->edits)) {
        return CW_FAILED;
    }
    struct cw_file file;
    char *path = path_of(name);
    if (!path || !cw_file_load(path, &file)) {
        free(path);
        return CW_FAILED;
    }
    int status = add_file(audition, sources, &file, &list->item[before], list->count - before);
    cw_file_free(&file);
    free(path);
    return status;
}

static int load_recorded(struct cw_audition *audition, const struct cw_sources *sources)
{
    struct cw_candidate recorded;
    if (!cw_recorded_load(sources->recorded, &sources->edits, &recorded)) {
        return CW_FAILED;
    }
    bool good = set_recorded(audition, &recorded.setup, recorded.label, recorded.source);
    cw_candidate_free(&recorded);
    return good ? CW_DONE : CW_FAILED;
}

int cw_audition_load(struct cw_audition *audition, const struct cw_sources *sources)
{
    struct cw_candidates list = {NULL, 0};
    if (!add_sound(audition, "As recorded", "The recording, untouched.")) {
        return CW_FAILED;
    }
    int status = sources->recorded ? load_recorded(audition, sources) : CW_DONE;
    for (size_t i = 0; status == CW_DONE && i < sources->count; i++) {
        status = load_file(audition, sources, sources->file[i], &list);
    }
    cw_candidates_free(&list);
    if (status == CW_DONE && audition->has_recorded && !sources->recorded) {
        cw_edits_apply(&sources->edits, CW_REC, &audition->sound[0].setup);
    }
    return status;
}
