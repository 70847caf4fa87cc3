/* SPDX-License-Identifier: ISC */
/** \file split_schematic.h
 * The wiring of a split as a drawing, in symbols after IEC 60617.
 */
#ifndef CW_SPLIT_SCHEMATIC_H
#define CW_SPLIT_SCHEMATIC_H

#include <cairo.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Size of the drawing, 1/96 inch. */
enum { CW_SCHEMATIC_WIDTH = 760, CW_SCHEMATIC_HEIGHT = 640 };

/** What is drawn. */
struct cw_schematic {
    const struct cw_setup *setup; /**< two coils in series, split */
    const char *title;            /**< of one line */
    const char *note;             /**< a smaller line below it, or NULL */
    double turns_kept, turns;     /**< of the reduced coil; 0 where they are not known */
};

/** Draw into the rectangle from 0, 0 of the context's user space. */
void cw_schematic_draw(cairo_t *cr, const struct cw_schematic *schematic);

#ifdef __cplusplus
}
#endif
#endif
