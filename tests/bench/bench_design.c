/* SPDX-License-Identifier: ISC */
/* What is worked out off the audio: designs, responses, splits, the window. */
#include <stdio.h>
#include <stdlib.h>

#include "audible.h"
#include "bench.h"
#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "digital.h"
#include "loudness.h"
#include "redraw.h"
#include "setup.h"
#include "setups.h"
#include "split_kind.h"
#include "split_measure.h"
#include "split_solve.h"
#include "transfer.h"
#include "wind_search.h"

enum { SETUPS = 4000, TRIES = 15 };

static const double RATE = 48000.0;

static void transfer_of(const struct cw_setup *setup, struct cw_transfer *h)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, h);
}

/* From parameters to sections: two setups, their networks, one design. */
static void redesign(const struct cw_setup *candidate, const struct cw_setup *recorded)
{
    struct cw_transfer a, rec;
    struct cw_sections sections;
    transfer_of(candidate, &a);
    transfer_of(recorded, &rec);
    cw_digital_design(&a, &rec, RATE, 24.0, &sections);
}

/* The shortest of several tries: what is longer was an interruption. */
static double time_redesign(const struct cw_setup *candidate, const struct cw_setup *recorded)
{
    double least = 1.0;
    for (int i = 0; i < TRIES; i++) {
        double start = bench_wall();
        redesign(candidate, recorded);
        double took = bench_wall() - start;
        least = took < least ? took : least;
    }
    return least;
}

static void random_designs(enum cw_coil_from from, const char *name, double most)
{
    double *took = malloc(sizeof *took * SETUPS);
    struct rng rng = {4711};
    for (int i = 0; i < SETUPS; i++) {
        struct cw_setup candidate, recorded;
        setups_random(&rng, i, &candidate);
        setups_random(&rng, i / SETUPS_KINDS, &recorded);
        candidate.value[CW_P_COIL_FROM] = recorded.value[CW_P_COIL_FROM] = from;
        took[i] = time_redesign(&candidate, &recorded);
    }
    const struct {
        const char *name;
        double share, most;
    } of[] = {{"median", 0.5, 0.0}, {"99.9th percentile", 0.999, 0.0}, {"worst", 1.0, most}};
    for (size_t i = 0; i < 3; i++) {
        char what[120];
        snprintf(what, sizeof what, "random setups, %s: %s", name, of[i].name);
        const double value = 1e6 * bench_quantile(took, SETUPS, of[i].share);
        bench_figure(what, value, "µs", of[i].most);
        if (of[i].share == 1.0) {
            snprintf(what, sizeof what, "redesign, random setups, %s, worst", name);
            bench_remember(what, value, "µs");
        }
    }
    free(took);
}

void bench_design(void)
{
    struct cw_controls controls;
    bench_controls(&controls);
    bench_text("\n## A redesign: from parameters to sections\n\n`cw_coil_solve()` and `cw_circuit_transfer()` for the "
               "candidate and "
               "for what is undone, and `cw_digital_design()` of\ntheir ratio at 48 kHz. %d random pairs of setups "
               "over the whole "
               "ranges and every kind of split; each the shortest of %d tries.\n",
               SETUPS, TRIES);
    bench_figures();
    const double preset = 1e6 * time_redesign(&controls.setup[CW_A], &controls.setup[CW_REC]);
    bench_figure("the preset", preset, "µs", 20.0);
    bench_remember("redesign, the preset", preset, "µs");
    random_designs(CW_FROM_MEASURED, "measured values", 40.0);
    random_designs(CW_FROM_WINDING, "values worked out from the winding", 45.0);
}

/* ---- searches -------------------------------------------------------------------------------- */

enum { EVALUATIONS = 20000, SEARCHES = 9 };

/* Keeps a result that nobody reads from being left out. */
static volatile double sink;

static double median_rate(double (*once)(const struct cw_setup *setup))
{
    struct cw_controls controls;
    double rate[SEARCHES];
    bench_controls(&controls);
    for (int i = 0; i < SEARCHES; i++) {
        rate[i] = once(&controls.setup[CW_B]);
    }
    return bench_quantile(rate, SEARCHES, 0.5);
}

/* A step of a search: other values, the network anew, and the weighted level of its response. */
static double search_steps(const struct cw_setup *setup)
{
    struct cw_setup moved = *setup;
    double start = bench_processor();
    for (int i = 0; i < EVALUATIONS; i++) {
        struct cw_transfer h;
        moved.value[CW_P_INDUCTANCE] = 2.0 + 4.0 * i / EVALUATIONS;
        transfer_of(&moved, &h);
        sink = cw_loudness_of(&h, NULL);
    }
    return EVALUATIONS / (bench_processor() - start);
}

static double response_points(const struct cw_setup *setup)
{
    struct cw_transfer h;
    transfer_of(setup, &h);
    double start = bench_processor(), sum = 0.0;
    for (int i = 0; i < EVALUATIONS; i++) {
        sum += cw_transfer_power(&h, 20.0 + i);
    }
    sink = sum;
    return EVALUATIONS / (bench_processor() - start);
}

/* Every kind of split of either coil that brings the preset's split pickup to three quarters. */
static double split_solutions(const struct cw_setup *setup)
{
    static struct cw_split_answer answer;
    struct cw_split_wish wish = {.level = -2.5,
                                 .measure = {.kind = CW_MEASURE_LOUDNESS},
                                 .kinds = (1u << CW_SPLIT_KINDS) - 1,
                                 .coils = 1u << CW_SPLIT_COIL_TWO,
                                 .mains = 50.0};
    double start = bench_processor();
    cw_split_solve(setup, &wish, &answer);
    double took = bench_processor() - start;
    if (answer.count == 0) {
        fprintf(stderr, "bench: no split was found\n");
        exit(1);
    }
    return took;
}

/* A split of random candidates for a level and a tone: the longest of them, each the shortest of three tries. */
static double longest_split(void)
{
    static struct cw_split_answer answer;
    struct rng rng = {76};
    double longest = 0.0;
    for (int i = 0; i < 20; i++) {
        struct cw_setup setup;
        setups_random(&rng, SETUPS_KINDS * i + 3, &setup);
        struct cw_split_wish wish = {.level = -2.5,
                                     .measure = {.kind = CW_MEASURE_LOUDNESS},
                                     .kinds = (1u << CW_SPLIT_KINDS) - 1,
                                     .coils = 1u << CW_SPLIT_COIL_TWO,
                                     .mains = 50.0,
                                     .tone = (enum cw_tone_wish)(i % 3),
                                     .tone_value = i % 3 == CW_TONE_RESONANCE ? 3500.0 : -2.0};
        double least = 1.0;
        for (int k = 0; k < 3; k++) {
            double start = bench_processor();
            cw_split_solve(&setup, &wish, &answer);
            double took = bench_processor() - start;
            least = took < least ? took : least;
        }
        longest = least > longest ? least : longest;
    }
    return longest;
}

void bench_search(void)
{
    bench_text("\n## Searches\n\nA step of a search changes a value, solves coils and network anew and takes the "
               "weighted level of the "
               "response in %d bands.\nA split solved is all kinds of split of one coil for -2.5 dB, with "
               "preferred values "
               "and figures of every solution.\n",
               CW_LOUDNESS_BANDS);
    bench_figures();
    bench_figure("steps of a search, thousands a second", 1e-3 * median_rate(search_steps), "", 0.0);
    bench_figure("response evaluations at one frequency, millions a second", 1e-6 * median_rate(response_points), "",
                 0.0);
    bench_figure("`coilwright split`, one candidate solved", 1e3 * median_rate(split_solutions), "ms", 0.0);
    bench_figure("the same with a tone wished for, 20 random candidates: the longest", 1e3 * longest_split(), "ms",
                 50.0);
}

void bench_spread(void)
{
    const char *program = getenv("CW_PROGRAM");
    const char *const argv[] = {program,   "spread",  "presets/winding-compare-mismatch.ttl#b",
                                "--draws", "1000000", NULL};
    bench_text(
        "\n## Spread\n\n`coilwright spread` of two unequal coils: a million pickups drawn, each with its network "
        "solved and\nits figures worked out, on all processors; the program as a whole.\n");
    bench_figures();
    bench_figure("1,000,000 draws", bench_program(argv).wall, "s", 10.0);
}

/* Evaluations of a search for windable specs: coil, network, bands, miss. */
static double match_evaluations(const struct cw_setup *setup)
{
    enum { MATCH_EVALUATIONS = 100000 };
    static struct cw_wind_search search;
    struct cw_setup spec = *setup;
    spec.value[CW_P_COIL_FROM] = CW_FROM_WINDING;
    cw_wind_search_init(&search, &spec);
    cw_wind_target_bands(&search.target, setup);
    double start = bench_processor(), sum = 0.0;
    for (int i = 0; i < MATCH_EVALUATIONS; i++) {
        spec.value[CW_P_TURNS] = 2000.0 + i % 3000;
        sum += cw_wind_miss(&search, &spec, NULL, NULL);
    }
    sink = sum;
    return bench_processor() - start;
}

void bench_match(void)
{
    const char *program = getenv("CW_PROGRAM");
    const char *const argv[] = {program, "match", "presets/winding-order-21.ttl", NULL};
    struct cw_controls controls;
    bench_controls(&controls);
    bench_text("\n## Windable specs\n\nAn evaluation is a coil from its winding, the network, levels in %d auditory "
               "bands and the largest difference.\nThe search is `coilwright match` over all choices with the turns "
               "solved, on all processors; the program as a whole.\n",
               CW_AUDIBLE_BANDS);
    bench_figures();
    bench_figure("100,000 evaluations", match_evaluations(&controls.setup[CW_A]), "s", 1.0);
    bench_figure("the whole search", bench_program(argv).wall, "s", 5.0);
}

void bench_window(void)
{
    bench_text("\n## The window\n\nCurves and figures of all three setups worked out anew and everything drawn, at "
               "scale 1, on an image "
               "in memory.\n");
    bench_figures();
    bench_figure("full redraw, 1280 x 720", redraw_ms(1280, 720, 15), "ms", 0.0);
}
