/* SPDX-License-Identifier: ISC */
#include "schematic_file.h"

#include <cairo-svg.h>

#include "output.h"
#include "picture.h"

bool cw_schematic_save(const struct cw_schematic *schematic, const char *path, bool force)
{
    struct cw_output output;
    if (!cw_output_open(&output, path, force)) {
        return false;
    }
    cairo_surface_t *surface =
        cairo_svg_surface_create_for_stream(cw_picture_bytes, &output, CW_SCHEMATIC_WIDTH, CW_SCHEMATIC_HEIGHT);
    cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PX);
    cairo_t *cr = cairo_create(surface);
    cw_schematic_draw(cr, schematic);
    if (!cw_picture_end(&output, surface, cw_picture_drawn(cr))) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}
