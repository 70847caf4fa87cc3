/* SPDX-License-Identifier: ISC */
/** \file layout.h
 * Where everything in the window stands, in unscaled pixels.
 *
 * Threading class: pure functions, any thread. No allocation.
 */
#ifndef CW_UI_LAYOUT_H
#define CW_UI_LAYOUT_H

#include "blind.h"
#include "figure_words.h"
#include "model.h"
#include "pages.h"
#include "rect.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Smallest and first size of the window, unscaled pixels. */
enum { CW_WINDOW_WIDTH_MIN = 720, CW_WINDOW_HEIGHT_MIN = 480, CW_WINDOW_WIDTH = 1120, CW_WINDOW_HEIGHT = 720 };

/** Parts of the window that are drawn apart from one another. */
enum cw_region {
    CW_REGION_LISTEN,
    CW_REGION_VIEWS,
    CW_REGION_PLOT,
    CW_REGION_READOUTS,
    CW_REGION_CABLE,
    CW_REGION_PANEL,
    CW_REGION_HINT,
    CW_REGIONS
};

enum cw_item_kind {
    CW_ITEM_NONE,
    CW_ITEM_LISTEN, /**< id: enum cw_listen */
    CW_ITEM_SPLIT,  /**< split of a candidate, whatever it takes; id: enum cw_which */
    CW_ITEM_TOGGLE, /**< id: port */
    CW_ITEM_SLIDER, /**< id: port */
    CW_ITEM_LIST,   /**< id: port */
    CW_ITEM_CABLE,  /**< length of cable; id: port */
    CW_ITEM_VIEW,   /**< id: enum cw_view_kind */
    CW_ITEM_ACTION, /**< id: enum cw_action */
    CW_ITEM_TAB,    /**< id: enum cw_which */
    CW_ITEM_PAGE,   /**< id: enum cw_page, or CW_JOB_PAGE */
    CW_ITEM_WORDS,  /**< a text of the session; id: CW_TEXT_JOB or CW_TEXT_NOTES */
    CW_ITEM_LINK,   /**< what is heard and what is edited are one; id 0 */
    CW_ITEM_LARGE,  /**< the large view; id 0 */
    CW_ITEM_BLIND,  /**< of the blind choice; id: enum cw_blind_button */
    CW_ITEM_FIGURE  /**< a row of figures, only looked at; id: enum cw_figure_row, or CW_SEAL_ROW */
};

/** The page behind those of controls: the job, and notes. */
enum { CW_JOB_PAGE = CW_PAGES };

/** The row below the figures that says how each setup stands to its seal. */
enum { CW_SEAL_ROW = CW_FIGURE_ROWS };

enum cw_action {
    CW_ACTION_COPY,
    CW_ACTION_SWAP,
    CW_ACTION_RECORD,
    CW_ACTION_UNDO,
    CW_ACTION_REDO,
    CW_ACTION_FIND,
    CW_ACTIONS
};

/** Something that can be pointed at. */
struct cw_item {
    enum cw_item_kind kind;
    int id;
    enum cw_region region;
    struct cw_rect box;
    struct cw_rect track; /**< of a slider or a cable: from its lowest to its highest value */
};

enum { CW_ITEMS_MOST = 64 };

struct cw_layout {
    double width, height; /**< never below the smallest size */
    struct cw_rect region[CW_REGIONS];
    struct cw_item item[CW_ITEMS_MOST]; /**< in the order of the Tab key; it passes figures over */
    int count;
    double figure_height;   /**< of a row of figures */
    struct cw_rect against; /**< for what B changes, in figures; of no height where there is no room */
};

/** Lay out a window of the given size with one page of one setup shown. */
void cw_layout_build(struct cw_layout *layout, double width, double height, const struct cw_model *model,
                     enum cw_which shown, int page);

/** The large view: at the size below, magnified four times, it fills 1920x1080. Its smaller words, 11 pixels, are then
 * 44 pixels high, a letter some 9 mm on a screen of 24 inches: at three metres 10 minutes of arc, twice what normal
 * sight reads (5 minutes, ISO 8596, from memory). */
enum { CW_LARGE_WIDTH = 480, CW_LARGE_HEIGHT = 270 };
void cw_layout_build_large(struct cw_layout *layout, double width, double height);

/** The same while a blind choice is on: its buttons, all in the region of the plot, which takes the whole window. */
void cw_layout_build_blind(struct cw_layout *layout, double width, double height, const struct cw_blind *blind);

/** The item at a place, or NULL. */
const struct cw_item *cw_layout_at(const struct cw_layout *layout, double x, double y);

/** Number of an item in the layout; -1 where it is not shown. */
int cw_layout_find(const struct cw_layout *layout, enum cw_item_kind kind, int id);

/** Where the menu of a list with so many rows opens; a row's height. */
#define CW_MENU_ROW 22.0
struct cw_rect cw_layout_menu(const struct cw_layout *layout, const struct cw_item *item, int rows, double width);

/** Whether a place lies in a rectangle. */
bool cw_rect_has(struct cw_rect rect, double x, double y);

#ifdef __cplusplus
}
#endif
#endif
