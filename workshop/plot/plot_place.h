/* SPDX-License-Identifier: ISC */
/** \file plot_place.h
 * Where labels stand: beside their curve, across no curve, over no other label.
 *
 * Not part of the interface in plot.h. No allocation.
 */
#ifndef CW_PLOT_PLACE_H
#define CW_PLOT_PLACE_H

#include "plot_model.h"
#include "rect.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_LABEL_TAKEN = 3 * CW_PLOT_DIRECT,
    CW_LABEL_STEP = 3, /**< every third point of a curve tells where it runs */
    CW_LABEL_POINTS = (CW_PLOT_POINTS - 1) / CW_LABEL_STEP + 1
};

/** What labels have to keep clear of. */
struct cw_place_map {
    struct cw_plot_frame frame;
    double scale;
    int curves;                                /**< at most CW_PLOT_DIRECT */
    double y[CW_PLOT_DIRECT][CW_LABEL_POINTS]; /**< place on the page of each point; NaN where there is none */
    struct cw_rect taken[CW_LABEL_TAKEN];
    int taken_count;
};

/** Set up for the first CW_PLOT_DIRECT curves of a plot in a frame. */
void cw_place_init(struct cw_place_map *map, const struct cw_plot *plot, const struct cw_plot_frame *frame,
                   double scale);

/** Find room for a box of the given size beside the point x, y (a peak marker) and take it.
 * \return false where there is none. */
bool cw_place_beside(struct cw_place_map *map, double x, double y, double width, double height, struct cw_rect *box);

/** Find room beside a curve, where it is best told from the others, and take it. */
bool cw_place_along(struct cw_place_map *map, int curve, double width, double height, struct cw_rect *box);

/** Take a place. */
void cw_place_take(struct cw_place_map *map, struct cw_rect box);

#ifdef __cplusplus
}
#endif
#endif
