/* SPDX-License-Identifier: ISC */
/** \file redraw.h
 * How long the window takes to draw itself anew.
 */
#ifndef TEST_REDRAW_H
#define TEST_REDRAW_H

/** Milliseconds of processor time for one full redraw: curves and figures of all three setups
 * worked out, everything drawn at scale 1 on an image in memory. The median of \p times redraws,
 * after one that is not counted, each with other values.
 * \return -1 where memory is short */
double redraw_ms(int width, int height, int times);

#endif
