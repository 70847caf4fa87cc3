/* SPDX-License-Identifier: ISC */
/* Recordings long enough to be measured, of any samples: phrases by their loudness and their check, and takes of the
 * sweep, whole or damaged, as the ratio of their channels. What is told of them are numbers. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "audio.h"
#include "circuit.h"
#include "coil.h"
#include "fuzz.h"
#include "measure.h"
#include "recorded.h"
#include "setup.h"
#include "sweep.h"
#include "take.h"
#include "take_check.h"
#include "take_load.h"
#include "transfer.h"

enum { RATE = 8000, HEAD = 44, PHRASE = 6000, TAKE_MOST = 60000, CHANNELS = 2 };
static const double SECONDS = 2.0;

static struct cw_transfer through;
static uint8_t file[HEAD + sizeof(float) * CHANNELS * TAKE_MOST];
static float sweep[TAKE_MOST], sample[CHANNELS * TAKE_MOST];
static size_t frames;

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    struct cw_sweep played;
    (void)argc;
    (void)argv;
    cw_setup_defaults(&setup);
    cw_coil_solve(&setup, &pickup);
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &through);
    cw_sweep_init(&played);
    played.seconds = SECONDS;
    frames = (size_t)(RATE * cw_sweep_take_seconds(&played));
    FUZZ_REQUIRE(frames <= TAKE_MOST);
    for (size_t i = 0; i < frames; i++) {
        sweep[i] = (float)(0.5 * cw_sweep_take_at(&played, (double)i / RATE));
    }
    return 0;
}

static void put(uint8_t *to, uint32_t value, int bytes)
{
    for (int i = 0; i < bytes; i++) {
        to[i] = (uint8_t)(value >> 8 * i);
    }
}

/* A WAV file of float samples. */
static const char *wav(size_t count, unsigned channels)
{
    const uint32_t bytes = (uint32_t)(count * channels * sizeof(float));
    memcpy(file, "RIFF....WAVEfmt ", 16);
    put(file + 4, 36 + bytes, 4);
    put(file + 16, 16, 4);
    put(file + 20, 3, 2);
    put(file + 22, channels, 2);
    put(file + 24, RATE, 4);
    put(file + 28, RATE * channels * 4, 4);
    put(file + 32, channels * 4, 2);
    put(file + 34, 32, 2);
    memcpy(file + 36, "data", 4);
    put(file + 40, bytes, 4);
    memcpy(file + HEAD, sample, bytes);
    return fuzz_file(file, HEAD + bytes);
}

/* Any floats where the input says, for as long as it says. */
static void damage(struct fuzz_bytes *bytes, size_t count)
{
    while (bytes->left >= 7) {
        size_t at = ((size_t)fuzz_word(bytes) << 1) % count, length = (size_t)1 << fuzz_byte(bytes) % 16;
        const float value = fuzz_float(bytes);
        for (size_t i = at; i < count && i < at + length; i++) {
            sample[i] = value;
        }
    }
}

static void has_loudness(const char *path, const struct cw_transfer *recorded)
{
    struct cw_take take;
    if (!cw_take_load(&take, path, 0, recorded)) {
        return;
    }
    for (size_t i = 0; i < take.blocks * (size_t)take.bands; i++) {
        FUZZ_REQUIRE(isfinite(take.power[i]) && take.power[i] >= 0.0f);
    }
    const double loudness = cw_take_loudness(&take, &through);
    FUZZ_REQUIRE(loudness == -HUGE_VAL || fabs(loudness) < 300.0);
    cw_take_free(&take);
}

static void has_words(const struct cw_take_check *check)
{
    struct cw_take_figures figures;
    struct cw_take_word words[CW_TAKE_WORDS];
    cw_take_check_figures(check, &figures);
    FUZZ_REQUIRE(figures.peak < 300.0 && figures.playing < 300.0 && figures.quiet <= figures.playing);
    FUZZ_REQUIRE(isfinite(figures.offset) && figures.hum < 300.0);
    const size_t said = cw_take_check_words(&figures, 0, words);
    FUZZ_REQUIRE(said <= CW_TAKE_WORDS);
    for (size_t i = 0; i < said; i++) {
        FUZZ_REQUIRE(memchr(words[i].text, '\0', sizeof words[i].text) && *words[i].text);
    }
}

static void is_checked(const char *path)
{
    struct cw_audio_in in;
    struct cw_take_check check;
    float block[CW_AUDIO_BLOCK];
    long n;
    if (!cw_audio_open(&in, path, 0)) {
        return;
    }
    cw_take_check_start(&check, in.rate);
    while ((n = cw_audio_read(&in, block)) > 0) {
        cw_take_check_add(&check, block, (size_t)n);
    }
    cw_audio_close(&in);
    has_words(&check);
}

/* A phrase: noise at a level that the input tells, then damaged. */
static void phrase(struct fuzz_bytes *bytes)
{
    const size_t count = PHRASE - fuzz_word(bytes) % (PHRASE / 2);
    const float level = fuzz_float(bytes);
    uint32_t random = 1;
    for (size_t i = 0; i < count; i++) {
        random = 1664525 * random + 1013904223;
        sample[i] = level * (float)((double)random / UINT32_MAX - 0.5);
    }
    damage(bytes, count);
    const char *path = wav(count, 1);
    has_loudness(path, fuzz_byte(bytes) & 1 ? &through : NULL);
    is_checked(path);
}

/* A take of the sweep: what the second channel hears, cut at both ends, then damaged. */
static void take_of_sweep(struct fuzz_bytes *bytes)
{
    const float gain = fuzz_float(bytes);
    const size_t begin = fuzz_word(bytes) % (frames / 2), end = frames - fuzz_word(bytes) % (frames / 2);
    const size_t count = end > begin ? end - begin : 1;
    for (size_t i = 0; i < count; i++) {
        sample[2 * i] = sweep[begin + i];
        sample[2 * i + 1] = gain * sweep[begin + i];
    }
    damage(bytes, CHANNELS * count);
    struct cw_ratio ratio;
    if (!cw_recorded_ratio(wav(count, CHANNELS), SECONDS, NULL, &ratio)) {
        return;
    }
    FUZZ_REQUIRE(ratio.count > 0 && ratio.count <= CW_RATIO_POINTS && isfinite(ratio.level));
    for (size_t i = 0; i < ratio.count; i++) {
        FUZZ_REQUIRE(isfinite(ratio.m[i].re) && isfinite(ratio.m[i].im) && ratio.sigma[i] >= 0.0);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct fuzz_bytes bytes = {data, size};
    if (fuzz_byte(&bytes) % 16 == 3) {
        take_of_sweep(&bytes);
    } else {
        phrase(&bytes);
    }
    return 0;
}
