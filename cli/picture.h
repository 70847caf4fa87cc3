/* SPDX-License-Identifier: ISC */
/** \file picture.h
 * Pictures that are drawn into an output.
 */
#ifndef CW_PICTURE_H
#define CW_PICTURE_H

#include <stdbool.h>

#include <cairo.h>

#include "output.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A cairo_write_func_t. \param output a struct cw_output */
cairo_status_t cw_picture_bytes(void *output, const unsigned char *bytes, unsigned int count);

/** Free what drew. A text that is no UTF-8 stops all drawing behind it, and only the context knows.
 * \return how the drawing went */
cairo_status_t cw_picture_drawn(cairo_t *cr);

/** Finish and free a surface that was drawn into an output. What went wrong with the drawing is reported; with the
 * output, it is left to cw_output_commit().
 * \param status of the drawing until here \return false where the output is to be abandoned */
bool cw_picture_end(struct cw_output *output, cairo_surface_t *surface, cairo_status_t status);

#ifdef __cplusplus
}
#endif
#endif
