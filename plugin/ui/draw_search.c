/* SPDX-License-Identifier: ISC */
#include "draw_search.h"

#include <math.h>
#include <stdio.h>

#include "constants.h"
#include "layout.h"
#include "model.h"
#include "numbers.h"
#include "rect.h"
#include "search.h"
#include "split_kind.h"
#include "split_solve.h"
#include "split_words.h"
#include "view_state.h"

/* Columns, as shares of the width. */
enum column { KIND, PARTS, REDUCED, LEVEL, TREBLE, EAR, HUM, COLUMNS };
static const double left[COLUMNS + 1] = {0.025, 0.215, 0.465, 0.575, 0.655, 0.765, 0.88, 0.99};
static const char *const title[COLUMNS] = {"Split", "Parts", "Reduced", "Level", "Treble", "By ear", "Hum"};

static void cell(struct cw_ink *ink, struct cw_rect row, enum column column, const char *text)
{
    double x = row.x + left[column] * row.w, w = (left[column + 1] - left[column]) * row.w - 6;
    cw_ink_text(ink, x, row.y + 14, w, column < LEVEL ? CW_LEFT : CW_RIGHT, text);
}

static void draw_button(struct cw_ink *ink, struct cw_rect box, const char *label)
{
    cw_ink_colour(ink, CW_INK_HOVER);
    cw_ink_box(ink, box, 4);
    cw_ink_colour(ink, CW_INK_TEXT);
    cw_ink_font(ink, 12, false);
    cw_ink_text(ink, box.x + 2, box.y + box.h / 2 + 4.3, box.w - 4, CW_CENTRE, label);
}

static void draw_head(struct cw_ink *ink, const struct cw_search *search, const struct cw_layout *layout)
{
    struct cw_rect box = cw_search_box(layout), lower = cw_search_part_box(layout, CW_SEARCH_LOWER, 0),
                   higher = cw_search_part_box(layout, CW_SEARCH_HIGHER, 0);
    char text[64];
    cw_ink_colour(ink, CW_INK_TEXT);
    cw_ink_font(ink, 12, true);
    snprintf(text, sizeof text, "Splits of %s that keep", cw_model_short[search->which]);
    cw_ink_text(ink, box.x + 8, box.y + 18, lower.x - box.x - 10, CW_LEFT, text);
    draw_button(ink, lower, "\xe2\x88\x92");
    draw_button(ink, higher, "+");
    cw_ink_font(ink, 13, true);
    snprintf(text, sizeof text, "%d %%", search->percent);
    cw_ink_text(ink, lower.x + lower.w, box.y + 18.5, higher.x - lower.x - lower.w, CW_CENTRE, text);
    cw_ink_font(ink, 12, false);
    double x = higher.x + higher.w + 8;
    cw_ink_text(ink, x, box.y + 18, box.x + box.w - 64 - x, CW_LEFT,
                search->slice < CW_SEARCH_SLICES ? "of the full pickup's level; looking ..."
                : search->count == 0             ? "of the full pickup's level: there is none"
                                                 : "of the full pickup's level");
    draw_button(ink, cw_search_part_box(layout, CW_SEARCH_CLOSE, 0), "Close");
    cw_ink_font(ink, 11, false);
    cw_ink_colour(ink, CW_INK_FADED);
    for (int i = 0; i < COLUMNS; i++) {
        cell(ink, (struct cw_rect){box.x + 4, box.y + 27, box.w - 8, 18}, (enum column)i, title[i]);
    }
}

static void draw_row(struct cw_ink *ink, const struct cw_view *view, int row)
{
    const struct cw_search *search = &view->search;
    const struct cw_split_solution *solution = &search->found[row];
    struct cw_rect box = cw_search_part_box(&view->layout, CW_SEARCH_ROW, row - search->first);
    char text[128];
    bool here = row == search->row;
    if (here) {
        cw_ink_colour(ink, CW_INK_BRIGHT);
        cw_ink_box(ink, box, 3);
    }
    cw_ink_colour(ink, here ? CW_INK_DARK : CW_INK_TEXT);
    if (cw_search_in_force(search, &view->model.controls, row)) {
        cairo_arc(ink->cr, box.x + 8, box.y + box.h / 2, 3, 0, CW_TAU);
        cairo_fill(ink->cr);
    }
    cw_ink_font(ink, 11.5, false);
    cell(ink, box, KIND, cw_split_kind[solution->by].brief);
    cell(ink, box, PARTS, cw_split_parts(&solution->rounded, solution->turns_kept, solution->turns, text, sizeof text));
    cell(ink, box, REDUCED, cw_split_coil_name(solution->reduced));
    cell(ink, box, LEVEL, cw_print_percent(100.0 * pow(10.0, solution->after.level / 20.0), 0, text, sizeof text));
    cw_print_db(solution->after.balance, 1, text, sizeof text);
    cell(ink, box, TREBLE, cw_true_minus(text, sizeof text));
    cell(ink, box, EAR, cw_split_print_ear(&solution->ear.is, text, sizeof text));
    cw_print_noise(solution->after.hum, text, sizeof text);
    cell(ink, box, HUM, cw_true_minus(text, sizeof text));
}

void cw_draw_search(struct cw_ink *ink, const struct cw_view *view)
{
    const struct cw_search *search = &view->search;
    if (!search->open) {
        return;
    }
    struct cw_rect box = cw_search_box(&view->layout);
    cw_ink_colour(ink, CW_INK_BACK);
    cw_ink_box(ink, box, 5);
    cw_ink_colour(ink, CW_INK_FADED);
    cw_ink_edge(ink, box, 5, 1);
    draw_head(ink, search, &view->layout);
    for (int i = search->first; i < search->count && i < search->first + cw_search_shown(&view->layout); i++) {
        draw_row(ink, view, i);
    }
}
