/* SPDX-License-Identifier: ISC */
#include "plot_place.h"

#include <math.h>
#include <string.h>

#include "rect.h"

/* Distances in unscaled pixels. */
static const double gap = 6.0;       /* between a label and its point */
static const double clearance = 3.0; /* between a label and any curve */
static const double apart = 64.0;    /* curves further away than this do not confuse */
static const double muddle = 12.0;   /* curves nearer to a label than this do */

/* The eight sides of a point on which a box may stand: shares of the box's size. */
static const struct {
    double x, y, cost;
} sides[] = {{-0.5, -1, 0}, {0, -1, 2}, {-1, -1, 2}, {0, -0.5, 4}, {-1, -0.5, 4}, {-0.5, 0, 3}, {0, 0, 5}, {-1, 0, 5}};
enum { SIDES = sizeof sides / sizeof sides[0] };

void cw_place_init(struct cw_place_map *map, const struct cw_plot *plot, const struct cw_plot_frame *frame,
                   double scale)
{
    map->frame = *frame;
    map->scale = scale;
    map->taken_count = 0;
    map->curves = plot->count < CW_PLOT_DIRECT ? (int)plot->count : CW_PLOT_DIRECT;
    for (int c = 0; c < map->curves; c++) {
        for (int i = 0; i < CW_LABEL_POINTS; i++) {
            double value = plot->curve[c].value[i * CW_LABEL_STEP];
            map->y[c][i] = isfinite(value) ? cw_plot_y(frame, value) : NAN;
        }
    }
}

void cw_place_take(struct cw_place_map *map, struct cw_rect box)
{
    if (map->taken_count < CW_LABEL_TAKEN) {
        map->taken[map->taken_count++] = box;
    }
}

static double point_x(const struct cw_place_map *map, int point)
{
    return map->frame.x + map->frame.width * point / (CW_LABEL_POINTS - 1);
}

static int point_at(const struct cw_place_map *map, double x)
{
    double point = (x - map->frame.x) / map->frame.width * (CW_LABEL_POINTS - 1);
    return point < 0.0 ? 0 : point > CW_LABEL_POINTS - 1 ? CW_LABEL_POINTS - 1 : (int)point;
}

static bool overlap(const struct cw_rect *a, const struct cw_rect *b, double margin)
{
    return a->x < b->x + b->w + margin && b->x < a->x + a->w + margin && a->y < b->y + b->h + margin &&
           b->y < a->y + a->h + margin;
}

static bool is_free(const struct cw_place_map *map, const struct cw_rect *box)
{
    const struct cw_plot_frame *f = &map->frame;
    double edge = clearance * map->scale;
    if (box->x < f->x + edge || box->y < f->y + edge || box->x + box->w > f->x + f->width - edge ||
        box->y + box->h > f->y + f->height - edge) {
        return false;
    }
    for (int i = 0; i < map->taken_count; i++) {
        if (overlap(box, &map->taken[i], 2.0 * map->scale)) {
            return false;
        }
    }
    return true;
}

/* Distance from a curve to a box, down the page, over the box's width; 0 where it crosses. Far away
 * is apart and no more. */
static double distance(const struct cw_place_map *map, int curve, const struct cw_rect *box)
{
    double least = apart * map->scale;
    int first = point_at(map, box->x - gap * map->scale), last = point_at(map, box->x + box->w + gap * map->scale) + 1;
    for (int i = first; i <= last && i + 1 < CW_LABEL_POINTS; i++) {
        double a = map->y[curve][i], b = map->y[curve][i + 1];
        if (isnan(a) || isnan(b)) {
            continue;
        }
        double top = fmin(a, b), bottom = fmax(a, b);
        double d = bottom < box->y ? box->y - bottom : top > box->y + box->h ? top - box->y - box->h : 0.0;
        least = fmin(least, d);
    }
    return least;
}

static bool crosses_any(const struct cw_place_map *map, const struct cw_rect *box)
{
    for (int c = 0; c < map->curves; c++) {
        if (distance(map, c, box) < clearance * map->scale) {
            return true;
        }
    }
    return false;
}

static struct cw_rect beside(const struct cw_place_map *map, double x, double y, double width, double height, int side,
                             double away)
{
    double g = away * map->scale;
    double dx = sides[side].x == 0.0 ? g : sides[side].x == -1.0 ? -g : 0.0;
    double dy = sides[side].y == 0.0 ? g : sides[side].y == -1.0 ? -g : 0.0;
    return (struct cw_rect){x + sides[side].x * width + dx, y + sides[side].y * height + dy, width, height};
}

bool cw_place_beside(struct cw_place_map *map, double x, double y, double width, double height, struct cw_rect *box)
{
    for (int side = 0; side < SIDES; side++) {
        struct cw_rect trial = beside(map, x, y, width, height, side, gap + 2.0);
        if (is_free(map, &trial) && !crosses_any(map, &trial)) {
            *box = trial;
            cw_place_take(map, trial);
            return true;
        }
    }
    return false;
}

/* How well a box tells the curve from the others: pixels to the nearest other one, less what the
 * side costs; -inf where it does not. */
static double merit(const struct cw_place_map *map, int curve, const struct cw_rect *box, int side)
{
    double nearest = apart * map->scale;
    for (int c = 0; c < map->curves; c++) {
        if (c != curve) {
            nearest = fmin(nearest, distance(map, c, box));
        }
    }
    nearest /= map->scale;
    return nearest < muddle ? -INFINITY : nearest - sides[side].cost;
}

bool cw_place_along(struct cw_place_map *map, int curve, double width, double height, struct cw_rect *box)
{
    const struct cw_plot_frame *f = &map->frame;
    double best = -INFINITY;
    for (int i = 4; i < CW_LABEL_POINTS - 4; i += 2) {
        double y = map->y[curve][i];
        if (!(y > f->y && y < f->y + f->height)) {
            continue;
        }
        /* Of equal places, the one nearer to the middle. */
        double aside = 4.0 * fabs(i / (double)CW_LABEL_POINTS - 0.55);
        for (int side = 0; side < SIDES; side++) {
            if (apart - sides[side].cost - aside <= best) {
                continue; /* Nothing to win here. */
            }
            struct cw_rect trial = beside(map, point_x(map, i), y, width, height, side, gap);
            if (!is_free(map, &trial) || crosses_any(map, &trial)) {
                continue;
            }
            double m = merit(map, curve, &trial, side) - aside;
            if (m > best) {
                best = m;
                *box = trial;
            }
        }
    }
    if (best == -INFINITY) {
        return false;
    }
    cw_place_take(map, *box);
    return true;
}
