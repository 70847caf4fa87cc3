/* SPDX-License-Identifier: ISC */
/** \file symbols.h
 * Circuit symbols after IEC 60617, drawn with the line and colour that the context has. Lengths are in 1/96 inch
 * where nothing scales them; parts stand vertically, and their leads are drawn by the caller.
 *
 * Threading class: one thread at a time for each surface; not the audio thread (drawing allocates).
 */
#ifndef CW_SYMBOLS_H
#define CW_SYMBOLS_H

#include <cairo.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Which end of a text stands at its place. */
enum cw_align { CW_ALIGN_LEFT, CW_ALIGN_CENTRE, CW_ALIGN_RIGHT };

/** Text whose middle height stands at y. */
void cw_symbol_text(cairo_t *cr, double x, double y, enum cw_align align, double size, const char *text);

/** A straight conductor. */
void cw_symbol_wire(cairo_t *cr, double x1, double y1, double x2, double y2);

/** A connection of conductors. */
void cw_symbol_dot(cairo_t *cr, double x, double y);

/** A terminal, its name to the right. */
void cw_symbol_terminal(cairo_t *cr, double x, double y, const char *name);

/** Inductor: half circles towards the right. */
void cw_symbol_inductor(cairo_t *cr, double x, double y1, double y2, int loops);

/** The magnetic core beside an inductor that stands at \p x. */
void cw_symbol_core(cairo_t *cr, double x, double y1, double y2);

/** Resistor: a rectangle from 27 above to 27 below y. */
void cw_symbol_resistor(cairo_t *cr, double x, double y);

/** Capacitor: two plates, 5 above and below y. */
void cw_symbol_capacitor(cairo_t *cr, double x, double y);

/** The common of the signal, frame or chassis: not the symbol of an earth. It hangs below y. */
void cw_symbol_common(cairo_t *cr, double x, double y);

#ifdef __cplusplus
}
#endif
#endif
