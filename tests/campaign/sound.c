/* SPDX-License-Identifier: ISC */
/* `sound LEARNED SOUND LEARNED-OUT`: a phrase of noise bursts through the voice, one random setup after the other with
 * levels matched by what it learns, begun with what was learned elsewhere (a file, or - for nothing). The samples and
 * what was learned, least significant byte first, to be compared with those of another processor
 * (tests/foreign/sound.sh). */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "learn.h"
#include "learned_bytes.h"
#include "setup.h"
#include "setups.h"
#include "voice.h"

enum { BLOCK = 64, BLOCKS = 600, SETUPS = 2 * SETUPS_KINDS, SECOND = 48000 };

/* Whole numbers alone, so that every machine plays the same: twice a second a burst that falls by a 4096th a sample. */
static void play(uint32_t *random, uint32_t *level, long at, float x[BLOCK])
{
    for (int i = 0; i < BLOCK; i++) {
        *random = *random * 1664525u + 1013904223u;
        *level = (at + i) % (SECOND / 2) == 0 ? 1u << 24 : *level - (*level >> 12);
        x[i] = (float)((int32_t)(*random >> 16) - 32768) * (float)(*level >> 8) * 0x1p-32f;
    }
}

static bool write_samples(FILE *file, const float *x, int count)
{
    for (int i = 0; i < count; i++) {
        uint32_t bits;
        memcpy(&bits, &x[i], sizeof bits);
        for (int b = 0; b < 4; b++) {
            if (putc((int)(bits >> 8 * b & 255), file) == EOF) {
                return false;
            }
        }
    }
    return true;
}

static bool open_learned(struct cw_voice *voice, const char *path)
{
    static uint8_t bytes[CW_LEARNED_BYTES + 1];
    static struct cw_learned learned;
    FILE *file = fopen(path, "rb");
    const size_t size = file ? fread(bytes, 1, sizeof bytes, file) : 0;
    if (file) {
        fclose(file);
    }
    if (!cw_learned_of_bytes(bytes, size, &learned)) {
        fprintf(stderr, "sound: %s is nothing learned\n", path);
        return false;
    }
    cw_voice_learn(voice, &learned);
    return true;
}

static bool save_learned(const struct cw_voice *voice, const char *path)
{
    static uint8_t bytes[CW_LEARNED_BYTES];
    const size_t size = cw_learned_to_bytes(cw_voice_learned(voice), bytes);
    FILE *file = fopen(path, "wb");
    const bool written = file && fwrite(bytes, 1, size, file) == size;
    return file && fclose(file) == 0 && written && cw_learned_enough(cw_voice_learned(voice));
}

static bool sound(struct cw_voice *voice, const char *path)
{
    struct cw_controls controls;
    struct rng rng = {1};
    uint32_t random = 1, level = 0;
    float x[BLOCK];
    long at = 0;
    FILE *file = fopen(path, "wb");
    bool written = file != NULL;
    cw_controls_defaults(&controls);
    controls.global[CW_G_LISTEN] = CW_LISTEN_A;
    controls.global[CW_G_LEVEL_MATCH] = 1.0;
    for (int i = 0; i < SETUPS; i++) {
        setups_random(&rng, i, &controls.setup[CW_A]);
        cw_voice_set(voice, &controls);
        for (int b = 0; b < BLOCKS && written; b++, at += BLOCK) {
            play(&random, &level, at, x);
            (void)cw_voice_process(voice, x, x, BLOCK);
            written = write_samples(file, x, BLOCK);
        }
    }
    return file && fclose(file) == 0 && written;
}

int main(int argc, char **argv)
{
    if (argc != 4) {
        fprintf(stderr, "usage: sound LEARNED SOUND LEARNED-OUT\n");
        return 2;
    }
    struct cw_voice *voice = aligned_alloc(CW_VOICE_ALIGNMENT, cw_voice_size());
    bool good = voice != NULL;
    if (good) {
        cw_voice_init(voice, SECOND);
        good = (strcmp(argv[1], "-") == 0 || open_learned(voice, argv[1])) && sound(voice, argv[2]) &&
               save_learned(voice, argv[3]);
    }
    if (!good) {
        fprintf(stderr, "sound: failed\n");
    }
    free(voice);
    return good ? 0 : 1;
}
