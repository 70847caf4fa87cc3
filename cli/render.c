/* SPDX-License-Identifier: ISC */
/* The audition's audio: the recording through the plugin, in blocks, twice over: once to measure,
 * once to write at the levels that follow from all the measurements; several candidates at a time. */
#include "render.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "audio.h"
#include "circuit.h"
#include "clip.h"
#include "coil.h"
#include "constants.h"
#include "jobs.h"
#include "level.h"
#include "message.h"
#include "phrase.h"
#include "progress.h"
#include "setup.h"
#include "slope.h"
#include "take_check.h"
#include "transfer.h"

/* Where a set must be lowered, its highest peak comes to stand here, dBFS. */
static const double CEILING_DB = -0.1;

struct cw_controls cw_sound_controls(const struct cw_audition *audition, const struct cw_sound *sound)
{
    struct cw_controls controls;
    cw_controls_defaults(&controls);
    controls.global[CW_G_LISTEN] = CW_LISTEN_A;
    controls.global[CW_G_UNDO_RECORDING] = audition->has_recorded ? 1.0 : 0.0;
    controls.global[CW_G_BOOST_LIMIT] = sound->boost_limit;
    controls.global[CW_G_MAINS] = sound->mains;
    controls.global[CW_G_STRING_PLACES] = sound->places ? 1.0 : 0.0;
    controls.setup[CW_A] = sound->setup;
    controls.setup[CW_B] = sound->setup;
    if (audition->has_recorded) {
        controls.setup[CW_REC] = audition->sound[0].setup;
    }
    return controls;
}

static void read_figures(struct cw_sound *sound, const struct cw_instance *instance, enum cw_which which)
{
    for (int i = 0; i < CW_METERS; i++) {
        sound->figures.value[i] = cw_instance_meter(instance, which, (enum cw_meter_id)i);
    }
    sound->has_figures = true;
}

/* The files and the instance of one sound. */
struct part {
    struct cw_instance *instance; /* NULL: the recording itself */
    const char *true_path, *matched_path;
};

/* What the threads work on: a few sounds a job, which share one reading of the recording. */
struct rendering {
    struct cw_audition *audition;
    const char *di;
    int channel;
    struct part *part; /* of each sound */
    size_t share;      /* sounds a job, 1 to SHARE_MAX */
};

enum { SHARE_MAX = 4 };

/* What a pass over the recording does with each block of it for one sound. */
struct voice {
    struct cw_instance *instance; /* or NULL */
    struct cw_meter meter;        /* zeroed: nothing is measured */
    struct cw_audio_out out[2];   /* zeroed: nothing is written */
    double gain[2];               /* linear, of each output */
    struct cw_clip clip;          /* zeroed: none is made */
    double clip_gain;
    struct cw_take_check *check; /* or NULL */
};

static bool write_scaled(struct cw_audio_out *out, const float *block, size_t n, double gain)
{
    float scaled[CW_AUDIO_BLOCK];
    if (!out->handle) {
        return true;
    }
    for (size_t i = 0; i < n; i++) {
        scaled[i] = (float)(gain * (double)block[i]);
    }
    return cw_audio_write(out, scaled, n);
}

static bool clip_scaled(struct voice *voice, const float *block, size_t n)
{
    float scaled[CW_AUDIO_BLOCK];
    for (size_t i = 0; i < n; i++) {
        scaled[i] = (float)(voice->clip_gain * (double)block[i]);
    }
    return cw_clip_add(&voice->clip, scaled, n);
}

static bool do_block(struct voice *voice, float *di, size_t n)
{
    float rendered[CW_AUDIO_BLOCK];
    const float *block = voice->instance ? rendered : di;
    if (voice->instance) {
        cw_instance_run(voice->instance, di, rendered, n);
    }
    if (voice->meter.state && !cw_meter_add(&voice->meter, block, n)) {
        return false;
    }
    if (voice->check) {
        cw_take_check_add(voice->check, block, n);
    }
    return write_scaled(&voice->out[0], block, n, voice->gain[0]) &&
           write_scaled(&voice->out[1], block, n, voice->gain[1]) &&
           (!voice->clip.handle || clip_scaled(voice, block, n));
}

/* A clip for the page ends before a long take does. */
static bool is_done(const struct voice *voice)
{
    return !voice->meter.state && !voice->out[0].handle && voice->clip.left == 0;
}

static bool all_done(const struct voice *voice, size_t count)
{
    bool done = true;
    for (size_t i = 0; i < count; i++) {
        done = done && is_done(&voice[i]);
    }
    return done;
}

static bool do_blocks(struct voice *voice, size_t count, struct cw_audio_in *in, const char *what)
{
    float block[CW_AUDIO_BLOCK];
    for (long n; !all_done(voice, count) && (n = cw_audio_read(in, block)) != 0;) {
        if (n < 0 || cw_jobs_stopped()) {
            return false;
        }
        for (size_t i = 0; i < count; i++) {
            if (!do_block(&voice[i], block, (size_t)n)) {
                return false;
            }
        }
        cw_jobs_progress(what, in->frames > 0 ? (double)in->at / (double)in->frames : 0.0);
    }
    return true;
}

/* The recording from its start to its end. \param frames how many that was; NULL: it is known */
static bool run_pass(const struct rendering *rendering, struct voice *voice, size_t count, const char *what,
                     long long *frames)
{
    struct cw_audio_in in = {0};
    if (!cw_audio_open(&in, rendering->di, rendering->channel)) {
        return false;
    }
    bool good = do_blocks(voice, count, &in, what);
    if (frames) {
        *frames = in.at;
    }
    cw_audio_close(&in);
    return good;
}

/* Measure some sounds; nothing is written. */
static bool measure(struct rendering *rendering, size_t first, size_t count, const char *what, long long *frames)
{
    struct cw_audition *audition = rendering->audition;
    struct voice voice[SHARE_MAX] = {{0}};
    bool good = true;
    for (size_t i = 0; good && i < count; i++) {
        voice[i].instance = rendering->part[first + i].instance;
        voice[i].check = first + i == 0 ? &audition->check : NULL;
        good = cw_meter_start(&voice[i].meter, audition->rate);
    }
    good = good && run_pass(rendering, voice, count, what, frames);
    for (size_t i = 0; i < count; i++) {
        good = good && cw_meter_finish(&voice[i].meter, &audition->sound[first + i].levels);
        cw_meter_drop(&voice[i].meter);
    }
    return good;
}

static bool measure_recording(void *data, size_t job)
{
    struct rendering *rendering = data;
    return measure(rendering, job, 1, "reading", &rendering->audition->frames);
}

/* The sounds of a job, of those from \p first on. */
static size_t sounds_of(const struct rendering *rendering, size_t first, size_t job, size_t *count)
{
    size_t at = first + job * rendering->share, rest = rendering->audition->count - at;
    *count = rest < rendering->share ? rest : rendering->share;
    return at;
}

static size_t jobs_for(const struct rendering *rendering, size_t sounds)
{
    return (sounds + rendering->share - 1) / rendering->share;
}

static bool measure_candidates(void *data, size_t job)
{
    size_t count, first = sounds_of(data, 1, job, &count);
    return measure(data, first, count, "measuring", NULL);
}

static bool match_levels(struct cw_audition *audition)
{
    const struct cw_levels **levels = calloc(audition->count, sizeof *levels);
    double *gain = calloc(audition->count, sizeof *gain);
    if (levels && gain) {
        for (size_t i = 0; i < audition->count; i++) {
            levels[i] = &audition->sound[i].levels;
        }
        audition->by_loudness = cw_level_match(levels, audition->count, gain);
        for (size_t i = 0; i < audition->count; i++) {
            audition->sound[i].matched_gain = gain[i];
        }
    } else {
        cw_error_memory();
    }
    bool good = levels && gain;
    free(levels);
    free(gain);
    return good;
}

/* Whole-number files cut off what passes full scale: then the whole set comes down alike. */
static void keep_from_clipping(struct cw_audition *audition)
{
    double true_peak = -HUGE_VAL, matched_peak = -HUGE_VAL;
    for (size_t i = 0; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        true_peak = fmax(true_peak, sound->levels.sample_peak);
        matched_peak = fmax(matched_peak, sound->levels.sample_peak + sound->matched_gain);
    }
    bool whole = !audition->is_float;
    audition->page_lowered = true_peak > 0.0 ? CEILING_DB - true_peak : 0.0;
    audition->true_lowered = whole && true_peak > 0.0 ? CEILING_DB - true_peak : 0.0;
    audition->matched_lowered = whole && matched_peak > 0.0 ? CEILING_DB - matched_peak : 0.0;
}

/* A page is for mail, and a browser holds its clips in full: so much of a long take, and no more. */
static void limit_page(struct cw_audition *audition)
{
    long long most = CW_PAGE_SECONDS * (long long)audition->rate, share = CW_PAGE_SAMPLES / (long long)audition->count;
    most = share < most ? share : most;
    audition->page_frames = audition->frames < most ? audition->frames : most;
}

static const char *sound_path(struct cw_folder *folder, const char *directory, const struct cw_sound *sound)
{
    char name[128];
    snprintf(name, sizeof name, "%s/%s.wav", directory, sound->name);
    return cw_folder_file(folder, name);
}

/* The two copies of a sound. Rendering it again, to the same bits, costs less than keeping it. */
static bool start_copies(const struct rendering *rendering, size_t index, struct voice *voice)
{
    const struct cw_audition *audition = rendering->audition;
    const struct part *part = &rendering->part[index];
    voice->instance = part->instance;
    voice->gain[0] = cw_from_db(audition->true_lowered);
    voice->gain[1] = cw_from_db(audition->sound[index].matched_gain + audition->matched_lowered);
    voice->clip_gain = cw_from_db(audition->page_lowered);
    if (part->instance) {
        cw_instance_restart(part->instance);
    }
    if (!cw_clip_start(&voice->clip, &rendering->audition->sound[index].clip, false, audition->rate,
                       audition->page_frames)) {
        return false;
    }
    if (!audition->files) {
        return true;
    }
    return cw_audio_create(&voice->out[0], part->true_path, audition->rate, audition->is_float, audition->frames) &&
           cw_audio_create(&voice->out[1], part->matched_path, audition->rate, audition->is_float, audition->frames);
}

/* Complete what was begun, or drop it. */
static bool finish_copies(const struct cw_audition *audition, struct voice *voice)
{
    bool good = voice->clip.handle && cw_clip_finish(&voice->clip);
    for (int i = 0; i < 2; i++) {
        good = (!audition->files || (good && cw_audio_finish(&voice->out[i]))) && good;
        cw_audio_drop(&voice->out[i]);
    }
    cw_clip_drop(&voice->clip);
    return good;
}

static bool write_copies(void *data, size_t job)
{
    const struct rendering *rendering = data;
    struct voice voice[SHARE_MAX] = {{0}};
    size_t count, first = sounds_of(rendering, 0, job, &count);
    bool good = true;
    for (size_t i = 0; good && i < count; i++) {
        good = start_copies(rendering, first + i, &voice[i]);
    }
    good = good && run_pass(rendering, voice, count, "writing", NULL);
    for (size_t i = 0; i < count; i++) {
        good = finish_copies(rendering->audition, &voice[i]) && good;
    }
    return good;
}

/* Everything that only one thread may do: names, and instances of the plugin. */
static bool start_parts(struct rendering *rendering, struct cw_host *host, struct cw_folder *folder)
{
    struct cw_audition *audition = rendering->audition;
    for (size_t i = 0; i < audition->count; i++) {
        struct part *part = &rendering->part[i];
        const struct cw_sound *sound = &audition->sound[i];
        if (audition->files) {
            part->true_path = sound_path(folder, CW_DIR_TRUE, sound);
            part->matched_path = sound_path(folder, CW_DIR_MATCHED, sound);
            if (!part->true_path || !part->matched_path) {
                return false;
            }
        }
        if (i > 0) {
            struct cw_controls controls = cw_sound_controls(audition, sound);
            part->instance = cw_instance_start(host, audition->rate, &controls);
            if (!part->instance) {
                return false;
            }
        }
    }
    return true;
}

static void read_all_figures(const struct rendering *rendering)
{
    struct cw_audition *audition = rendering->audition;
    for (size_t i = 1; i < audition->count; i++) {
        read_figures(&audition->sound[i], rendering->part[i].instance, CW_A);
    }
    if (audition->has_recorded && audition->count > 1) {
        read_figures(&audition->sound[0], rendering->part[1].instance, CW_REC);
    }
}

/* The recording is read to its end before anything is rendered, so that a bad file is known at once. */
static bool render_all(struct rendering *rendering, struct cw_host *host, struct cw_folder *folder)
{
    struct cw_audition *audition = rendering->audition;
    struct cw_audio_in in = {0};
    if (!cw_audio_open(&in, rendering->di, rendering->channel)) {
        return false;
    }
    audition->rate = in.rate;
    audition->bits = in.bits;
    cw_take_check_start(&audition->check, in.rate);
    cw_audio_close(&in);
    if (!cw_jobs_run(1, measure_recording, rendering) || !start_parts(rendering, host, folder) ||
        !cw_jobs_run(jobs_for(rendering, audition->count - 1), measure_candidates, rendering)) {
        return false;
    }
    read_all_figures(rendering);
    if (!match_levels(audition)) {
        return false;
    }
    keep_from_clipping(audition);
    limit_page(audition);
    return cw_jobs_run(jobs_for(rendering, audition->count), write_copies, rendering);
}

bool cw_audition_render(struct cw_audition *audition, struct cw_host *host, const char *di, int channel,
                        struct cw_folder *folder)
{
    /* Many sounds share a reading, as long as there are two jobs for every thread. */
    size_t share = audition->count / (2 * cw_jobs_threads());
    share = share < 1 ? 1 : share > SHARE_MAX ? SHARE_MAX : share;
    struct rendering rendering = {audition, di, channel, calloc(audition->count, sizeof *rendering.part), share};
    if (!rendering.part) {
        cw_error_memory();
        return false;
    }
    bool good = render_all(&rendering, host, folder);
    for (size_t i = 0; i < audition->count; i++) {
        cw_instance_stop(rendering.part[i].instance);
    }
    free(rendering.part);
    cw_progress_end();
    return good;
}

/* Amplitude of the sine of CW_TONE_HZ in the second half of the tone, when what its start set off
 * has died away: projection on sine and cosine over a whole number of seconds, thus of periods. */
static double tone_amplitude(const float *tone)
{
    double re = 0.0, im = 0.0;
    const int first = CW_TONE_FRAMES / 2, n = CW_TONE_FRAMES - first;
    for (int i = 0; i < n; i++) {
        double phase = CW_TAU * CW_TONE_HZ * (double)(first + i) / CW_PHRASE_RATE;
        re += (double)tone[first + i] * cos(phase);
        im += (double)tone[first + i] * sin(phase);
    }
    return 2.0 * hypot(re, im) / n;
}

/* Level that the circuit gives a tone, dB. */
static double predicted(const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    return cw_transfer_db(&h, CW_TONE_HZ);
}

static bool tone_of(struct cw_audition *audition, struct cw_sound *sound, struct cw_host *host, float *tone,
                    const char *path)
{
    struct cw_controls controls = cw_sound_controls(audition, sound);
    struct cw_instance *instance = cw_instance_start(host, CW_PHRASE_RATE, &controls);
    if (!instance) {
        return false;
    }
    double before = tone_amplitude(tone);
    for (int at = 0; at < CW_TONE_FRAMES; at += CW_AUDIO_BLOCK) {
        int n = CW_TONE_FRAMES - at < CW_AUDIO_BLOCK ? CW_TONE_FRAMES - at : CW_AUDIO_BLOCK;
        cw_instance_run(instance, tone + at, tone + at, (size_t)n);
    }
    cw_instance_stop(instance);
    sound->has_tone = true;
    sound->tone_level = 20.0 * log10(tone_amplitude(tone) / before);
    sound->tone_predicted =
        predicted(&sound->setup) - (audition->has_recorded ? predicted(&audition->sound[0].setup) : 0.0);
    struct cw_slope slope;
    if (cw_sound_slope(audition, sound, CW_PHRASE_RATE, &slope)) {
        sound->tone_predicted += 10.0 * log10(cw_slope_power(&slope, CW_TONE_HZ));
    }
    if (!path) {
        return true;
    }
    struct cw_audio_out out = {0};
    bool good = cw_audio_create(&out, path, CW_PHRASE_RATE, true, CW_TONE_FRAMES) &&
                cw_audio_write(&out, tone, CW_TONE_FRAMES) && cw_audio_finish(&out);
    cw_audio_drop(&out);
    return good;
}

bool cw_audition_tone(struct cw_audition *audition, struct cw_host *host, const char *tone, struct cw_folder *folder)
{
    float *samples = malloc(sizeof *samples * (CW_TONE_FRAMES + CW_AUDIO_BLOCK));
    bool good = samples != NULL;
    if (!good) {
        cw_error_memory();
    }
    for (size_t i = 1; good && i < audition->count; i++) {
        const char *path = audition->files ? sound_path(folder, CW_DIR_TONE, &audition->sound[i]) : NULL;
        struct cw_audio_in in = {0};
        size_t at = 0;
        good = (path || !audition->files) && !cw_folder_interrupted() && cw_audio_open(&in, tone, 0);
        for (long n; good && at < CW_TONE_FRAMES && (n = cw_audio_read(&in, samples + at)) != 0;) {
            good = n > 0;
            at += good ? (size_t)n : 0;
        }
        cw_audio_close(&in);
        good = good && tone_of(audition, &audition->sound[i], host, samples, path);
    }
    free(samples);
    return good;
}
