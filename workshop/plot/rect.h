/* SPDX-License-Identifier: ISC */
/** \file rect.h
 * A rectangle on a page or in a window.
 */
#ifndef CW_RECT_H
#define CW_RECT_H

/** Upper left corner and size. */
struct cw_rect {
    double x, y, w, h;
};

#endif
