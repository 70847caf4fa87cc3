/* SPDX-License-Identifier: ISC */
/** \file plot_file.h
 * Pictures of responses in files: SVG, PNG or PDF by the file's suffix.
 */
#ifndef CW_PLOT_FILE_H
#define CW_PLOT_FILE_H

#include <cairo.h>
#include <stdbool.h>

#include "bytes.h"
#include "plot.h"
#include "plot_model.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Size of a picture, pixels (PNG) or 1/96 inch (SVG, PDF). */
struct cw_plot_size {
    double width, height;
    double scale; /**< of text and lines */
};

/** Whether the name ends in .svg, .png or .pdf. */
bool cw_plot_file_kind_known(const char *path);

/** Draws something of the caller's into the rectangle from 0, 0 to width, height. */
typedef void cw_picture_draw(cairo_t *cr, const void *of, struct cw_plot_size size);

/** Draw anything into a picture. Reports and returns false on failure; then nothing is left behind. */
bool cw_picture_save(cw_picture_draw *draw, const void *of, const char *path, struct cw_plot_size size, bool force);

/** Draw one or more plots below one another. Reports and returns false on failure; then nothing is
 * left behind. */
bool cw_plot_save(const struct cw_plot *const *plots, int count, const char *path, struct cw_plot_size size,
                  bool force);

/** An empty plot with a title, for cw_plot_save_one(). Reports and returns NULL where memory ran out. */
struct cw_plot *cw_plot_new(enum cw_plot_axis axis, const char *title);

/** Draw one plot into a picture and free it. Reports and returns false on failure. */
bool cw_plot_save_one(struct cw_plot *plot, const char *path, struct cw_plot_size size, bool force);

/** Draw one plot as PNG into \p bytes, which are empty and the caller's to free. Reports and returns false
 * on failure. */
bool cw_plot_png(const struct cw_plot *plot, struct cw_plot_size size, struct cw_bytes *bytes);

#ifdef __cplusplus
}
#endif
#endif
