/* SPDX-License-Identifier: ISC */
#include "history_plot.h"

#include <cairo.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "acceptance.h"
#include "capability.h"
#include "coil_limits.h"
#include "control_chart.h"
#include "inspected.h"
#include "message.h"
#include "plot_file.h"
#include "record.h"

/* Deviations of one kind of reading from the design, of 1. */
struct series {
    const char *name;
    double *off;
    size_t count;
};

/* Those kinds of which there are two or more. */
struct all_series {
    struct series series[CW_BENCH_READINGS];
    int count;
};

static bool gather(const struct cw_history *history, int reading, struct all_series *all)
{
    struct series *s = &all->series[all->count];
    *s = (struct series){cw_shown_reading[reading].name, malloc((history->count + 1) * sizeof *s->off), 0};
    if (!s->off) {
        cw_error_memory();
        return false;
    }
    for (size_t k = 0; k < history->count; k++) {
        const struct cw_record *r = &history->item[k].record;
        double off = r->corrected[reading] / r->predicted[reading] - 1.0;
        if (isfinite(off)) {
            s->off[s->count++] = off;
        }
    }
    if (s->count >= 2) {
        all->count++;
    } else {
        free(s->off);
    }
    return true;
}

static void draw(cairo_t *cr, const void *of, struct cw_plot_size size)
{
    const struct all_series *all = of;
    double height = size.height / all->count;
    for (int i = 0; i < all->count; i++) {
        const struct series *s = &all->series[i];
        char title[80], note[80];
        snprintf(title, sizeof title, "%s off the design, %%", s->name);
        snprintf(note, sizeof note, "%zu readings in the order in which they were kept", s->count);
        const struct cw_control_chart chart = {
            .title = title,
            .unit = "%",
            .note = note,
            .value = s->off,
            .count = s->count,
            .scale = 100.0,
            .decimals = 2,
            .nominal = 0.0,
            .accept = {-INFINITY, INFINITY},
            .chart = cw_chart_of(s->off, s->count),
        };
        cairo_save(cr);
        cairo_translate(cr, 0.0, i * height);
        cw_control_chart_draw(cr, &chart, size.width, height);
        cairo_restore(cr);
    }
}

bool cw_history_plot(const struct cw_history *history, const char *path, bool force)
{
    struct all_series all = {.count = 0};
    bool good = true;
    for (int i = 0; i < CW_BENCH_READINGS && good; i++) {
        good = gather(history, i, &all);
    }
    if (good && all.count == 0) {
        cw_error_at(path, 0, "a chart takes two readings of a kind");
    }
    const struct cw_plot_size size = {900.0, 340.0 * all.count, 1.0};
    good = good && all.count > 0 && cw_picture_save(draw, &all, path, size, force);
    for (int i = 0; i < all.count; i++) {
        free(all.series[i].off);
    }
    return good;
}
