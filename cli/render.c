/* The audition's audio: the recording through the plugin, in blocks, twice over: once to measure,
 * once to write at the levels that follow from all the measurements. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "audio.h"
#include "audition.h"
#include "circuit.h"
#include "message.h"
#include "phrase.h"
#include "progress.h"

#define TWO_PI 6.283185307179586476925

/* Where a set must be lowered, its highest peak comes to stand here, dBFS. */
static const double CEILING_DB = -0.1;

static struct cw_controls controls_for(const struct cw_audition *audition, const struct cw_sound *sound)
{
    struct cw_controls controls;
    cw_controls_defaults(&controls);
    controls.global[CW_G_LISTEN] = CW_LISTEN_A;
    controls.global[CW_G_UNDO_RECORDING] = audition->has_recorded ? 1.0 : 0.0;
    controls.global[CW_G_BOOST_LIMIT] = sound->boost_limit;
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

/* What a pass over a file does with each block. */
struct pass {
    const char *what; /* for the terminal */
    struct cw_instance *instance; /* or NULL */
    struct cw_meter *meter;       /* or NULL */
    struct cw_audio_out *out[2];  /* or NULL */
    double gain[2];               /* linear, of each output */
};

static bool write_scaled(struct cw_audio_out *out, const float *block, size_t n, double gain)
{
    float scaled[CW_AUDIO_BLOCK];
    if (!out) {
        return true;
    }
    for (size_t i = 0; i < n; i++) {
        scaled[i] = (float)(gain * (double)block[i]);
    }
    return cw_audio_write(out, scaled, n);
}

static bool do_block(const struct pass *pass, float *block, size_t n)
{
    if (pass->instance) {
        cw_instance_run(pass->instance, block, block, n);
    }
    if (pass->meter && !cw_meter_add(pass->meter, block, n)) {
        return false;
    }
    return write_scaled(pass->out[0], block, n, pass->gain[0]) && write_scaled(pass->out[1], block, n, pass->gain[1]);
}

/* From the start of a file to its end. \return samples, -1 on failure or interrupt */
static long long run_pass(const struct pass *pass, struct cw_audio_in *in)
{
    float block[CW_AUDIO_BLOCK];
    if (!cw_audio_rewind(in)) {
        return -1;
    }
    for (long n; (n = cw_audio_read(in, block)) != 0;) {
        if (n < 0 || cw_folder_interrupted() || !do_block(pass, block, (size_t)n)) {
            return -1;
        }
        cw_progress(pass->what, in->frames > 0 ? (double)in->at / (double)in->frames : 0.0);
    }
    return in->at;
}

/* The recording: read to its end before anything is rendered, so that a bad file is known at once. */
static bool scan(struct cw_audition *audition, struct cw_audio_in *di)
{
    struct cw_meter meter;
    if (!cw_meter_start(&meter, di->rate)) {
        return false;
    }
    struct pass pass = {.what = "reading", .meter = &meter};
    audition->rate = di->rate;
    audition->frames = run_pass(&pass, di);
    if (audition->frames < 0) {
        cw_meter_drop(&meter);
        return false;
    }
    return cw_meter_finish(&meter, &audition->sound[0].levels);
}

/* One candidate into a float file, with its measurements. */
static bool render(struct cw_audition *audition, struct cw_sound *sound, struct cw_host *host, struct cw_audio_in *di,
                   const char *path)
{
    struct cw_controls controls = controls_for(audition, sound);
    struct cw_instance *instance = cw_instance_start(host, di->rate, &controls);
    struct cw_meter meter = {0};
    struct cw_audio_out out = {0};
    bool good = instance && cw_meter_start(&meter, di->rate) &&
                cw_audio_create(&out, path, di->rate, true, audition->frames);
    if (good) {
        struct pass pass = {.what = sound->label, .instance = instance, .meter = &meter, .out = {&out}, .gain = {1.0}};
        good = run_pass(&pass, di) >= 0 && cw_audio_finish(&out) && cw_meter_finish(&meter, &sound->levels);
    }
    if (good) {
        read_figures(sound, instance, CW_A);
        if (audition->has_recorded) {
            read_figures(&audition->sound[0], instance, CW_REC);
        }
    }
    cw_audio_drop(&out);
    cw_meter_drop(&meter);
    cw_instance_stop(instance);
    return good;
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
    audition->true_lowered = whole && true_peak > 0.0 ? CEILING_DB - true_peak : 0.0;
    audition->matched_lowered = whole && matched_peak > 0.0 ? CEILING_DB - matched_peak : 0.0;
}

static const char *sound_path(struct cw_folder *folder, const char *directory, const struct cw_sound *sound)
{
    char name[128];
    snprintf(name, sizeof name, "%s/%s.wav", directory, sound->name);
    return cw_folder_file(folder, name);
}

/* The two copies of a sound. */
static bool write_copies(const struct cw_audition *audition, const struct cw_sound *sound, struct cw_audio_in *from,
                         struct cw_folder *folder)
{
    struct cw_audio_out at_true = {0}, matched = {0};
    const char *true_path = sound_path(folder, CW_DIR_TRUE, sound);
    const char *matched_path = sound_path(folder, CW_DIR_MATCHED, sound);
    struct pass pass = {.what = "writing",
                        .out = {&at_true, &matched},
                        .gain = {cw_from_db(audition->true_lowered),
                                 cw_from_db(sound->matched_gain + audition->matched_lowered)}};
    bool good = true_path && matched_path &&
                cw_audio_create(&at_true, true_path, audition->rate, audition->is_float, audition->frames) &&
                cw_audio_create(&matched, matched_path, audition->rate, audition->is_float, audition->frames) &&
                run_pass(&pass, from) >= 0 && cw_audio_finish(&at_true) && cw_audio_finish(&matched);
    cw_audio_drop(&at_true);
    cw_audio_drop(&matched);
    return good;
}

static bool write_rendered(const struct cw_audition *audition, const struct cw_sound *sound, const char *path,
                           struct cw_folder *folder)
{
    struct cw_audio_in rendered = {0};
    bool good = cw_audio_open(&rendered, path, 0) && write_copies(audition, sound, &rendered, folder);
    cw_audio_close(&rendered);
    unlink(path);
    return good;
}

static bool render_all(struct cw_audition *audition, struct cw_host *host, struct cw_audio_in *di,
                       struct cw_folder *folder, const char **work)
{
    if (!scan(audition, di)) {
        return false;
    }
    for (size_t i = 1; i < audition->count; i++) {
        work[i] = sound_path(folder, "work", &audition->sound[i]);
        if (!work[i] || !render(audition, &audition->sound[i], host, di, work[i])) {
            return false;
        }
    }
    if (!match_levels(audition)) {
        return false;
    }
    keep_from_clipping(audition);
    bool good = write_copies(audition, &audition->sound[0], di, folder);
    for (size_t i = 1; good && i < audition->count; i++) {
        good = write_rendered(audition, &audition->sound[i], work[i], folder);
    }
    return good;
}

/* The work directory is empty by now; the result does not hold it. */
static void remove_work(const char *work_file)
{
    char directory[4096];
    snprintf(directory, sizeof directory, "%s", work_file);
    char *slash = strrchr(directory, '/');
    if (slash) {
        *slash = '\0';
        rmdir(directory);
    }
}

bool cw_audition_render(struct cw_audition *audition, struct cw_host *host, const char *di, int channel,
                        struct cw_folder *folder)
{
    struct cw_audio_in in = {0};
    const char **work = calloc(audition->count, sizeof *work);
    if (!work) {
        cw_error_memory();
        return false;
    }
    bool good = cw_audio_open(&in, di, channel) && render_all(audition, host, &in, folder, work);
    if (good && audition->count > 1) {
        remove_work(work[1]);
    }
    cw_audio_close(&in);
    cw_progress_end();
    free(work);
    return good;
}

/* Amplitude of the sine of CW_TONE_HZ in the second half of the tone, when what its start set off
 * has died away: projection on sine and cosine over a whole number of seconds, thus of periods. */
static double tone_amplitude(const float *tone)
{
    double re = 0.0, im = 0.0;
    const int first = CW_TONE_FRAMES / 2, n = CW_TONE_FRAMES - first;
    for (int i = 0; i < n; i++) {
        double phase = TWO_PI * CW_TONE_HZ * (double)(first + i) / CW_PHRASE_RATE;
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
    struct cw_controls controls = controls_for(audition, sound);
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
    sound->tone_predicted = predicted(&sound->setup) -
                            (audition->has_recorded ? predicted(&audition->sound[0].setup) : 0.0);
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
        const char *path = sound_path(folder, CW_DIR_TONE, &audition->sound[i]);
        struct cw_audio_in in = {0};
        size_t at = 0;
        good = path && !cw_folder_interrupted() && cw_audio_open(&in, tone, 0);
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
