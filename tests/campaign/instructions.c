/* SPDX-License-Identifier: ISC */
/* `instructions BLOCK SAMPLES`: noise through the voice as it stands by default, in blocks of one size, and nothing
 * else: for a count of instructions, the longer of two runs less the shorter (tests/instructions.sh). */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "setup.h"
#include "voice.h"

enum { BLOCK_MOST = 4096 };

int main(int argc, char **argv)
{
    const long block = argc == 3 ? atol(argv[1]) : 0, samples = argc == 3 ? atol(argv[2]) : 0;
    if (block < 1 || block > BLOCK_MOST || samples < 1) {
        fprintf(stderr, "usage: instructions BLOCK SAMPLES\n");
        return 2;
    }
    struct cw_voice *voice = aligned_alloc(CW_VOICE_ALIGNMENT, cw_voice_size());
    struct cw_controls controls;
    static float in[BLOCK_MOST], out[BLOCK_MOST];
    uint32_t random = 1;
    if (!voice) {
        return 1;
    }
    for (int i = 0; i < BLOCK_MOST; i++) {
        random = random * 1664525u + 1013904223u;
        in[i] = (float)(int32_t)random * 0x1p-33f;
    }
    cw_controls_defaults(&controls);
    cw_voice_init(voice, 48000.0);
    cw_voice_set(voice, &controls);
    for (long done = 0; done < samples; done += block) {
        (void)cw_voice_process(voice, in, out, (size_t)block);
    }
    free(voice);
    return 0;
}
