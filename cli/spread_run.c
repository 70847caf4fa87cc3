/* SPDX-License-Identifier: ISC */
#include "spread_run.h"

#include <math.h>
#include <stdlib.h>

#include "jobs.h"
#include "loudness.h"
#include "message.h"
#include "statistics.h"
#include "transfer.h"

enum { BLOCK = 2500, PAIRS_BLOCK = 10 };

/* What the jobs write into: each its own places. */
struct work {
    struct cw_spread_run *run;
    double *figure[CW_SPREAD_SETS][CW_SPREAD_FIGURES];
    struct cw_pair *pair;
    double level_apart; /* second design against the first, dB */
};

static void keep_curve(struct cw_spread_run *run, int design, size_t at, const struct cw_transfer *h)
{
    double *level = run->curve[(size_t)design * CW_SPREAD_CURVES + at];
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        level[i] = cw_transfer_db(h, cw_plot_hz(i));
    }
}

static void draw_one(struct work *work, size_t at)
{
    struct cw_spread_run *run = work->run;
    struct cw_deviation deviation[2];
    double figure[2][CW_SPREAD_FIGURES];
    cw_spread_draw(run->seed, at, &deviation[0]);
    cw_spread_draw_other(run->seed, at, 1, &deviation[0], &deviation[1]);
    for (int d = 0; d < run->designs; d++) {
        struct cw_transfer h;
        cw_spread_figures(&run->design[d], &deviation[d], figure[d], &h);
        if (run->curve && at < CW_SPREAD_CURVES) {
            keep_curve(run, d, at, &h);
        }
    }
    for (int f = 0; f < CW_SPREAD_FIGURES; f++) {
        for (int d = 0; d < run->designs; d++) {
            work->figure[d][f][at] = figure[d][f];
        }
        if (run->designs == 2) {
            /* Each level is against that of its own design. */
            double apart = f == CW_SPREAD_LEVEL ? work->level_apart : 0.0;
            work->figure[CW_SPREAD_DIFFERENCE][f][at] = figure[1][f] - figure[0][f] + apart;
        }
    }
}

static bool draw_block(void *data, size_t job)
{
    struct work *work = data;
    size_t end = (job + 1) * BLOCK < work->run->draws ? (job + 1) * BLOCK : work->run->draws;
    cw_jobs_progress("drawing", 0.0);
    for (size_t i = job * BLOCK; i < end; i++) {
        draw_one(work, i);
    }
    return true;
}

static bool pair_block(void *data, size_t job)
{
    struct work *work = data;
    const struct cw_spread_run *run = work->run;
    cw_jobs_progress("comparing pairs", 0.0);
    for (size_t i = job * PAIRS_BLOCK; i < (job + 1) * PAIRS_BLOCK; i++) {
        cw_pair_draw(&run->design[0], &run->design[1], run->seed, i, &work->pair[i]);
    }
    return true;
}

static bool get_room(struct work *work)
{
    struct cw_spread_run *run = work->run;
    bool good = true;
    for (int set = 0; set < CW_SPREAD_SETS; set++) {
        for (int f = 0; f < CW_SPREAD_FIGURES && (set == 0 || run->designs == 2); f++) {
            work->figure[set][f] = malloc(run->draws * sizeof(double));
            good = good && work->figure[set][f];
        }
    }
    work->pair = malloc(CW_SPREAD_PAIRS * sizeof *work->pair);
    return good && work->pair;
}

/* What the draws come to; puts them into order. */
static void sum_up(struct work *work)
{
    struct cw_spread_run *run = work->run;
    for (int set = 0; set < CW_SPREAD_SETS && (set == 0 || run->designs == 2); set++) {
        for (int f = 0; f < CW_SPREAD_FIGURES; f++) {
            double *values = work->figure[set][f];
            run->found[set][f] = cw_spread_found_of(values, run->draws);
            double way = run->found[set][f].middle;
            for (size_t i = 0; set == CW_SPREAD_DIFFERENCE && i < run->draws; i++) {
                run->same_way[f] += (way > 0.0 ? values[i] > 0.0 : values[i] < 0.0) / (double)run->draws;
            }
            for (size_t i = 0; set < 2 && f == CW_SPREAD_FILL && i < run->draws; i++) {
                run->too_full[set] += (values[i] > 1.0) / (double)run->draws;
            }
        }
    }
    if (run->designs == 2) {
        run->pairs = cw_pairs_found_of(work->pair, CW_SPREAD_PAIRS, work->figure[0][0]);
    }
}

bool cw_spread_run(struct cw_spread_run *run, bool with_curves)
{
    struct work work = {.run = run};
    bool good = get_room(&work);
    if (run->designs == 2) {
        work.level_apart = cw_loudness_against(&run->design[1].response, &run->design[0].response);
    }
    if (with_curves) {
        run->curve = malloc((size_t)run->designs * CW_SPREAD_CURVES * sizeof *run->curve);
        good = good && run->curve;
    }
    if (!good) {
        cw_error_memory();
    }
    good = good && cw_jobs_run((run->draws + BLOCK - 1) / BLOCK, draw_block, &work);
    good = good && (run->designs == 1 || cw_jobs_run(CW_SPREAD_PAIRS / PAIRS_BLOCK, pair_block, &work));
    if (good) {
        sum_up(&work);
    }
    for (int set = 0; set < CW_SPREAD_SETS; set++) {
        for (int f = 0; f < CW_SPREAD_FIGURES; f++) {
            free(work.figure[set][f]);
        }
    }
    free(work.pair);
    return good;
}

void cw_spread_run_free(struct cw_spread_run *run)
{
    free(run->curve);
    run->curve = NULL;
}

void cw_spread_band(struct cw_spread_run *run, int design, double share, double level[CW_PLOT_POINTS])
{
    double column[CW_SPREAD_CURVES];
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        for (size_t k = 0; k < CW_SPREAD_CURVES; k++) {
            column[k] = run->curve[(size_t)design * CW_SPREAD_CURVES + k][i];
        }
        cw_sort(column, CW_SPREAD_CURVES);
        level[i] = cw_quantile(column, CW_SPREAD_CURVES, share);
    }
}
