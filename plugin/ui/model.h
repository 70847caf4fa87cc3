/* SPDX-License-Identifier: ISC */
/** \file model.h
 * What the window shows: the values of the ports, the figures, the curves.
 *
 * Curves and figures are worked out by the same functions as the sound; nothing here draws.
 *
 * Threading class: the window's thread. No allocation.
 */
#ifndef CW_UI_MODEL_H
#define CW_UI_MODEL_H

#include "coil.h"
#include "figures.h"
#include "no_cable.h"
#include "places.h"
#include "plot.h"
#include "plot_model.h"
#include "seals.h"
#include "setup.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What the plot compares. */
enum cw_view_kind {
    CW_VIEW_LEVEL,    /**< each path's own response */
    CW_VIEW_RECORDED, /**< candidates against the recorded-through response */
    CW_VIEW_B_TO_A,   /**< candidate B against candidate A */
    CW_VIEWS
};

/** The path of one setup, worked out. */
struct cw_path {
    double db[CW_PLOT_POINTS];      /**< level at cw_plot_hz(i); -inf where silent */
    double unsplit[CW_PLOT_POINTS]; /**< the same with the split off; meaningful where split */
    bool split;                     /**< a split is on and acts */
    struct cw_peak peak, unsplit_peak;
    double peak_db, unsplit_peak_db; /**< level at the peaks */
    struct cw_no_cable no_cable;
    struct cw_pickup pickup;
    struct cw_transfer sum, difference; /**< answers to the string, and to the same with one coil turned round */
};

struct cw_model {
    struct cw_controls controls; /**< clean, rounded as a port holds them */
    struct cw_figures figures[CW_SETUPS];
    struct cw_path path[CW_SETUPS];
    double placed[CW_SETUPS][CW_PLOT_POINTS]; /**< dB that the coils' places add to a candidate as it is heard, at 48
                                                 kHz; 0 where they are off */
    struct cw_place_means means[CW_SETUPS];
    bool placed_stale;     /**< placed is to be worked out anew */
    bool stale[CW_SETUPS]; /**< to be worked out anew by cw_model_update() */
    struct cw_seals seals;
    enum cw_match_by match_by; /**< what the plugin says that level match goes by */
    double level[CW_SETUPS];   /**< level against unsplit that it reported last; NaN before that */
    double now;                /**< seconds of any steady clock, kept by the caller */
    double changed[CW_SETUPS]; /**< when a value of the setup was last changed */
};

/** All controls at their defaults. */
void cw_model_init(struct cw_model *model);

/** Value of a control input. */
double cw_model_value(const struct cw_model *model, int port);

/** Take over a value for a control input, from the host or from the window; any float.
 * \return whether the value changed. */
bool cw_model_set(struct cw_model *model, int port, double value);

/** Take over a figure or a status that the plugin reports. For a quarter of a second after a change it may still
 * be the one from before and is passed over.
 * \return whether it differs from what is shown. */
bool cw_model_report(struct cw_model *model, int port, double value);

/** Work out what has become stale. */
void cw_model_update(struct cw_model *model);

/** Level of a path at any frequency of the plot, dB; not finite where it is silent. */
double cw_model_level(const struct cw_model *model, enum cw_which which, double hz);

/** Fill the plot with the curves of a view; crosshair and size are left to the caller. */
void cw_model_plot(const struct cw_model *model, enum cw_view_kind view, struct cw_plot *plot);

/** Short names of the setups in the window: "Recorded", "A", "B". */
extern const char *const cw_model_short[CW_SETUPS];

/** Line style of each setup in the plot and beside its name. */
int cw_model_style(enum cw_which which);

#ifdef __cplusplus
}
#endif
#endif
