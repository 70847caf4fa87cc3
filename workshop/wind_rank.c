/* SPDX-License-Identifier: ISC */
#include "wind_rank.h"

#include <math.h>
#include <stdlib.h>

#include "audible.h"
#include "curve.h"

/* So many of the nearest have their turns tried one by one; fewer where coil two is solved too, which takes longer. */
enum { POLISHED = 2000, POLISHED_BOTH = 500 };

static int by_times(const void *a, const void *b)
{
    const struct cw_wind_found *x = a, *y = b;
    if (x->times != y->times) {
        return x->times > y->times ? 1 : -1;
    }
    double p = fabs(x->off_level), q = fabs(y->off_level);
    return p != q ? (p > q ? 1 : -1) : (x->kind > y->kind) - (x->kind < y->kind);
}

static int by_place(const void *a, const void *b)
{
    const struct cw_wind_candidate *x = a, *y = b;
    return x->place != y->place ? x->place - y->place : by_times(&x->found, &y->found);
}

static int by_candidate(const void *a, const void *b)
{
    const struct cw_wind_candidate *x = a, *y = b;
    return by_times(&x->found, &y->found);
}

double cw_wind_judge(const struct cw_wind_target *target, const struct cw_wind_candidate *candidate,
                     enum cw_wish_id *by)
{
    double worst = 0.0;
    *by = CW_WISHES;
    if (target->has_bands) {
        worst = candidate->apart.times;
    }
    for (int i = 0; i < CW_WISHES; i++) {
        double asked = target->wish[i], is = candidate->figure[i];
        if (!target->wished[i]) {
            continue;
        }
        if (i == CW_WISH_LEVEL && target->has_bands) {
            is = candidate->apart.level;
        }
        bool share = i == CW_WISH_RESONANCE || i == CW_WISH_RESISTANCE;
        double miss = fabs(share ? log(fmax(is, 1.0) / asked) : is - asked) / cw_wish_step[i];
        if (miss > worst) {
            worst = miss;
            *by = (enum cw_wish_id)i;
        }
    }
    return worst;
}

static void judge(const struct cw_wind_search *search, const struct cw_wind_found *found,
                  struct cw_wind_candidate *candidate)
{
    struct cw_curve curve;
    enum cw_wish_id by;
    *candidate = (struct cw_wind_candidate){.found = *found};
    cw_wind_setup(search, found, &candidate->setup);
    cw_curve_init(&curve, &candidate->setup, NULL);
    cw_audible_levels(&curve.response, candidate->level);
    cw_wind_figures(&candidate->setup, candidate->figure);
    if (search->target.has_bands) {
        candidate->apart = cw_audible_of(candidate->level, search->target.level);
    }
    candidate->found.times = cw_wind_judge(&search->target, candidate, &by);
    candidate->uncertainty = cw_wind_uncertainty(&candidate->setup, &search->known);
}

/* Combinations that differ in the last three axes only are one row. */
static size_t row_of(const struct cw_wind_search *search, size_t kind)
{
    return kind / ((size_t)search->axis[CW_AXIS_INSULATION].count * (size_t)search->axis[CW_AXIS_POTTING].count *
                   (size_t)search->axis[CW_AXIS_MAGNET].count);
}

static bool has_row(const struct cw_wind_search *search, const struct cw_wind_candidate *candidate, size_t count,
                    size_t kind)
{
    for (size_t i = 0; i < count; i++) {
        if (row_of(search, candidate[i].found.kind) == row_of(search, kind)) {
            return true;
        }
    }
    return false;
}

/* A candidate shares the place of the nearest before it that leads one and cannot be told from it. */
static void give_places(struct cw_wind_candidate *candidate, size_t count, double equal)
{
    int places = 0;
    for (size_t i = 0; i < count; i++) {
        int led = 0;
        for (size_t k = 0; k < i && candidate[i].place == 0; k++) {
            bool leads = candidate[k].place == led + 1;
            led += leads;
            if (leads && fabs(cw_audible_of(candidate[i].level, candidate[k].level).worst) <= equal) {
                candidate[i].place = candidate[k].place;
            }
        }
        candidate[i].place = candidate[i].place ? candidate[i].place : ++places;
    }
    qsort(candidate, count, sizeof *candidate, by_place);
}

size_t cw_wind_rank(const struct cw_wind_search *search, struct cw_wind_found *found, size_t count, double told,
                    bool each, struct cw_wind_candidate *candidate, size_t most, size_t *near)
{
    double equal = fmax(told, CW_WIND_EQUAL_DB);
    size_t most_polished = search->second_high > search->second_low ? POLISHED_BOTH : POLISHED;
    size_t polished = count < most_polished ? count : most_polished, rows = 0;
    qsort(found, count, sizeof *found, by_times);
    for (size_t i = 0; i < polished; i++) {
        cw_wind_polish(search, &found[i]);
    }
    qsort(found, polished, sizeof *found, by_times);
    for (size_t i = 0; i < count && rows < most; i++) {
        if (each || !has_row(search, candidate, rows, found[i].kind)) {
            judge(search, &found[i], &candidate[rows++]);
        }
    }
    qsort(candidate, rows, sizeof *candidate, by_candidate);
    give_places(candidate, rows, equal);
    if (near) {
        *near = 0;
        while (*near < count && found[*near].times <= found[0].times + equal / CW_AUDIBLE_DB) {
            ++*near;
        }
    }
    return rows;
}
