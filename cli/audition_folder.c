/* SPDX-License-Identifier: ISC */
#include "audition_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "audio.h"
#include "audition_plots.h"
#include "curve.h"
#include "digest_file.h"
#include "message.h"
#include "output.h"
#include "page.h"
#include "phrase.h"
#include "preset_save.h"
#include "preset_text.h"
#include "render.h"
#include "results.h"
#include "setup.h"

/* Largest difference between the rendered test tone and the circuit's prediction, dB. */
static const double TONE_LIMIT_DB = 0.01;

static bool write_wav(const char *path, const float *samples, size_t n)
{
    struct cw_audio_out out = {0};
    bool good = path && cw_audio_create(&out, path, CW_PHRASE_RATE, false, (long long)n) &&
                cw_audio_write(&out, samples, n) && cw_audio_finish(&out);
    cw_audio_drop(&out);
    return good;
}

bool cw_audition_write_demo(const struct cw_audition *audition, struct cw_folder *folder, const char **di,
                            const char **tone)
{
    struct cw_curve curve;
    float *samples = malloc(sizeof *samples * (CW_PHRASE_FRAMES + CW_TONE_FRAMES));
    if (!samples) {
        cw_error_memory();
        return false;
    }
    cw_curve_init(&curve, &audition->sound[0].setup, NULL);
    cw_phrase_render(&curve.response, samples);
    cw_tone_render(samples + CW_PHRASE_FRAMES);
    *di = cw_folder_file(folder, "di.wav");
    *tone = cw_folder_file(folder, "di-tone.wav");
    bool good =
        write_wav(*di, samples, CW_PHRASE_FRAMES) && write_wav(*tone, samples + CW_PHRASE_FRAMES, CW_TONE_FRAMES);
    free(samples);
    return good;
}

static bool write_settings(const struct cw_audition *audition, struct cw_folder *folder)
{
    for (size_t i = 1; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        const struct cw_setup *const setups[CW_SETUPS] = {[CW_A] = &sound->setup};
        const struct cw_preset_words words = {.known = {[CW_A] = &sound->known}};
        char name[128];
        snprintf(name, sizeof name, CW_DIR_SETTINGS "/%s.ttl", sound->name);
        const char *path = cw_folder_file(folder, name);
        if (!path || !cw_worded_save(path, sound->label, sound->comment, setups, &words, true)) {
            return false;
        }
    }
    if (!audition->has_recorded) {
        return true;
    }
    const struct cw_setup *const setups[CW_SETUPS] = {[CW_REC] = &audition->sound[0].setup};
    const struct cw_preset_words words = {.known = {[CW_REC] = &audition->sound[0].known}};
    const char *path = cw_folder_file(folder, CW_DIR_SETTINGS "/00-recorded-through.ttl");
    return path && cw_worded_save(path, audition->recorded_label, NULL, setups, &words, true);
}

static bool write_text(const struct cw_audition *audition, struct cw_folder *folder, const char *name,
                       void (*write)(FILE *, const struct cw_audition *))
{
    struct cw_output output;
    const char *path = cw_folder_file(folder, name);
    if (!path || !cw_output_open(&output, path, true)) {
        return false;
    }
    write(output.stream, audition);
    return cw_output_commit(&output);
}

/* A demonstration that does not sound as the circuit says is a failure, not a result. */
static bool tone_holds(const struct cw_audition *audition, double *worst)
{
    *worst = 0.0;
    for (size_t i = 1; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        *worst = fmax(*worst, fabs(sound->tone_level - sound->tone_predicted));
        if (!(fabs(sound->tone_level - sound->tone_predicted) <= TONE_LIMIT_DB)) {
            cw_error("the test tone through '%s': expected %.4f dB, found %.4f dB", sound->label, sound->tone_predicted,
                     sound->tone_level);
            return false;
        }
    }
    return true;
}

bool cw_audition_fill(struct cw_audition *audition, struct cw_host *host, const char *di, int channel, const char *tone,
                      struct cw_folder *folder, double *worst_tone)
{
    return cw_audition_render(audition, host, di, channel, folder) && cw_digest_file(di, audition->sound[0].digest) &&
           (!tone || (cw_audition_tone(audition, host, tone, folder) && tone_holds(audition, worst_tone))) &&
           cw_audition_plots(audition, folder) && write_settings(audition, folder) &&
           write_text(audition, folder, "results.csv", cw_results_write) &&
           write_text(audition, folder, "index.html", cw_page_write);
}
