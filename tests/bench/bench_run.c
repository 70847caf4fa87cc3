/* SPDX-License-Identifier: ISC */
/* run() of the real plugin, loaded by lilv, against plain loops; and its worst case. */
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "bench.h"
#include "biquad.h"
#include "host.h"
#include "phrase.h"
#include "setup.h"

enum { BLOCK_MAX = 1024, FRAMES = 1 << 17, REPEATS = 41 };

/* What is played: a piece of the phrase, the same in every block. */
static float input[BLOCK_MAX], output[BLOCK_MAX];

static void prepare_input(void)
{
    float *phrase = malloc(sizeof *phrase * CW_PHRASE_FRAMES);
    cw_phrase_strings(phrase);
    memcpy(input, phrase + CW_PHRASE_RATE, sizeof input);
    free(phrase);
}

static void connect_audio(struct host *host)
{
    for (uint32_t i = 0; i < host_ports(host); i++) {
        if (strcmp(host_symbol(host, i), "in") == 0) {
            lilv_instance_connect_port(host_instance(host), i, input);
        } else if (strcmp(host_symbol(host, i), "out") == 0) {
            lilv_instance_connect_port(host_instance(host), i, output);
        }
    }
}

struct host *bench_plugin(double rate)
{
    static bool prepared;
    if (!prepared) {
        prepare_input();
        prepared = true;
    }
    struct host *host = host_new(rate);
    if (!host || !host_load_preset(host, BENCH_PRESET)) {
        fprintf(stderr, "bench: the plugin does not start with " BENCH_PRESET "\n");
        exit(1);
    }
    host_set(host, "listen", CW_LISTEN_A);
    host_set(host, "undo_recording", 1.0f);
    connect_audio(host);
    for (int i = 0; i < 100; i++) {
        lilv_instance_run(host_instance(host), BLOCK_MAX); /* past the first design and its figures */
    }
    return host;
}

double bench_time_run(struct host *host, size_t frames, size_t block)
{
    LilvInstance *instance = host_instance(host);
    double start = bench_processor();
    for (size_t at = 0; at < frames; at += block) {
        lilv_instance_run(instance, (uint32_t)block);
    }
    return bench_processor() - start;
}

static double time_biquad(const struct cw_biquad *section, size_t frames, size_t block)
{
    struct cw_biquad_state state = {0, 0};
    double start = bench_processor();
    for (size_t at = 0; at < frames; at += block) {
        cw_biquad_process(section, &state, input, output, block);
    }
    return bench_processor() - start;
}

static double time_copy(size_t frames, size_t block)
{
    double start = bench_processor();
    for (size_t at = 0; at < frames; at += block) {
        memcpy(output, input, block * sizeof *input);
        __asm__ __volatile__("" ::: "memory"); /* the copy is wanted each time */
    }
    return bench_processor() - start;
}

/* At least how many times as fast as the lone biquad: as fast in blocks of up to 64, in longer ones at 0.8 of its time.
 */
static double block_limit(size_t block) { return block <= 64 ? 1.0 : 1.0 / 0.8; }

static void one_block_size(struct host *host, double rate, size_t block)
{
    struct cw_sections sections;
    struct bench_pairs biquad = {0}, copy = {0};
    bench_sections(rate, &sections);
    for (int i = 0; i < REPEATS; i++) {
        double ours = bench_time_run(host, FRAMES, block);
        bench_pair(&biquad, ours, time_biquad(&sections.section[0], FRAMES, block));
        ours = bench_time_run(host, FRAMES, block);
        bench_pair(&copy, ours, time_copy(FRAMES, block));
    }
    char what[80];
    snprintf(what, sizeof what, "run(), blocks of %zu, %.0f kHz", block, rate / 1000.0);
    bench_compare(what, "one biquad, scalar loop", &biquad, 1e9 / FRAMES, "ns", block_limit(block));
    bench_remember(what, 1e9 / FRAMES * bench_quantile(biquad.ours, REPEATS, 0.5), "ns");
    bench_compare(what, "memory copy", &copy, 1e9 / FRAMES, "ns", 0.0);
}

/* As in a host that keeps each control somewhere else. */
static void scatter_controls(struct host *host)
{
    enum { APART = 16, PORTS_MAX = 512 };
    static float value[PORTS_MAX * APART];
    for (uint32_t i = 0; i < host_ports(host) && i < PORTS_MAX; i++) {
        if (host_is_control_input(host, i) || host_is_control_output(host, i)) {
            value[i * APART] = host_get(host, host_symbol(host, i));
            lilv_instance_connect_port(host_instance(host), i, &value[i * APART]);
        }
    }
}

static void scattered(double rate, size_t block)
{
    struct host *host = bench_plugin(rate);
    struct cw_sections sections;
    struct bench_pairs biquad = {0};
    bench_sections(rate, &sections);
    scatter_controls(host);
    for (int i = 0; i < REPEATS; i++) {
        double ours = bench_time_run(host, FRAMES, block);
        bench_pair(&biquad, ours, time_biquad(&sections.section[0], FRAMES, block));
    }
    char what[80];
    snprintf(what, sizeof what, "run(), blocks of %zu, %.0f kHz, controls apart", block, rate / 1000.0);
    bench_compare(what, "one biquad, scalar loop", &biquad, 1e9 / FRAMES, "ns", 1.0 / 1.3);
    host_free(host);
}

static atomic_bool others_work;

/* A loop that asks for nothing but a core. */
static void *work_beside(void *nothing)
{
    static const struct cw_biquad section = {1.0, -1.8, 0.81, -1.7, 0.75};
    struct cw_biquad_state state = {0, 0};
    float x[64] = {1.0f}, y[64];
    while (atomic_load_explicit(&others_work, memory_order_relaxed)) {
        cw_biquad_process(&section, &state, x, y, 64);
        __asm__ __volatile__("" ::"r"(y) : "memory"); /* the output is wanted */
    }
    return nothing;
}

/* As many of them as there are other processors; where two processors are threads of one core, each slows the other. */
static void beside_others(double rate, size_t block)
{
    enum { MOST = 63 };
    pthread_t thread[MOST];
    const long others = sysconf(_SC_NPROCESSORS_ONLN) - 1;
    long begun = 0;
    struct host *host = bench_plugin(rate);
    struct cw_sections sections;
    struct bench_pairs biquad = {0};
    bench_sections(rate, &sections);
    atomic_store(&others_work, true);
    while (begun < others && begun < MOST && pthread_create(&thread[begun], NULL, work_beside, NULL) == 0) {
        begun++;
    }
    for (int i = 0; i < REPEATS; i++) {
        double ours = bench_time_run(host, FRAMES, block);
        bench_pair(&biquad, ours, time_biquad(&sections.section[0], FRAMES, block));
    }
    atomic_store(&others_work, false);
    for (long i = 0; i < begun; i++) {
        (void)pthread_join(thread[i], NULL);
    }
    char what[96];
    snprintf(what, sizeof what, "run(), blocks of %zu, %.0f kHz, the other processors busy", block, rate / 1000.0);
    bench_compare(what, "one biquad, scalar loop", &biquad, 1e9 / FRAMES, "ns", 0.0);
    host_free(host);
}

void bench_run_against_loops(void)
{
    static const double rates[] = {48000, 96000};
    static const size_t blocks[] = {16, 64, 256, 1024};
    bench_text(
        "\n## A sample through the plugin, against plain loops\n\nThe whole of `run()` as a host calls it. The biquad "
        "is "
        "`cw_biquad_process()`, one section, double state, float in and\nout, the same build; the copy is `memcpy()`. "
        "Times are for one sample, everything in the nearest cache. The host keeps its controls in one array, as most "
        "do; in the last row but one each has a cache line "
        "to\nitself. In the last row each other processor runs a loop of its own: where two processors are threads of "
        "one core, as on\nmany rented machines, they share what vectors are worked out with, and nobody is told.\n");
    bench_comparisons();
    for (size_t r = 0; r < 2; r++) {
        struct host *host = bench_plugin(rates[r]);
        for (size_t b = 0; b < sizeof blocks / sizeof blocks[0]; b++) {
            one_block_size(host, rates[r], blocks[b]);
        }
        host_free(host);
    }
    scattered(48000, 64);
    beside_others(48000, 16);
}

/* ---- the worst of one run() ------------------------------------------------------------------ */

enum { MOVING_BLOCKS = 20000, TRIES = 5 };

/* Every control somewhere in its range, anew for each block. */
static void move_everything(struct host *host, uint32_t *random)
{
    for (size_t i = 0; i < host_ports(host); i++) {
        if (host_is_control_input(host, i)) {
            float least, most, preset;
            host_range(host, i, &least, &most, &preset);
            host_set(host, host_symbol(host, i), least + (float)host_random_unit(random) * (most - least));
        }
    }
    host_set(host, "enabled", 1.0f);
    host_set(host, "listen", (float)(1 + host_random(random) % 2));
    host_set(host, "undo_recording", 1.0f);
}

/* The same moves several times over: the shortest time of each block is its own, what is longer was
 * an interruption. */
static void moving_times(double rate, size_t block, double *least)
{
    for (int try = 0; try < TRIES; try++) {
        struct host *host = bench_plugin(rate);
        uint32_t random = 20261;
        for (int i = 0; i < MOVING_BLOCKS; i++) {
            move_everything(host, &random);
            double start = bench_wall();
            lilv_instance_run(host_instance(host), (uint32_t)block);
            double took = bench_wall() - start;
            least[i] = try == 0 || took < least[i] ? took : least[i];
        }
        host_free(host);
    }
}

/* The limits are those of a short block, which has no more time for the work of a change than its own. */
void bench_run_worst(void)
{
    static const struct {
        double rate;
        size_t block;
        double most; /* %, of the worst */
    } rows[] = {{48000, 16, 10}, {192000, 16, 25}, {48000, 64, 5}, {48000, 256, 0}};
    static const struct {
        const char *name;
        double share;
    } of[] = {{"median", 0.5}, {"99.9th percentile", 0.999}, {"worst", 1.0}};
    double *took = malloc(sizeof *took * MOVING_BLOCKS);
    bench_text("\n## One run() while every control moves\n\nAll inputs get new random values for each of %d blocks, "
               "with the recording undone and A or B heard. The moves are\nplayed %d times; the shortest time of each "
               "block counts, so that interruptions by other work do not. A percentage is of the\nblock's own length. "
               "The work of a change is spread over the samples that follow it (dsp/voice.h).\n",
               MOVING_BLOCKS, TRIES);
    bench_figures();
    for (size_t b = 0; b < sizeof rows / sizeof rows[0]; b++) {
        double budget = (double)rows[b].block / rows[b].rate;
        moving_times(rows[b].rate, rows[b].block, took);
        for (size_t i = 0; i < 3; i++) {
            char what[80];
            double value = bench_quantile(took, MOVING_BLOCKS, of[i].share);
            snprintf(what, sizeof what, "run() of %zu at %.0f kHz, %s: %.1f µs", rows[b].block, 1e-3 * rows[b].rate,
                     of[i].name, 1e6 * value);
            bench_figure(what, 100.0 * value / budget, "%", i == 2 ? rows[b].most : 0.0);
            if (i == 2) {
                snprintf(what, sizeof what, "run() of %zu at %.0f kHz, every control moving, worst", rows[b].block,
                         1e-3 * rows[b].rate);
                bench_remember(what, 1e6 * value, "µs");
            }
        }
    }
    free(took);
}
