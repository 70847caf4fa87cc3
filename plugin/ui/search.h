/* SPDX-License-Identifier: ISC */
/** \file search.h
 * Finding a split: the solver's answers for a wanted level, listed over the plot, taken over by a click.
 *
 * The window's thread works it out in slices, one kind of split with one coil each time that the host
 * lets it idle, so that nothing waits for it.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_SEARCH_H
#define CW_UI_SEARCH_H

#include <stdbool.h>
#include <stddef.h>

#include "layout.h"
#include "rect.h"
#include "setup.h"
#include "split_kind.h"
#include "split_solve.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_SEARCH_ROWS = CW_SPLIT_SOLUTIONS,   /**< most answers */
    CW_SEARCH_SLICES = 2 * CW_SPLIT_KINDS, /**< a kind with either coil each */
    CW_SEARCH_TEXT = 360
};

/** Lowest and highest level that can be asked for, %. */
enum { CW_SEARCH_LEAST = 40, CW_SEARCH_MOST = 120 };

/** What can be pressed in the list. */
enum cw_search_part { CW_SEARCH_NONE, CW_SEARCH_ROW, CW_SEARCH_LOWER, CW_SEARCH_HIGHER, CW_SEARCH_CLOSE };

struct cw_search {
    bool open;
    enum cw_which which;
    int percent;        /**< level that is wanted against the full pickup, % */
    struct cw_setup of; /**< what the answers are for; its split does not matter */
    double mains;
    int slice;    /**< the next to be worked out; CW_SEARCH_SLICES: all are */
    int gathered; /**< answers so far */
    int count;    /**< answers in their order, to be shown; none until all are worked out */
    struct cw_split_solution found[CW_SEARCH_ROWS];
    struct cw_split_answer answer; /**< of the last slice */
    int row, first;                /**< chosen row; topmost one that is shown */
};

/** Open it for a setup. */
void cw_search_open(struct cw_search *search, enum cw_which which);

/** Another level, within what can be asked for: the answers are looked for anew. */
void cw_search_ask(struct cw_search *search, int percent);

/** Work one slice out, for the controls as they stand; other controls, cable or coil begin anew. Some milliseconds.
 * \return whether anything changed */
bool cw_search_step(struct cw_search *search, const struct cw_controls *controls);

/** Go so many rows down; the chosen one is kept in sight of \p shown rows. */
void cw_search_move(struct cw_search *search, int by, int shown);

/** Whether the setup is split as an answer says. */
bool cw_search_in_force(const struct cw_search *search, const struct cw_controls *controls, int row);

/** Where it stands; how many rows it shows; the box of one of its parts. */
struct cw_rect cw_search_box(const struct cw_layout *layout);
int cw_search_shown(const struct cw_layout *layout);
struct cw_rect cw_search_part_box(const struct cw_layout *layout, enum cw_search_part part, int row);

/** What lies at a place in the list; \p row is set for CW_SEARCH_ROW. */
enum cw_search_part cw_search_at(const struct cw_search *search, const struct cw_layout *layout, double x, double y,
                                 int *row);

/** An answer in one sentence: level, treble over strings and plucks, hum, what the other coil would do. */
void cw_search_words(const struct cw_split_solution *solution, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
