/* SPDX-License-Identifier: ISC */
#include "schematic_file.h"

#include <cairo-svg.h>
#include <stdio.h>

#include "message.h"
#include "output.h"

static cairo_status_t write_bytes(void *stream, const unsigned char *bytes, unsigned int count)
{
    return fwrite(bytes, 1, count, stream) == count ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

bool cw_schematic_save(const struct cw_schematic *schematic, const char *path, bool force)
{
    struct cw_output output;
    if (!cw_output_open(&output, path, force)) {
        return false;
    }
    cairo_surface_t *surface =
        cairo_svg_surface_create_for_stream(write_bytes, output.stream, CW_SCHEMATIC_WIDTH, CW_SCHEMATIC_HEIGHT);
    cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PX);
    cairo_t *cr = cairo_create(surface);
    cw_schematic_draw(cr, schematic);
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    cairo_status_t status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS && !ferror(output.stream)) {
        cw_error_at(path, 0, "cannot draw: %s", cairo_status_to_string(status));
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}
