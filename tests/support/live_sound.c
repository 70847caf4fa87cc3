/* SPDX-License-Identifier: ISC */
/* The live page's core as this machine's own code, for tests/support/live_core.mjs, which puts the same
 * questions to both.
 *   live_sound RATE < COMMANDS
 * A command a line: "set PORT VALUE", "run FRAMES" (writes that many floats), "db SETUP HZ" (writes a double). */
#include <stdio.h>
#include <stdlib.h>

#include "live.h"

/* Samples that need no file: a sum of a slow and a quick tone, by whole numbers alone, so that both sides
 * have the same bits. */
static float sample_of(long i)
{
    long saw = (i * 37) % 1999 - 999, hum = (i * 7) % 977 - 488;
    return (float)saw / 32768.0f + (float)hum / 16384.0f;
}

static void run(long first, long frames)
{
    for (long at = 0; at < frames;) {
        int count = frames - at < 128 ? (int)(frames - at) : 128;
        for (int i = 0; i < count; i++) {
            cw_live_audio()[i] = sample_of(first + at + i);
        }
        cw_live_run(count);
        fwrite(cw_live_audio(), sizeof(float), (size_t)count, stdout);
        at += count;
    }
}

int main(int argc, char **argv)
{
    char line[256];
    long first = 0;
    if (argc != 2 || !cw_live_start(atof(argv[1]))) {
        return 2;
    }
    while (fgets(line, sizeof line, stdin)) {
        int port = 0, which = 0;
        long frames = 0;
        double value = 0.0;
        if (sscanf(line, "set %d %lf", &port, &value) == 2) {
            cw_live_set(port, value);
        } else if (sscanf(line, "run %ld", &frames) == 1) {
            run(first, frames);
            first += frames;
        } else if (sscanf(line, "db %d %lf", &which, &value) == 2) {
            value = cw_live_db(which, value);
            fwrite(&value, sizeof value, 1, stdout);
        } else {
            return 2;
        }
    }
    return 0;
}
