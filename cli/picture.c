/* SPDX-License-Identifier: ISC */
#include "picture.h"

#include <stdio.h>

#include "message.h"

cairo_status_t cw_picture_bytes(void *output, const unsigned char *bytes, unsigned int count)
{
    return cw_output_write(output, bytes, count) ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

cairo_status_t cw_picture_drawn(cairo_t *cr)
{
    cairo_status_t status = cairo_status(cr);
    cairo_destroy(cr);
    return status;
}

bool cw_picture_end(struct cw_output *output, cairo_surface_t *surface, cairo_status_t status)
{
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS) {
        status = cairo_surface_status(surface);
    }
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS && !ferror(output->stream)) {
        cw_error_at(output->path, 0, "cannot draw: %s", cairo_status_to_string(status));
        return false;
    }
    return true;
}
