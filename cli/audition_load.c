/* SPDX-License-Identifier: ISC */
#include "audition_load.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "candidate.h"
#include "audible.h"
#include "command.h"
#include "curve.h"
#include "edits.h"
#include "fingerprint.h"
#include "message.h"
#include "preset_load.h"
#include "setup.h"
#include "sha256.h"

enum { NAME_BYTES = 48 };

/* Sound 0. */
static const char AS_RECORDED[] = "As recorded", RECORDED_COMMENT[] = "The recording, untouched.";

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

/* Index of the sound of a candidate: an equal one where `share` allows it, else a new one. */
static bool sound_of(struct cw_audition *audition, const struct cw_candidate *candidate, const char *comment,
                     const double global[CW_GLOBALS], bool share, size_t *index)
{
    for (size_t i = 1; share && i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        if (sound->boost_limit == global[CW_G_BOOST_LIMIT] && sound->mains == global[CW_G_MAINS] &&
            sound->places == (global[CW_G_STRING_PLACES] > 0.0) && cw_setup_equal(&sound->setup, &candidate->setup)) {
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
    sound->known = candidate->known;
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

/* The candidates of one file, and the comparison that two of them are. */
static bool add_file(struct cw_audition *audition, const struct cw_loaded *loaded, const struct cw_edits *edits,
                     const struct cw_candidate_file *file)
{
    const struct cw_candidate *candidate = &loaded->list.item[file->first];
    double global[CW_GLOBALS];
    size_t index[2] = {0, 0};
    memcpy(global, file->said.controls.global, sizeof global);
    cw_edits_apply_globals(edits, global);
    for (size_t i = 0; i < file->count; i++) {
        if (!sound_of(audition, &candidate[i], file->count == 1 ? file->said.comment : NULL, global, file->count == 2,
                      &index[i])) {
            return false;
        }
    }
    return file->count != 2 || add_pair(audition, &file->said, index[0], index[1]);
}

static void bands_of(const struct cw_setup *setup, double level[CW_AUDIBLE_BANDS])
{
    struct cw_curve curve;
    cw_curve_init(&curve, setup, NULL);
    cw_audible_levels(&curve.response, level);
}

/* How far each candidate is from the first one. */
static void tell_apart(struct cw_audition *audition)
{
    double first[CW_AUDIBLE_BANDS], level[CW_AUDIBLE_BANDS];
    if (audition->count > 1) {
        bands_of(&audition->sound[1].setup, first);
    }
    for (size_t i = 2; i < audition->count; i++) {
        bands_of(&audition->sound[i].setup, level);
        audition->sound[i].has_apart = true;
        audition->sound[i].apart = cw_audible_of(level, first);
    }
}

static bool fill(struct cw_audition *audition, const struct cw_loaded *loaded, const struct cw_edits *edits)
{
    bool good = add_sound(audition, AS_RECORDED, RECORDED_COMMENT) &&
                (!loaded->has_recorded || cw_audition_set_recorded(audition, &loaded->recorded));
    for (size_t i = 0; good && i < loaded->list.files; i++) {
        good = add_file(audition, loaded, edits, &loaded->list.file[i]);
    }
    tell_apart(audition);
    return good;
}

bool cw_audition_of(struct cw_audition *audition, const struct cw_candidate *candidate, size_t count)
{
    double global[CW_GLOBALS];
    for (int i = 0; i < CW_GLOBALS; i++) {
        global[i] = cw_global_info[i].preset;
    }
    bool good = add_sound(audition, AS_RECORDED, RECORDED_COMMENT);
    for (size_t i = 0, index; good && i < count; i++) {
        good = sound_of(audition, &candidate[i], NULL, global, false, &index);
    }
    tell_apart(audition);
    return good;
}

bool cw_audition_set_recorded(struct cw_audition *audition, const struct cw_candidate *recorded)
{
    audition->has_recorded = true;
    audition->sound[0].setup = recorded->setup;
    audition->sound[0].known = recorded->known;
    if (copy_text(&audition->recorded_label, recorded->label) &&
        copy_text(&audition->recorded_source, recorded->source)) {
        return true;
    }
    cw_error_memory();
    return false;
}

int cw_audition_load(struct cw_audition *audition, const struct cw_sources *sources)
{
    struct cw_loaded loaded = {.list = {.most = CW_AUDITION_MOST}};
    int status = cw_sources_load(sources, &loaded);
    if (status == CW_DONE && !fill(audition, &loaded, &sources->edits)) {
        status = CW_FAILED;
    }
    cw_loaded_free(&loaded);
    return status;
}
