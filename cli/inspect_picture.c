/* SPDX-License-Identifier: ISC */
#include "inspect_picture.h"

#include <cairo-pdf.h>
#include <stdio.h>

#include "capability.h"
#include "coil_limits.h"
#include "control_chart.h"
#include "date.h"
#include "escape.h"
#include "message.h"
#include "output.h"
#include "picture.h"
#include "plot_file.h"
#include "report_page.h"
#include "seal.h"

static const double CHART_WIDTH = 900.0, CHART_HEIGHT = 340.0;

static int charts(const struct cw_inspected *batch)
{
    int count = 0;
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        count += cw_inspected_gather(batch, i) >= 2;
    }
    return count;
}

static void draw_chart(cairo_t *cr, const struct cw_inspected *batch, int reading, double width, double height)
{
    const struct cw_shown_reading *shown = &cw_shown_reading[reading];
    char title[200], from[160], words[CW_CAPABILITY_WORDS], note[400];
    cw_text_fit(batch->seal.title, from, sizeof from);
    snprintf(title, sizeof title, "%s, %s, in winding order", shown->name, shown->unit);
    cw_inspected_capability(batch, reading, words);
    size_t count = cw_inspected_gather(batch, reading);
    snprintf(note, sizeof note, "%s, revision %s; %zu coils. %s", from, batch->seal.revision, count, words);
    const struct cw_control_chart chart = {
        .title = title,
        .unit = shown->unit,
        .note = note,
        .value = batch->work,
        .count = count,
        .scale = shown->scale,
        .decimals = shown->decimals,
        .nominal = batch->inspection.nominal[reading],
        .accept = batch->inspection.limits[reading],
        .chart = cw_chart_of(batch->work, count),
    };
    cw_control_chart_draw(cr, &chart, width, height);
}

/* Those that there are, below one another. */
static void draw_charts(cairo_t *cr, const void *of, struct cw_plot_size size)
{
    const struct cw_inspected *batch = of;
    double height = size.height / charts(batch);
    for (int i = 0, at = 0; i < CW_BENCH_READINGS; i++) {
        if (cw_inspected_gather(batch, i) >= 2) {
            cairo_save(cr);
            cairo_translate(cr, 0.0, at++ * height);
            draw_chart(cr, batch, i, size.width, height);
            cairo_restore(cr);
        }
    }
}

bool cw_inspected_drawable(const struct cw_inspected *batch, const char *path)
{
    bool good = charts(batch) > 0;
    if (!good) {
        cw_error_at(path, 0, "a chart takes two readings of a kind");
    }
    return good;
}

bool cw_inspected_plot(const struct cw_inspected *batch, const char *path, bool force)
{
    const struct cw_plot_size size = {CHART_WIDTH, CHART_HEIGHT * charts(batch), 1.0};
    return cw_picture_save(draw_charts, batch, path, size, force);
}

/* ---- paper ---- */

static void draw_paper(cairo_t *cr, const struct cw_inspected *batch, const char *text)
{
    const double width = CW_PAPER_WIDTH - 2.0 * CW_PAPER_MARGIN, scale = width / CHART_WIDTH;
    int count = charts(batch);
    double y = cw_report_draw(cr, text), height = CHART_HEIGHT * count;
    if (count > 0) {
        if (y + 12.0 + scale * height > CW_PAPER_HEIGHT - CW_PAPER_MARGIN) {
            cairo_show_page(cr);
            y = CW_PAPER_MARGIN;
        }
        cairo_translate(cr, CW_PAPER_MARGIN, y + 12.0);
        cairo_scale(cr, scale, scale);
        draw_charts(cr, batch, (struct cw_plot_size){CHART_WIDTH, height, 1.0});
    }
    cairo_show_page(cr);
}

bool cw_inspected_paper(const struct cw_inspected *batch, const char *text, const char *path, bool force)
{
    struct cw_output output;
    char now[CW_NOW_TEXT], title[CW_SEAL_LINE];
    if (!cw_now(now) || !cw_output_open(&output, path, force)) {
        return false;
    }
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(cw_picture_bytes, &output, CW_PAPER_WIDTH, CW_PAPER_HEIGHT);
    now[sizeof now - 2] = '\0'; /* cairo takes no Z */
    snprintf(title, sizeof title, "Inspection: %s, revision %s", batch->seal.title, batch->seal.revision);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, now);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, now);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    cairo_t *cr = cairo_create(surface);
    draw_paper(cr, batch, text);
    if (!cw_picture_end(&output, surface, cw_picture_drawn(cr))) {
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}
