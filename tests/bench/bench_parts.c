/* SPDX-License-Identifier: ISC */
/* What run() is made of: its parts by themselves, and its instructions as valgrind counts them. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "biquad.h"
#include "guard.h"
#include "host.h"
#include "learn.h"
#include "parallel.h"
#include "phrase.h"

static const double RATE = 48000.0;

enum { FRAMES = 1 << 17, REPEATS = 41, BLOCK_MAX = 1024, PARTS = 3 };

static float input[BLOCK_MAX], output[BLOCK_MAX];
static struct cw_parallel filter;
static struct cw_learn learner;
static struct cw_guard guard;

static void filter_block(size_t at, size_t block)
{
    (void)at;
    cw_parallel_process(&filter, input, output, block);
}

/* A step whenever its samples are there, as in the plugin. */
static void learn_block(size_t at, size_t block)
{
    for (size_t step = at / CW_LEARN_STEP; step < (at + block) / CW_LEARN_STEP; step++) {
        cw_learn_step(&learner, input + step % (BLOCK_MAX / CW_LEARN_STEP) * CW_LEARN_STEP);
    }
}

static void guard_block(size_t at, size_t block)
{
    (void)at;
    cw_guard_hold(&guard, input, output, block, 100.0);
}

static const struct {
    const char *name;
    void (*block)(size_t at, size_t block);
} parts[PARTS] = {{"the filter", filter_block}, {"learning", learn_block}, {"the guard", guard_block}};

static double time_part(int part, size_t block)
{
    const double start = bench_processor();
    for (size_t at = 0; at < FRAMES; at += block) {
        parts[part].block(at, block);
    }
    return bench_processor() - start;
}

static void prepare_parts(void)
{
    struct cw_sections sections;
    float *phrase = malloc(sizeof *phrase * CW_PHRASE_FRAMES);
    cw_phrase_strings(phrase);
    memcpy(input, phrase + CW_PHRASE_RATE, sizeof input);
    free(phrase);
    bench_sections(RATE, &sections);
    cw_parallel_init(&filter, &sections, 1.0);
    cw_learn_init(&learner, RATE);
}

static void shares(struct host *host, size_t block)
{
    double run[REPEATS], part[PARTS][REPEATS], share[PARTS][REPEATS];
    for (int i = 0; i < REPEATS; i++) {
        run[i] = bench_time_run(host, FRAMES, block);
        for (int p = 0; p < PARTS; p++) {
            part[p][i] = time_part(p, block);
            share[p][i] = part[p][i] / run[i];
        }
    }
    char what[96];
    snprintf(what, sizeof what, "run(), blocks of %zu", block);
    bench_figure(what, 1e9 / FRAMES * bench_quantile(run, REPEATS, 0.5), "ns", 0.0);
    for (int p = 0; p < PARTS; p++) {
        snprintf(what, sizeof what, "of it %s, by itself %.2f ns", parts[p].name,
                 1e9 / FRAMES * bench_quantile(part[p], REPEATS, 0.5));
        bench_figure(what, 100.0 * bench_quantile(share[p], REPEATS, 0.5), "%", 0.0);
    }
}

void bench_run_parts(void)
{
    struct host *host = bench_plugin(RATE);
    prepare_parts();
    bench_text("\n## What a sample is made of\n\nThe parts of `run()` at 48 kHz by themselves, measured in turn with "
               "the whole: time, and share of the time of `run()`. What is\nleft is the call, the controls, the "
               "history and the copies between them.\n");
    bench_figures();
    shares(host, 64);
    shares(host, 256);
    host_free(host);
}

/* ---- instructions -------------------------------------------------------------------------------- */

void bench_play(const char *what, size_t block, size_t frames)
{
    struct host *host = bench_plugin(RATE);
    prepare_parts();
    if (strcmp(what, "run") == 0) {
        bench_time_run(host, frames, block);
    } else {
        struct cw_sections sections;
        struct cw_biquad_state state = {0, 0};
        bench_sections(RATE, &sections);
        for (size_t at = 0; at < frames; at += block) {
            cw_biquad_process(&sections.section[0], &state, input, output, block);
        }
    }
    host_free(host);
}

/* Instructions of a whole program as callgrind counted them; 0 where it did not. */
static double instructions(const char *self, const char *what, size_t block, size_t frames)
{
    char sizes[2][32], out[160], line[256];
    double count = 0.0;
    snprintf(sizes[0], sizeof sizes[0], "%zu", block);
    snprintf(sizes[1], sizeof sizes[1], "%zu", frames);
    snprintf(out, sizeof out, "--callgrind-out-file=%s", bench_path("callgrind"));
    const char *const argv[] = {"valgrind", "-q", "--tool=callgrind", out,      self,
                                "--play",   what, sizes[0],           sizes[1], NULL};
    bench_program(argv);
    FILE *file = fopen(bench_path("callgrind"), "r");
    while (file && fgets(line, sizeof line, file)) {
        sscanf(line, "summary: %lf", &count);
    }
    if (file) {
        fclose(file);
    }
    return count;
}

void bench_instructions(const char *self)
{
    enum { SHORT = 1 << 14, LONG = 3 << 14 };
    static const struct {
        const char *what, *name;
        size_t block;
    } rows[] = {{"run", "run(), blocks of 16", 16},
                {"run", "run(), blocks of 64", 64},
                {"run", "run(), blocks of 256", 256},
                {"biquad", "one biquad, scalar loop", 64}};
    bench_text("\n## Instructions\n\nInstructions for one sample at 48 kHz, counted by valgrind's callgrind: a longer "
               "run less a shorter one. Other work on the "
               "machine does not\nchange them. Valgrind offers vectors of four doubles, not of eight.\n");
    if (!bench_has("valgrind")) {
        bench_text("\nvalgrind is not here: this table is missing.\n");
        return;
    }
    bench_figures();
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double more = instructions(self, rows[i].what, rows[i].block, LONG);
        const double less = instructions(self, rows[i].what, rows[i].block, SHORT);
        bench_figure(rows[i].name, (more - less) / (LONG - SHORT), "", 0.0);
    }
}
