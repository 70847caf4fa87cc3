/* SPDX-License-Identifier: ISC */
#include "blind_render.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "answer_code.h"
#include "audio.h"
#include "clip.h"
#include "level.h"
#include "message.h"
#include "random.h"
#include "render.h"
#include "setup.h"

/* Highest peak of the letter, dBFS: room for dither. */
static const double CEILING_DB = -0.1;
static const double FADE_SECONDS = 0.01;

/* The recording up to the end of the excerpt, which stands at its end. */
static float *read_recording(struct cw_excerpt *excerpt, size_t *start, size_t *total)
{
    struct cw_audio_in in = {0};
    if (!cw_audio_open(&in, excerpt->path, excerpt->channel)) {
        return NULL;
    }
    excerpt->rate = in.rate;
    *start = (size_t)llround(excerpt->from * in.rate);
    *total = *start + (size_t)llround(excerpt->seconds * in.rate);
    float *samples = calloc(*total + CW_AUDIO_BLOCK, sizeof *samples);
    size_t at = 0;
    long n = 1;
    if (!samples) {
        cw_error_memory();
    }
    while (samples && at < *total && (n = cw_audio_read(&in, samples + at)) > 0) {
        at += (size_t)n;
    }
    cw_audio_close(&in);
    if (samples && n >= 0 && at <= *start) {
        cw_error_at(excerpt->path, 0, "expected a recording longer than %g s (--from), found %.1f s", excerpt->from,
                    (double)at / excerpt->rate);
    }
    if (!samples || n < 0 || at <= *start) {
        free(samples);
        return NULL;
    }
    *total = at < *total ? at : *total;
    excerpt->frames = (long long)(*total - *start);
    return samples;
}

/* Through the plugin, from the recording's start, so that the excerpt begins in the middle of the playing. */
static bool render_sound(struct cw_host *host, const struct cw_audition *audition, const struct cw_sound *sound,
                         const float *di, size_t start, size_t total, float *out)
{
    struct cw_controls controls = cw_sound_controls(audition, sound);
    struct cw_instance *instance = cw_instance_start(host, audition->rate, &controls);
    float in[CW_AUDIO_BLOCK], rendered[CW_AUDIO_BLOCK];
    if (!instance) {
        return false;
    }
    for (size_t at = 0; at < total; at += CW_AUDIO_BLOCK) {
        size_t n = total - at < CW_AUDIO_BLOCK ? total - at : CW_AUDIO_BLOCK;
        memcpy(in, di + at, n * sizeof *in);
        cw_instance_run(instance, in, rendered, n);
        for (size_t i = 0; i < n; i++) {
            if (at + i >= start) {
                out[at + i - start] = rendered[i];
            }
        }
    }
    cw_instance_stop(instance);
    return true;
}

static void fade_ends(float *samples, size_t n, int rate)
{
    size_t length = (size_t)(FADE_SECONDS * rate);
    for (size_t i = 0; i < length && i < n / 2; i++) {
        float share = (float)i / (float)length;
        samples[i] *= share;
        samples[n - 1 - i] *= share;
    }
}

static bool measure(struct cw_sound *sound, const float *samples, size_t n, int rate)
{
    struct cw_meter meter = {0};
    bool good =
        cw_meter_start(&meter, rate) && cw_meter_add(&meter, samples, n) && cw_meter_finish(&meter, &sound->levels);
    cw_meter_drop(&meter);
    return good;
}

/* All as loud as the quietest, baked into the samples; a silent one has nothing to be compared. */
static bool match(struct cw_audition *audition, float *samples, size_t n)
{
    const struct cw_levels *levels[CW_LETTER_CANDIDATES + 1];
    double gain[CW_LETTER_CANDIDATES + 1], peak = -HUGE_VAL;
    size_t count = audition->count - 1;
    for (size_t i = 0; i < count; i++) {
        levels[i] = &audition->sound[i + 1].levels;
        if (!isfinite(levels[i]->rms)) {
            cw_error("%s: silent, so that there is nothing to compare", audition->sound[i + 1].label);
            return false;
        }
    }
    audition->by_loudness = cw_level_match(levels, count, gain);
    for (size_t i = 0; i < count; i++) {
        peak = fmax(peak, levels[i]->sample_peak + gain[i]);
    }
    for (size_t i = 0; i < count; i++) {
        double by = cw_from_db(gain[i] + (peak > CEILING_DB ? CEILING_DB - peak : 0.0));
        for (size_t k = 0; k < n; k++) {
            samples[i * n + k] = (float)(by * (double)samples[i * n + k]);
        }
    }
    return true;
}

static bool make_clip(struct cw_letter_clips *clips, const struct cw_excerpt *excerpt, const float *samples,
                      struct cw_random *random)
{
    struct cw_clip clip;
    bool good = cw_clip_start(&clip, &clips->clip[clips->count++], false, excerpt->rate, excerpt->frames);
    clip.random = cw_random_word(random) | 1u;
    good = good && cw_clip_add(&clip, samples, (size_t)excerpt->frames) && cw_clip_finish(&clip);
    cw_clip_drop(&clip);
    return good;
}

/* Which sounds are heard in a trial: the candidates in order, then what has a name. */
static bool make_clips(struct cw_letter_clips *clips, const struct cw_excerpt *excerpt, const struct cw_letter *letter,
                       const float *samples, struct cw_random *random)
{
    size_t n = (size_t)excerpt->frames;
    bool named = letter->question == CW_ASK_DIFFER, good = true;
    int fresh = named ? 1 : 2;
    clips->voices = named || letter->question == CW_ASK_NEARER ? 3 : 2;
    for (int i = 0; good && i < letter->count; i++) {
        const int heard[2] = {letter->trial[i].first, letter->trial[i].second};
        for (int k = 0; good && k < fresh; k++) {
            clips->trial[i][named ? 2 : k] = (int)clips->count;
            good = make_clip(clips, excerpt, samples + (size_t)heard[k] * n, random);
        }
    }
    int first = (int)clips->count, extra = named ? 2 : clips->voices - 2;
    for (int k = 0; good && k < extra; k++) {
        good = make_clip(clips, excerpt, samples + (size_t)(named ? k : letter->candidates) * n, random);
    }
    for (int i = 0; i < letter->count && extra > 0; i++) {
        clips->trial[i][named ? 0 : 2] = first;
        if (named) {
            clips->trial[i][1] = first + 1;
        }
    }
    return good;
}

static bool make_alike(struct cw_letter_clips *clips)
{
    size_t most = 0;
    bool good = true;
    for (size_t i = 0; i < clips->count; i++) {
        size_t audio = cw_clip_audio_bytes(&clips->clip[i]);
        most = audio > most ? audio : most;
    }
    for (size_t i = 0; good && i < clips->count; i++) {
        good = cw_clip_make_alike(&clips->clip[i], most);
    }
    return good;
}

bool cw_letter_render(struct cw_audition *audition, struct cw_host *host, struct cw_excerpt *excerpt,
                      const struct cw_letter *letter, struct cw_random *random, struct cw_letter_clips *clips)
{
    size_t start, total, sounds = audition->count - 1;
    float *di = read_recording(excerpt, &start, &total);
    if (!di) {
        return false;
    }
    size_t n = (size_t)excerpt->frames;
    float *samples = calloc(sounds * n, sizeof *samples);
    clips->clip = calloc((size_t)2 * CW_ANSWERS_MAX + 2, sizeof *clips->clip);
    bool good = samples && clips->clip;
    if (!good) {
        cw_error_memory();
    }
    audition->rate = excerpt->rate;
    for (size_t i = 0; good && i < sounds; i++) {
        good = render_sound(host, audition, &audition->sound[i + 1], di, start, total, samples + i * n);
        fade_ends(samples + i * n, n, excerpt->rate);
        good = good && measure(&audition->sound[i + 1], samples + i * n, n, excerpt->rate);
    }
    good =
        good && match(audition, samples, n) && make_clips(clips, excerpt, letter, samples, random) && make_alike(clips);
    free(samples);
    free(di);
    return good;
}

void cw_letter_clips_free(struct cw_letter_clips *clips)
{
    for (size_t i = 0; i < clips->count; i++) {
        cw_bytes_free(&clips->clip[i]);
    }
    free(clips->clip);
    memset(clips, 0, sizeof *clips);
}
