/* SPDX-License-Identifier: ISC */
/** \file control_chart.h
 * Draws a chart of individuals and moving ranges (NIST/SEMATECH e-Handbook, 6.3.2.2): every piece in the order in which
 * it was made, the limits that the pieces themselves set, and those of the design. A piece that is outside has a ring
 * and its number; black and white loses nothing.
 *
 * Threading class: one thread at a time for each surface; not the audio thread (drawing allocates).
 */
#ifndef CW_CONTROL_CHART_H
#define CW_CONTROL_CHART_H

#include <cairo.h>
#include <stddef.h>

#include "acceptance.h"
#include "capability.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What is drawn. */
struct cw_control_chart {
    const char *title, *unit; /**< of one line; the unit of what is written */
    const char *note;         /**< a line below the title */
    const double *value;      /**< in their order, 2 or more */
    size_t count;
    double scale; /**< from values to the unit */
    int decimals;
    double nominal;          /**< of the design */
    struct cw_limits accept; /**< of the design */
    struct cw_chart chart;   /**< of the values */
};

/** Draw into the rectangle from 0, 0 to width, height of the context's user space: individuals, below them the moving
 * ranges. */
void cw_control_chart_draw(cairo_t *cr, const struct cw_control_chart *chart, double width, double height);

#ifdef __cplusplus
}
#endif
#endif
