/* SPDX-License-Identifier: ISC */
#include "search.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "numbers.h"
#include "series.h"
#include "split_measure.h"

static const double head = 46.0, row_height = 19.0, edge = 8.0, button = 22.0;

static void begin(struct cw_search *search)
{
    search->slice = search->gathered = search->count = search->row = search->first = 0;
}

void cw_search_open(struct cw_search *search, enum cw_which which)
{
    search->open = true;
    search->which = which;
    search->percent = search->percent ? search->percent : 75;
    begin(search);
}

void cw_search_ask(struct cw_search *search, int percent)
{
    search->percent = percent < CW_SEARCH_LEAST ? CW_SEARCH_LEAST : percent > CW_SEARCH_MOST ? CW_SEARCH_MOST : percent;
    begin(search);
}

/* The same pickup, controls and cable, however it is split. */
static bool same_but_split(const struct cw_setup *a, const struct cw_setup *b)
{
    for (int id = 0; id < CW_PARAMS; id++) {
        if (cw_param_info[id].group != CW_GROUP_SPLIT && a->value[id] != b->value[id]) {
            return false;
        }
    }
    return true;
}

static struct cw_split_wish wish_of(const struct cw_search *search)
{
    return (struct cw_split_wish){.level = 20.0 * log10(search->percent / 100.0),
                                  .measure = {.kind = CW_MEASURE_LOUDNESS},
                                  .kinds = 1u << search->slice % CW_SPLIT_KINDS,
                                  .coils = 1u << search->slice / CW_SPLIT_KINDS,
                                  .resistors = CW_SERIES_E12,
                                  .capacitors = CW_SERIES_E12,
                                  .mains = search->mains};
}

/* A slice; with the last of them the answers stand in order, and not before: no row moves under the pointer. */
static void solve(struct cw_search *search)
{
    const struct cw_split_wish wish = wish_of(search);
    cw_split_solve(&search->of, &wish, &search->answer);
    for (int i = 0; i < search->answer.count && search->gathered < CW_SEARCH_ROWS; i++) {
        if (search->answer.solution[i].reached) {
            search->found[search->gathered++] = search->answer.solution[i];
        }
    }
    search->slice++;
    if (search->slice == CW_SEARCH_SLICES) {
        cw_split_rank(search->found, search->gathered, &wish);
        search->count = search->gathered;
    }
}

bool cw_search_step(struct cw_search *search, const struct cw_controls *controls)
{
    const struct cw_setup *setup = &controls->setup[search->which];
    if (!search->open) {
        return false;
    }
    if (setup->value[CW_P_COILS] != CW_COILS_SERIES) {
        search->open = false;
        return true;
    }
    if (search->slice == 0 || search->mains != controls->global[CW_G_MAINS] || !same_but_split(setup, &search->of)) {
        begin(search);
        search->of = *setup;
        search->mains = controls->global[CW_G_MAINS];
    }
    /* A closed volume leaves no level to compare. */
    if (search->slice == CW_SEARCH_SLICES || setup->value[CW_P_VOLUME] <= 0.0) {
        return false;
    }
    solve(search);
    return true;
}

void cw_search_move(struct cw_search *search, int by, int shown)
{
    int last = search->count > 0 ? search->count - 1 : 0, row = search->row + by;
    search->row = row < 0 ? 0 : row > last ? last : row;
    search->first = search->row < search->first            ? search->row
                    : search->row >= search->first + shown ? search->row - shown + 1
                                                           : search->first;
}

bool cw_search_in_force(const struct cw_search *search, const struct cw_controls *controls, int row)
{
    for (int id = 0; id < CW_PARAMS; id++) {
        double here = controls->setup[search->which].value[id], there = search->found[row].rounded.value[id];
        if (cw_param_info[id].group == CW_GROUP_SPLIT && fabs(here - there) > 1e-6 * fmax(fabs(there), 1e-3)) {
            return false;
        }
    }
    return true;
}

struct cw_rect cw_search_box(const struct cw_layout *layout)
{
    struct cw_rect views = layout->region[CW_REGION_VIEWS], figures = layout->region[CW_REGION_READOUTS];
    return (struct cw_rect){views.x, views.y, figures.x + figures.w - views.x, figures.h};
}

int cw_search_shown(const struct cw_layout *layout)
{
    return (int)((cw_search_box(layout).h - head - edge) / row_height);
}

struct cw_rect cw_search_part_box(const struct cw_layout *layout, enum cw_search_part part, int row)
{
    struct cw_rect box = cw_search_box(layout);
    switch (part) {
    case CW_SEARCH_LOWER: return (struct cw_rect){box.x + 150, box.y + 3, button, button};
    case CW_SEARCH_HIGHER: return (struct cw_rect){box.x + 230, box.y + 3, button, button};
    case CW_SEARCH_CLOSE: return (struct cw_rect){box.x + box.w - 60, box.y + 3, 56, button};
    case CW_SEARCH_ROW: return (struct cw_rect){box.x + 4, box.y + head + row_height * row, box.w - 8, row_height};
    case CW_SEARCH_NONE:
    default: return (struct cw_rect){0};
    }
}

enum cw_search_part cw_search_at(const struct cw_search *search, const struct cw_layout *layout, double x, double y,
                                 int *row)
{
    for (int part = CW_SEARCH_LOWER; part <= CW_SEARCH_CLOSE; part++) {
        if (cw_rect_has(cw_search_part_box(layout, (enum cw_search_part)part, 0), x, y)) {
            return (enum cw_search_part)part;
        }
    }
    for (int i = 0; i < cw_search_shown(layout) && search->first + i < search->count; i++) {
        if (cw_rect_has(cw_search_part_box(layout, CW_SEARCH_ROW, i), x, y)) {
            *row = search->first + i;
            return CW_SEARCH_ROW;
        }
    }
    return CW_SEARCH_NONE;
}

void cw_search_words(const struct cw_split_solution *solution, char *text, size_t size)
{
    const struct cw_split_figures *f = &solution->after;
    char low[24], high[24], other[24];
    snprintf(text, size, "Treble %s to %s over strings and plucks; %s with the same across the other coil.",
             cw_print_db(f->balance_low, 1, low, sizeof low), cw_print_db(f->balance_high, 1, high, sizeof high),
             cw_print_db(f->balance_other, 1, other, sizeof other));
    cw_true_minus(text, size);
}
