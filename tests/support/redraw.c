/* SPDX-License-Identifier: ISC */
#include "redraw.h"

#include <stdlib.h>
#include <time.h>

#include "deaf_host.h"
#include "draw.h"
#include "setup.h"
#include "view.h"
#include "view_state.h"

enum { TIMES_MOST = 1000 };

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Two splits and three lengths of cable: five curves. */
static void change(struct cw_view *view, int round)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        cw_view_port(view, cw_port_of_param((enum cw_which)which, CW_P_COILS), CW_COILS_SERIES);
        cw_view_port(view, cw_port_of_param((enum cw_which)which, CW_P_SPLIT), which != CW_REC);
        cw_view_port(view, cw_port_of_param((enum cw_which)which, CW_P_SPLIT_BY), which);
        cw_view_port(view, cw_port_of_param((enum cw_which)which, CW_P_CABLE_LENGTH),
                     3 + 5 * which + 0.1 * (round % 10));
    }
}

static double redraw(struct cw_view *view, cairo_surface_t *surface, int round)
{
    double start = seconds();
    change(view, round);
    cw_view_prepare(view);
    cairo_t *cr = cairo_create(surface);
    cw_draw(cr, view, 1.0, CW_DIRTY_ALL);
    cairo_destroy(cr);
    cairo_surface_flush(surface);
    return 1e3 * (seconds() - start);
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double redraw_ms(int width, int height, int times)
{
    static double taken[TIMES_MOST];
    struct cw_view *view = calloc(1, sizeof *view);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
    double median = -1.0;
    times = times < 1 ? 1 : times > TIMES_MOST ? TIMES_MOST : times;
    if (view && cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS) {
        cw_view_init(view, &deaf_host);
        cw_view_size(view, width, height);
        for (int i = -1; i < times; i++) {
            taken[i < 0 ? 0 : i] = redraw(view, surface, i + 1);
        }
        qsort(taken, (size_t)times, sizeof taken[0], compare);
        median = taken[times / 2];
    }
    cairo_surface_destroy(surface);
    free(view);
    return median;
}
