/* SPDX-License-Identifier: ISC */
#include "sounds.h"

#include <stdlib.h>
#include <string.h>

#include "places.h"

void cw_sound_free(struct cw_sound *sound)
{
    free(sound->label);
    free(sound->comment);
    free(sound->name);
    cw_bytes_free(&sound->clip);
}

void cw_audition_free(struct cw_audition *audition)
{
    for (size_t i = 0; i < audition->count; i++) {
        cw_sound_free(&audition->sound[i]);
    }
    for (size_t i = 0; i < audition->pairs; i++) {
        free(audition->pair[i].label);
        free(audition->pair[i].comment);
    }
    for (size_t i = 0; i < audition->pictures; i++) {
        cw_bytes_free(&audition->picture[i]);
    }
    free(audition->picture);
    free(audition->sound);
    free(audition->pair);
    free(audition->recorded_label);
    free(audition->recorded_source);
    memset(audition, 0, sizeof *audition);
}

bool cw_sound_is_wound(const struct cw_sound *sound) { return sound->setup.value[CW_P_COIL_FROM] == CW_FROM_WINDING; }

int cw_audition_footings(const struct cw_audition *audition)
{
    size_t wound = 0;
    for (size_t i = 1; i < audition->count; i++) {
        wound += cw_sound_is_wound(&audition->sound[i]);
    }
    return wound > 0 && wound < audition->count - 1 ? 2 : 1;
}

bool cw_sound_slope(const struct cw_audition *audition, const struct cw_sound *sound, double rate,
                    struct cw_slope *slope)
{
    struct cw_place_means candidate = {0}, recorded = {0};
    return audition->has_recorded && sound != &audition->sound[0] && sound->places &&
           cw_slope_between(&sound->setup, &audition->sound[0].setup, &candidate, &recorded, rate, slope);
}

bool cw_audition_loss(const struct cw_audition *audition, char text[CW_LOSS_TEXT])
{
    bool placed = false;
    for (size_t i = 1; i < audition->count; i++) {
        placed = placed || audition->sound[i].places;
    }
    return placed && audition->has_recorded && cw_recorded_loss(&audition->sound[0].setup, text, CW_LOSS_TEXT);
}
