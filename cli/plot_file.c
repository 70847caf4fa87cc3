/* SPDX-License-Identifier: ISC */
#include "plot_file.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "message.h"
#include "output.h"
#include "picture.h"
#include "plot_model.h"

enum kind { KIND_SVG, KIND_PNG, KIND_PDF, KIND_UNKNOWN };

static enum kind kind_of(const char *path)
{
    static const char *const suffix[] = {".svg", ".png", ".pdf"};
    size_t length = strlen(path);
    for (int i = 0; i < KIND_UNKNOWN; i++) {
        if (length > 4 && strcasecmp(path + length - 4, suffix[i]) == 0) {
            return (enum kind)i;
        }
    }
    return KIND_UNKNOWN;
}

bool cw_plot_file_kind_known(const char *path) { return kind_of(path) != KIND_UNKNOWN; }

static cairo_surface_t *make_surface(enum kind kind, struct cw_output *output, struct cw_plot_size size)
{
    const double points = 72.0 / 96.0;
    cairo_surface_t *surface;
    switch (kind) {
    case KIND_SVG:
        surface = cairo_svg_surface_create_for_stream(cw_picture_bytes, output, size.width, size.height);
        cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PX);
        return surface;
    case KIND_PDF:
        surface =
            cairo_pdf_surface_create_for_stream(cw_picture_bytes, output, size.width * points, size.height * points);
        /* The date of making would make two equal pictures differ. */
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00");
        return surface;
    case KIND_PNG:
    case KIND_UNKNOWN:
    default: return cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)size.width, (int)size.height);
    }
}

static cairo_status_t draw_all(cairo_surface_t *surface, enum kind kind, cw_picture_draw *draw, const void *of,
                               struct cw_plot_size size)
{
    cairo_t *cr = cairo_create(surface);
    if (kind == KIND_PDF) {
        cairo_scale(cr, 72.0 / 96.0, 72.0 / 96.0);
    }
    draw(cr, of, size);
    return cw_picture_drawn(cr);
}

bool cw_picture_save(cw_picture_draw *draw, const void *of, const char *path, struct cw_plot_size size, bool force)
{
    enum kind kind = kind_of(path);
    if (kind == KIND_UNKNOWN) {
        cw_error_at(path, 0, "expected a name that ends in .svg, .png or .pdf");
        return false;
    }
    struct cw_output output;
    if (!cw_output_open(&output, path, force)) {
        return false;
    }
    cairo_surface_t *surface = make_surface(kind, &output, size);
    cairo_status_t status = draw_all(surface, kind, draw, of, size);
    if (status == CAIRO_STATUS_SUCCESS && kind == KIND_PNG) {
        status = cairo_surface_write_to_png_stream(surface, cw_picture_bytes, &output);
    }
    if (!cw_picture_end(&output, surface, status)) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

/* Plots below one another. */
struct plots {
    const struct cw_plot *const *plot;
    int count;
};

static void draw_plots(cairo_t *cr, const void *of, struct cw_plot_size size)
{
    const struct plots *plots = of;
    double height = size.height / plots->count;
    for (int i = 0; i < plots->count; i++) {
        cairo_save(cr);
        cairo_translate(cr, 0.0, i * height);
        cw_plot_draw(cr, plots->plot[i], size.width, height, size.scale, NULL);
        cairo_restore(cr);
    }
}

bool cw_plot_save(const struct cw_plot *const *plots, int count, const char *path, struct cw_plot_size size, bool force)
{
    const struct plots of = {plots, count};
    return cw_picture_save(draw_plots, &of, path, size, force);
}

struct cw_plot *cw_plot_new(enum cw_plot_axis axis, const char *title)
{
    struct cw_plot *plot = malloc(sizeof *plot);
    if (!plot) {
        cw_error_memory();
        return NULL;
    }
    cw_plot_clear(plot);
    plot->axis = axis;
    cw_plot_text(plot->title, title);
    return plot;
}

bool cw_plot_save_one(struct cw_plot *plot, const char *path, struct cw_plot_size size, bool force)
{
    const struct cw_plot *const plots[] = {plot};
    bool good = cw_plot_save(plots, 1, path, size, force);
    free(plot);
    return good;
}

static cairo_status_t keep_bytes(void *bytes, const unsigned char *from, unsigned int count)
{
    struct cw_bytes *to = bytes;
    return cw_bytes_put(to, to->count, from, count) ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_NO_MEMORY;
}

bool cw_plot_png(const struct cw_plot *plot, struct cw_plot_size size, struct cw_bytes *bytes)
{
    cairo_surface_t *surface = make_surface(KIND_PNG, NULL, size);
    const struct plots one = {&plot, 1};
    cairo_status_t status = draw_all(surface, KIND_PNG, draw_plots, &one, size);
    status = status == CAIRO_STATUS_SUCCESS ? cairo_surface_write_to_png_stream(surface, keep_bytes, bytes) : status;
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS) {
        cw_error("cannot draw: %s", cairo_status_to_string(status));
    }
    return status == CAIRO_STATUS_SUCCESS;
}
