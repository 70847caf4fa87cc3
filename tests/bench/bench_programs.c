/* SPDX-License-Identifier: ISC */
/* run() against other programs at the same work. Start-up and files are taken out by difference. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "audio.h"
#include "bench.h"
#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "host.h"
#include "phrase.h"
#include "setup.h"

enum { RATE = 48000, SECONDS = 240, FRAMES = RATE * SECONDS, REPEATS = 15, IMPULSE_MAX = 65536, TEXT = 4096 };

static void write_audio(const char *path, const float *samples, size_t n, int repeats)
{
    struct cw_audio_out out;
    bool good = cw_audio_create(&out, path, RATE, true, (long long)n * repeats);
    for (int i = 0; good && i < repeats; i++) {
        good = cw_audio_write(&out, samples, n);
    }
    if (!good || !cw_audio_finish(&out)) {
        exit(1);
    }
}

/* Minutes of playing, low enough that no stage of a chain clips. */
static void write_take(const char *path)
{
    float *phrase = malloc(sizeof *phrase * CW_PHRASE_FRAMES), *second = malloc(sizeof *second * RATE);
    cw_phrase_strings(phrase);
    for (int i = 0; i < RATE; i++) {
        second[i] = 0.02f * phrase[2 * RATE + i];
    }
    write_audio(path, second, RATE, SECONDS);
    free(phrase);
    free(second);
}

/* The plugin's impulse response, to where what is left is 100 dB below its energy.
 * \return its length */
static int write_impulse(const char *path, struct host *host)
{
    static float response[IMPULSE_MAX];
    double total = 0.0, left = 0.0;
    host_impulse(host, response, IMPULSE_MAX);
    for (int i = 0; i < IMPULSE_MAX; i++) {
        total += (double)response[i] * (double)response[i];
    }
    int n = IMPULSE_MAX;
    while (n > 1 && left < 1e-10 * total) {
        n--;
        left += (double)response[n] * (double)response[n];
    }
    write_audio(path, response, (size_t)n, 1);
    return n;
}

/* ---- chains of biquads ----------------------------------------------------------------------- */

/* Waiting threads are processor time too. */
#define ONE_THREAD "-threads", "1", "-filter_threads", "1", "-filter_complex_threads", "1"

struct chain {
    const char *name, *program;
    const char *with[128], *without[64];
};

static const char *number(double value)
{
    static char text[128][32];
    static unsigned at;
    char *next = text[at++ % 128];
    snprintf(next, sizeof text[0], "%.15g", value);
    return next;
}

static void add(const char **list, const char *word)
{
    while (*list) {
        list++;
    }
    list[0] = word;
    list[1] = NULL;
}

static void sox_chain(struct chain *chain, const struct cw_sections *sections, const char *take)
{
    const char *const start[] = {"sox", "-V1", "-D", take, "-n"};
    for (size_t i = 0; i < sizeof start / sizeof start[0]; i++) {
        add(chain->with, start[i]);
        add(chain->without, start[i]);
    }
    for (int i = 0; i < sections->count; i++) {
        const struct cw_biquad *s = &sections->section[i];
        double gain = i ? 1.0 : sections->gain;
        const double value[6] = {gain * s->b0, gain * s->b1, gain * s->b2, 1.0, s->a1, s->a2};
        add(chain->with, "biquad");
        for (int k = 0; k < 6; k++) {
            add(chain->with, number(value[k]));
        }
    }
}

static void ffmpeg_chain(struct chain *chain, const struct cw_sections *sections, const char *take)
{
    static char filters[TEXT];
    size_t used = (size_t)snprintf(filters, sizeof filters, "aformat=sample_fmts=fltp");
    for (int i = 0; i < sections->count; i++) {
        const struct cw_biquad *s = &sections->section[i];
        double gain = i ? 1.0 : sections->gain;
        used += (size_t)snprintf(filters + used, sizeof filters - used,
                                 ",biquad=b0=%.15g:b1=%.15g:b2=%.15g:a0=1:a1=%.15g:a2=%.15g", gain * s->b0,
                                 gain * s->b1, gain * s->b2, s->a1, s->a2);
    }
    const char *const start[] = {"ffmpeg", "-v", "error", "-nostdin", ONE_THREAD, "-i", take, "-af"};
    for (size_t i = 0; i < sizeof start / sizeof start[0]; i++) {
        add(chain->with, start[i]);
        add(chain->without, start[i]);
    }
    add(chain->with, filters);
    add(chain->without, "aformat=sample_fmts=fltp");
    for (int i = 0; i < 2; i++) {
        const char **list = i ? chain->with : chain->without;
        add(list, "-f");
        add(list, "null");
        add(list, "-");
    }
}

static void ffmpeg_convolution(struct chain *chain, const char *take, const char *impulse, const char *options)
{
    static char filter[2][128];
    static int at;
    char *next = filter[at++ % 2];
    snprintf(next, sizeof filter[0], "[0]aformat=sample_fmts=fltp[x];[x][1]afir=%s[a]", options);
    const char *const start[] = {"ffmpeg", "-v", "error", "-nostdin", ONE_THREAD,
                                 "-i",     take, "-i",    impulse,    "-filter_complex"};
    for (size_t i = 0; i < sizeof start / sizeof start[0]; i++) {
        add(chain->with, start[i]);
        add(chain->without, start[i]);
    }
    add(chain->with, next);
    add(chain->without, "[0]aformat=sample_fmts=fltp[a]");
    for (int i = 0; i < 2; i++) {
        const char **list = i ? chain->with : chain->without;
        const char *const end[] = {"-map", "[a]", "-f", "null", "-"};
        for (size_t k = 0; k < sizeof end / sizeof end[0]; k++) {
            add(list, end[k]);
        }
    }
}

/* Ours before, between and after the two programs, so that whatever else the machine does meets all of them alike. */
static double pair_of_programs(const struct chain *chain, struct host *host, size_t block, double *theirs)
{
    double ours = bench_time_run(host, FRAMES / 8, block);
    const double with = bench_program(chain->with).processor;
    ours += bench_time_run(host, FRAMES / 8, block);
    *theirs = with - bench_program(chain->without).processor;
    ours += bench_time_run(host, FRAMES / 8, block);
    return ours * 8.0 / 3.0;
}

static double compare_chain(const struct chain *chain, struct host *host, size_t block)
{
    struct bench_pairs pairs = {0};
    double ratio[REPEATS];
    for (int i = 0; i < REPEATS; i++) {
        double theirs, ours = pair_of_programs(chain, host, block, &theirs);
        bench_pair(&pairs, ours, theirs);
        ratio[i] = theirs / ours;
    }
    char what[80];
    snprintf(what, sizeof what, "run(), blocks of %zu, 48 kHz", block);
    bench_compare(what, chain->name, &pairs, 1e9 / FRAMES, "ns", 3.0);
    return bench_quantile(ratio, REPEATS, 0.5);
}

void bench_run_against_programs(void)
{
    struct cw_sections sections;
    struct host *host = bench_plugin(RATE);
    const char *take = bench_path("take.wav"), *impulse = bench_path("impulse.wav");
    char name[4][96];
    struct chain chain[4] = {{.program = "sox"}, {.program = "ffmpeg"}, {.program = "ffmpeg"}, {.program = "ffmpeg"}};
    bench_sections(RATE, &sections);
    write_take(take);
    int length = write_impulse(impulse, host);
    sox_chain(&chain[0], &sections, take);
    ffmpeg_chain(&chain[1], &sections, take);
    ffmpeg_convolution(&chain[2], take, impulse, "gtype=none");
    ffmpeg_convolution(&chain[3], take, impulse, "gtype=none:minp=64:maxp=8192");
    snprintf(name[0], sizeof name[0], "SoX, the same %d biquads in a chain", sections.count);
    snprintf(name[1], sizeof name[1], "ffmpeg, the same %d biquads in a chain", sections.count);
    snprintf(name[2], sizeof name[2], "ffmpeg afir, %d taps, partitions of 8192", length);
    snprintf(name[3], sizeof name[3], "ffmpeg afir, %d taps, partitions from 64", length);
    bench_text(
        "\n## A sample through the plugin, against other programs\n\nTheir time is that of the whole program for %d s "
        "of audio "
        "into nothing, less that of the same program on the same file\nwithout the filter: start-up and reading are "
        "not "
        "in it; ffmpeg on one thread. The biquads have the very coefficients of the plugin's sections; "
        "the\nconvolution has the plugin's "
        "impulse response, to 100 dB below its energy. Times are for one sample.\n",
        SECONDS);
    bench_comparisons();
    for (int i = 0; i < 4; i++) {
        chain[i].name = name[i];
        if (bench_has(chain[i].program)) {
            const double ratio = compare_chain(&chain[i], host, 64);
            if (i == 2) {
                bench_remember("ffmpeg afir, partitions of 8192, against run() in blocks of 64", ratio,
                               "times our time");
            }
            compare_chain(&chain[i], host, 1024);
        }
    }
    host_free(host);
}

/* ---- the network in a circuit simulator ------------------------------------------------------ */

/* Partials of a plucked string, of a tenth of a volt altogether, that die away. */
static void write_string(FILE *deck)
{
    enum { PARTIALS = 6 };
    for (int i = 1; i <= PARTIALS; i++) {
        fprintf(deck, "V%d %s%d %s%d sin(0 %g %g 0 %d)\n", i, "s", i, i == 1 ? "gnd" : "s", i == 1 ? 0 : i - 1,
                0.1 / (i * i), 110.0 * i, i);
    }
    fprintf(deck, "Vz gnd0 0 0\n");
}

static void write_coil(FILE *deck, int n, const char *top, const char *bottom, const struct cw_coil *coil)
{
    fprintf(deck, "E%d %s e%d s6 0 %.17g\nRdc%d e%d i%d %.17g\nL%d i%d %s %.17g\n", n, top, n, coil->emf, n, n, n,
            coil->resistance, n, n, bottom, coil->inductance);
    fprintf(deck, "Rl%d i%d %s %.17g\nC%d %s %s %.17g\n", n, n, bottom, coil->loss, n, top, bottom, coil->capacitance);
}

/* Candidate A of the preset: two coils in series, both controls full up. */
static void write_deck(const char *path, double seconds)
{
    struct cw_controls controls;
    struct cw_pickup pickup;
    bench_controls(&controls);
    const double *v = controls.setup[CW_A].value;
    cw_coil_solve(&controls.setup[CW_A], &pickup);
    FILE *deck = fopen(path, "w");
    if (!deck || pickup.coils != CW_COILS_SERIES || v[CW_P_VOLUME] < 10 || v[CW_P_TONE] < 10) {
        fprintf(stderr, "bench: " BENCH_PRESET " is not what the netlist is written for\n");
        exit(1);
    }
    fprintf(deck, "* candidate A, from the string to the amplifier\n");
    write_string(deck);
    write_coil(deck, 1, "hot", "mid", &pickup.coil[0]);
    write_coil(deck, 2, "mid", "0", &pickup.coil[1]);
    fprintf(deck, "K1 L1 L2 %.17g\n", pickup.mutual / sqrt(pickup.coil[0].inductance * pickup.coil[1].inductance));
    fprintf(deck, "Rvol hot 0 %gk\nRtone hot t %gk\nCtone t 0 %gn\nRin hot 0 %gmeg\nCin hot 0 %gp\n",
            v[CW_P_VOLUME_POT], v[CW_P_TONE_POT], v[CW_P_TONE_CAP], v[CW_P_INPUT_RESISTANCE],
            v[CW_P_CABLE_LENGTH] * v[CW_P_CABLE_CAPACITANCE] + v[CW_P_INPUT_CAPACITANCE]);
    fprintf(deck, ".save v(hot)\n.tran %.9g %.9g 0 %.9g\n.control\nrun\nquit\n.endc\n.end\n", 1.0 / RATE, seconds,
            1.0 / RATE);
    fclose(deck);
}

void bench_run_against_spice(void)
{
    static const double shorter = 0.25, longer = 1.25;
    if (!bench_has("ngspice")) {
        return;
    }
    const char *deck[2] = {bench_path("short.cir"), bench_path("long.cir")};
    struct host *host = bench_plugin(RATE);
    struct bench_pairs pairs = {0};
    write_deck(deck[0], shorter);
    write_deck(deck[1], longer);
    for (int i = 0; i < REPEATS; i++) {
        double took[2], ours = bench_time_run(host, 64 * RATE, 64) / 64.0;
        for (int k = 0; k < 2; k++) {
            const char *const argv[] = {"ngspice", "-b", deck[k], NULL};
            took[k] = bench_program(argv).processor;
        }
        bench_pair(&pairs, ours, (took[1] - took[0]) / (longer - shorter));
    }
    bench_text("\n## The same network in a circuit simulator\n\nngspice's transient analysis of candidate A's network, "
               "steps of at most "
               "one sample at 48 kHz, played by six decaying partials\nof a string; %g s less %g s, so that start-up "
               "is not in "
               "it. The plugin undoes the recording besides. Times are for one second of\nsound.\n",
               longer, shorter);
    bench_comparisons();
    bench_compare("run(), blocks of 64, 48 kHz", "ngspice, transient", &pairs, 1e3, "ms", 500.0);
    host_free(host);
}
