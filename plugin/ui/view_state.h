/* SPDX-License-Identifier: ISC */
/** \file view_state.h
 * The view: what stands in it, the events that it takes, what it tells its host. The files view_*.c do a job each on
 * it; view.h is its face.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_VIEW_STATE_H
#define CW_UI_VIEW_STATE_H

#include <stdbool.h>
#include <stdint.h>

#include "blind.h"
#include "control.h"
#include "history.h"
#include "layout.h"
#include "model.h"
#include "names.h"
#include "pages.h"
#include "plot_model.h"
#include "rect.h"
#include "search.h"
#include "session_text.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum cw_event_kind { CW_EVENT_PRESS, CW_EVENT_RELEASE, CW_EVENT_MOVE, CW_EVENT_LEAVE, CW_EVENT_WHEEL, CW_EVENT_KEY };

/** Keys that are no text. */
enum cw_key {
    CW_KEY_TEXT,
    CW_KEY_TAB,
    CW_KEY_BACK_TAB,
    CW_KEY_LEFT,
    CW_KEY_RIGHT,
    CW_KEY_UP,
    CW_KEY_DOWN,
    CW_KEY_PAGE_UP,
    CW_KEY_PAGE_DOWN,
    CW_KEY_HOME,
    CW_KEY_END,
    CW_KEY_ENTER,
    CW_KEY_ESCAPE,
    CW_KEY_BACKSPACE,
    CW_KEY_DELETE,
    CW_KEY_UNDO,
    CW_KEY_REDO
};

struct cw_event {
    enum cw_event_kind kind;
    double x, y;   /**< unscaled pixels */
    int button;    /**< 1 left, 3 right */
    int wheel;     /**< steps; up is positive */
    bool fine;     /**< Shift or Ctrl is held */
    uint32_t time; /**< milliseconds; wraps */
    enum cw_key key;
    char text[8]; /**< of CW_KEY_TEXT: one character, UTF-8 */
};

/** What the window tells its host. */
struct cw_view_host {
    void (*write)(void *data, int port, float value);
    void (*touch)(void *data, int port, bool held);
    void *data;
};

/** An item, wherever the layout puts it. */
struct cw_ref {
    enum cw_item_kind kind;
    int id;
};

enum { CW_EDIT_SIZE = CW_TEXT_SIZE, CW_EDIT_WHY = 360 };

struct cw_view {
    struct cw_view_host host;
    struct cw_model model;
    struct cw_layout layout;
    double width, height;
    enum cw_which shown; /**< setup whose controls are shown */
    int page;            /**< enum cw_page, or CW_JOB_PAGE */
    int wanted;          /**< page that was chosen, shown again with the next setup that has it */
    bool large;          /**< for a counter: listening, plot and cables alone, as large as the window allows */
    double zoom;         /**< unscaled pixels for one of the layout */
    bool unlinked;       /**< what is edited and what is heard are chosen apart */
    enum cw_view_kind kind;
    struct cw_history history;
    struct cw_search search;
    bool small_step; /**< the event was one of a run of small steps */
    struct cw_ref focus, hover;
    bool keys;    /**< the keyboard was used last: the focus is shown */
    bool used;    /**< anything was pressed, turned or typed: the opening words have served */
    bool pointed; /**< the pointer was used since: what it is over is explained */
    struct {
        struct cw_ref what; /**< kind CW_ITEM_NONE: none */
        double x, share;    /**< last place of the pointer; where the control would stand, unrounded */
        bool moved, on_value;
    } drag;
    struct {
        struct cw_ref what;
        double x, y;
        uint32_t time;
    } click; /**< the last press, to tell a second one */
    struct {
        struct cw_ref what;
        char text[CW_EDIT_SIZE];
        char why[CW_EDIT_WHY]; /**< what is wrong with it, or empty */
        bool fresh;            /**< the old value is still there: typing replaces it */
    } edit;
    struct {
        struct cw_ref what;
        int row;
    } menu;
    bool crosshair;
    double crosshair_x;         /**< unscaled, in the plot's region */
    struct cw_plot_frame frame; /**< where the curves stood when last drawn; unscaled, in the plot's region */
    struct cw_plot plot;
    bool plot_stale;
    struct cw_blind blind;
    double blind_held;               /**< when the blind choice last set what it holds, s of the model's clock */
    double before_blind[CW_GLOBALS]; /**< what listening and level match go back to */
    struct cw_names names;
    struct cw_plot_ground ground; /**< what goes in and comes out */
    bool ground_shown;            /**< and whether there is anything to be seen of it */
    unsigned dirty;               /**< bit 1 << enum cw_region: to be drawn again */
};

/** Every region. */
#define CW_DIRTY_ALL ((1u << CW_REGIONS) - 1u)

#ifdef __cplusplus
}
#endif
#endif
