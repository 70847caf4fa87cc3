/* SPDX-License-Identifier: ISC */
/* `coilwright audition` with one candidate and with many. */
#define _XOPEN_SOURCE 700 /* sync() */

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "audio.h"
#include "bench.h"
#include "candidate.h"
#include "phrase.h"
#include "preset_save.h"
#include "setup.h"

enum { RATE = 48000, SECONDS = 60, CANDIDATES = CW_CANDIDATES_MAX, REPEATS = 5 };

static void write_take(const char *path)
{
    float *phrase = malloc(sizeof *phrase * CW_PHRASE_FRAMES);
    struct cw_audio_out out;
    cw_phrase_strings(phrase);
    for (int i = 0; i < CW_PHRASE_FRAMES; i++) {
        phrase[i] *= 0.25f;
    }
    bool good = cw_audio_create(&out, path, RATE, false, RATE * SECONDS);
    for (long left = RATE * SECONDS; good && left > 0; left -= CW_PHRASE_FRAMES) {
        good = cw_audio_write(&out, phrase, (size_t)(left < CW_PHRASE_FRAMES ? left : CW_PHRASE_FRAMES));
    }
    if (!good || !cw_audio_finish(&out)) {
        exit(1);
    }
    free(phrase);
}

/* Candidate A of the preset with other inductances. */
static void write_candidates(char path[CANDIDATES][128])
{
    struct cw_controls controls;
    bench_controls(&controls);
    for (int i = 0; i < CANDIDATES; i++) {
        struct cw_setup setup = controls.setup[CW_A];
        const struct cw_setup *const setups[CW_SETUPS] = {[CW_A] = &setup};
        char name[32];
        setup.value[CW_P_INDUCTANCE] = 2.0 + 0.1 * i;
        snprintf(name, sizeof name, "candidate-%d", i + 1);
        snprintf(path[i], sizeof path[i], "%s/%s.ttl", bench_directory, name);
        if (!cw_candidate_save(path[i], name, NULL, setups, true)) {
            exit(1);
        }
    }
}

/* Nothing stands in the way of the results, and none of the files of the round before is still on its
 * way to the disk. */
static void clear_away(const char *results)
{
    const char *const remove_all[] = {"rm", "-rf", results, NULL};
    bench_program(remove_all);
    sync();
}

static struct bench_took audition(const char *take, const char *results, char path[CANDIDATES][128], int count)
{
    const char *program = getenv("CW_PROGRAM");
    const char *argv[CANDIDATES + 16] = {program ? program : "build/coilwright",
                                         "audition",
                                         "--files",
                                         "--di",
                                         take,
                                         "--recorded",
                                         BENCH_PRESET "#rec",
                                         "-o",
                                         results};
    for (int i = 0; i < count; i++) {
        argv[9 + i] = path[i];
    }
    clear_away(results);
    return bench_program(argv);
}

void bench_audition(void)
{
    static char path[CANDIDATES][128];
    static const int counts[] = {1, 8, 64};
    const char *take = bench_path("audition.wav"), *results = bench_path("results");
    double wall[3][REPEATS], processor[3][REPEATS], growth[3][REPEATS], work[3][REPEATS];
    write_take(take);
    write_candidates(path);
    for (int i = 0; i < REPEATS; i++) {
        for (int k = 0; k < 3; k++) {
            struct bench_took took = audition(take, results, path, counts[k]);
            wall[k][i] = took.wall;
            processor[k][i] = took.processor;
            growth[k][i] = wall[k][i] / wall[0][i];
            work[k][i] = processor[k][i] / processor[0][i];
        }
    }
    bench_text("\n## A render\n\n`coilwright audition` of %d s at 48 kHz, the recording undone: measured, written at "
               "true level and matched, "
               "with plots and\npage. The whole program. Growth is that of neighbours in the same round.\n",
               SECONDS);
    bench_figures();
    for (int k = 0; k < 3; k++) {
        char what[80];
        snprintf(what, sizeof what, "%d candidate%s, time of the day", counts[k], k ? "s" : "");
        bench_figure(what, bench_quantile(wall[k], REPEATS, 0.5), "s", 0.0);
        snprintf(what, sizeof what, "%d candidate%s, processor time", counts[k], k ? "s" : "");
        bench_figure(what, bench_quantile(processor[k], REPEATS, 0.5), "s", 0.0);
    }
    bench_figure("64 candidates over one, time of the day", bench_quantile(growth[2], REPEATS, 0.5), "", 30.0);
    bench_figure("64 candidates over one, processor time", bench_quantile(work[2], REPEATS, 0.5), "", 30.0);
}
