/* SPDX-License-Identifier: ISC */
/** \file ink.h
 * The window's colours, text and boxes.
 *
 * Threading class: the window's thread.
 */
#ifndef CW_UI_INK_H
#define CW_UI_INK_H

#include <cairo.h>
#include <stdbool.h>

#include "layout.h"
#include "rect.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum cw_colour {
    CW_INK_BACK,  /**< behind everything */
    CW_INK_PANEL, /**< of a control */
    CW_INK_HOVER, /**< of a control under the pointer */
    CW_INK_LINE,  /**< edges */
    CW_INK_TEXT,
    CW_INK_FADED,  /**< text that stands back */
    CW_INK_BRIGHT, /**< of what is on */
    CW_INK_DARK,   /**< text on what is on */
    CW_INK_FOCUS,
    CW_INK_WRONG,
    CW_INK_IDLE, /**< text and marks of a control that does nothing here */
    CW_INKS
};

/** What a drawing goes along with. Text is measured and drawn unscaled, in user space. */
struct cw_ink {
    cairo_t *cr;
    bool idle;     /**< text and marks are drawn in CW_INK_IDLE */
    int shortened; /**< texts that did not fit */
};

enum cw_align { CW_LEFT, CW_CENTRE, CW_RIGHT };

void cw_ink_colour(struct cw_ink *ink, enum cw_colour colour);
/** Colour of a setup's curve. */
void cw_ink_setup(struct cw_ink *ink, enum cw_which which);
void cw_ink_font(struct cw_ink *ink, double size, bool bold);
double cw_ink_width(struct cw_ink *ink, const char *text);
/** Text in the width from x, its base line at y; shortened with an ellipsis where it must be. */
void cw_ink_text(struct cw_ink *ink, double x, double y, double width, enum cw_align align, const char *text);
/** A box with round corners, filled; and its edge. */
void cw_ink_box(struct cw_ink *ink, struct cw_rect box, double radius);
void cw_ink_edge(struct cw_ink *ink, struct cw_rect box, double radius, double width);
/** A square that is ticked or not. */
void cw_ink_tick(struct cw_ink *ink, double x, double y, double size, bool on);

#ifdef __cplusplus
}
#endif
#endif
