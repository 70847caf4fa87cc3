/* SPDX-License-Identifier: ISC */
/** \file scatter.h
 * What makes two pickups of one design differ, and by how much: the table of causes.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_SCATTER_H
#define CW_SCATTER_H

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Causes: CW_SCATTER_WIRE, CW_SCATTER_TURNS ... */
enum cw_scatter_id {
#define CW_SCATTER(ID, ...) CW_SCATTER_##ID,
#include "scatter.def"
#undef CW_SCATTER
    CW_SCATTERS
};

/** How a cause is spread. */
enum cw_shape {
    CW_SHAPE_LIMITS, /**< evenly within its limits: where no more is known of it (JCGM 101, 6.4.2) */
    CW_SHAPE_NORMAL  /**< normal; the half width is two standard deviations */
};

/** What it belongs to: two pickups in one guitar share what is of the guitar. */
enum cw_scatter_place { CW_PLACE_COIL, CW_PLACE_GUITAR };

/** One row of the table. Strings are static, UTF-8. */
struct cw_scatter_info {
    const char *word, *name, *unit;
    double half; /**< usual half width in the unit; 0: by the gauge of the wire */
    enum cw_shape shape;
    enum cw_scatter_place place;
    const char *source;
};

extern const struct cw_scatter_info cw_scatter_info[CW_SCATTERS];

/** Half widths of all causes, each in its unit, 0 or more. */
struct cw_scatter {
    double half[CW_SCATTERS];
};

/** The usual ones; the wire's by the gauge of a winding, and as of AWG 42 where the coil is known by values alone. */
void cw_scatter_usual(const struct cw_setup *setup, struct cw_scatter *scatter);

/** Standard deviation over half width. */
double cw_scatter_standard(enum cw_scatter_id id);

/** The cause of that word; -1 if there is none. */
int cw_scatter_find(const char *word);

#ifdef __cplusplus
}
#endif
#endif
