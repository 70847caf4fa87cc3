/* SPDX-License-Identifier: ISC */
#include "match_run.h"

#include <math.h>
#include <stdlib.h>

#include "jobs.h"
#include "message.h"
#include "progress.h"

/* Combinations of one job. */
enum { CHUNK = 256 };

struct work {
    const struct cw_wind_search *search;
    struct cw_wind_found *found;
    size_t kinds;
};

static bool solve_chunk(void *data, size_t job)
{
    const struct work *work = data;
    size_t end = (job + 1) * CHUNK < work->kinds ? (job + 1) * CHUNK : work->kinds;
    for (size_t kind = job * CHUNK; kind < end; kind++) {
        if (!cw_wind_solve(work->search, kind, &work->found[kind])) {
            work->found[kind].times = HUGE_VAL;
        }
    }
    cw_jobs_progress("searching", 1.0);
    return true;
}

/* What was solved to the front. */
static size_t gather(struct cw_wind_found *found, size_t kinds)
{
    size_t count = 0;
    for (size_t i = 0; i < kinds; i++) {
        if (found[i].times < HUGE_VAL) {
            found[count++] = found[i];
        }
    }
    return count;
}

bool cw_match_run(struct cw_match *match)
{
    struct work work = {.search = &match->search, .kinds = cw_wind_kinds(&match->search)};
    work.found = calloc(work.kinds, sizeof *work.found);
    if (!work.found) {
        cw_error_memory();
        return false;
    }
    bool good = cw_jobs_run((work.kinds + CHUNK - 1) / CHUNK, solve_chunk, &work);
    cw_progress_end();
    if (good) {
        match->kinds = work.kinds;
        match->solved = gather(work.found, work.kinds);
        match->rows = cw_wind_rank(&match->search, work.found, match->solved, match->told, match->each, match->row,
                                   match->list, &match->near);
    }
    free(work.found);
    return good;
}
