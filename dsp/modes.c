/* SPDX-License-Identifier: ISC */
#include "modes.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "complex_math.h"
#include "digital.h"
#include "polynomial.h"
#include "roots.h"

/* ---- poles, two by two ------------------------------------------------------------------------ */

/* A conjugate pair, or two poles on the real axis; of a single one q stands for nothing. */
struct pole_pair {
    struct cw_complex p, q;
    bool single;
};

struct poles {
    int count, at_zero; /* pairs, and poles at zero, which are in none */
    struct pole_pair pair[CW_SECTIONS_MAX];
};

/* Two equal poles have no partial fractions. This far apart, as a share of the distance from the unit
 * circle, they have, and the response is the same within the square of it. */
static const double APART = 1e-5;

static double least_apart(double centre) { return fmax(APART * (1.0 - fabs(centre)), 4.0 * DBL_EPSILON); }

/* Both poles a little nearer to zero: by a share of the way from the unit circle. */
static struct pole_pair drawn_in(struct pole_pair pair, double draw)
{
    double p = 1.0 - draw * (1.0 - cw_abs(pair.p)), q = 1.0 - draw * (1.0 - cw_abs(pair.q));
    pair.p = cw_c(pair.p.re * p, pair.p.im * p);
    pair.q = pair.p.im != 0.0 ? cw_c(pair.p.re, -pair.p.im) : cw_c(pair.q.re * q, 0.0);
    return pair;
}

/* Each pair further than the one before. */
static void add_pair(struct poles *poles, struct cw_complex p, struct cw_complex q, bool single, double draw)
{
    poles->pair[poles->count] = drawn_in((struct pole_pair){p, q, single}, draw * poles->count);
    poles->count++;
    poles->at_zero -= single ? 1 : 2;
}

/* Real poles, in order: the nearest neighbours first, as modes of their own they would nearly cancel. */
static void pair_real(struct poles *poles, double *real, int count, double draw)
{
    for (; count > 1; count -= 2) {
        int best = 0;
        for (int i = 1; i + 1 < count; i++) {
            best = real[i] - real[i + 1] < real[best] - real[best + 1] ? i : best;
        }
        double centre = 0.5 * (real[best] + real[best + 1]);
        double apart = fmax(0.5 * (real[best] - real[best + 1]), least_apart(centre));
        add_pair(poles, cw_c(centre + apart, 0.0), cw_c(centre - apart, 0.0), false, draw);
        memmove(real + best, real + best + 2, (size_t)(count - best - 2) * sizeof *real);
    }
    if (count == 1) {
        add_pair(poles, cw_c(real[0], 0.0), cw_c(0.0, 0.0), true, draw);
    }
}

static void poles_of(const struct cw_sections *s, double draw, struct poles *poles)
{
    double real[CW_FACTORS_MAX];
    int reals = 0;
    poles->count = 0;
    poles->at_zero = 2 * s->count;
    for (int i = 0; i < s->count; i++) {
        double a1 = s->section[i].a1, a2 = s->section[i].a2, centre = -0.5 * a1, square = centre * centre - a2;
        if (a2 == 0.0) {
            if (a1 != 0.0) {
                real[reals++] = -a1;
            }
        } else if (square < 0.0) {
            double apart = fmax(sqrt(-square), least_apart(centre));
            add_pair(poles, cw_c(centre, apart), cw_c(centre, -apart), false, draw);
        } else {
            double far = centre + copysign(sqrt(square), centre); /* not 0: a2 is not */
            real[reals++] = far;
            real[reals++] = a2 / far;
        }
    }
    cw_sort_falling(real, reals);
    pair_real(poles, real, reals, draw);
}

/* ---- modes ------------------------------------------------------------------------------------ */

/* (c0 z + c1) z + c2, near z = 1 by what z lacks to 1: zeros there would cost it its digits. */
static struct cw_complex quadratic(double c0, double c1, double c2, struct cw_complex z)
{
    if (z.re > 0.5) {
        struct cw_complex less = cw_c(1.0 - z.re, -z.im);
        struct cw_complex inner = cw_mul(cw_c(c0 * less.re - (2.0 * c0 + c1), c0 * less.im), less);
        return cw_c(inner.re + (c0 + c1 + c2), inner.im);
    }
    struct cw_complex inner = cw_mul(cw_c(c0 * z.re + c1, c0 * z.im), z);
    return cw_c(inner.re + c2, inner.im);
}

static struct cw_complex power(struct cw_complex z, int n)
{
    struct cw_complex result = {1.0, 0.0};
    for (; n > 0; n >>= 1, z = cw_mul(z, z)) {
        result = n & 1 ? cw_mul(result, z) : result;
    }
    return result;
}

/* What pole p brings to the impulse response at the sample `delay`: p^(delay - 1) N(p) / D'(p), where N and D
 * have two roots for each section, those at zero included. */
static struct cw_complex residue(const struct cw_sections *s, const struct poles *poles, int own, struct cw_complex p,
                                 struct cw_complex other, int delay)
{
    struct cw_complex n = {s->gain, 0.0}, d = {1.0, 0.0};
    for (int i = 0; i < s->count; i++) {
        n = cw_mul(n, quadratic(s->section[i].b0, s->section[i].b1, s->section[i].b2, p));
    }
    for (int i = 0; i < poles->count; i++) {
        const struct pole_pair *pair = &poles->pair[i];
        if (i != own) {
            d = cw_mul(d, cw_sub(p, pair->p));
            d = pair->single ? d : cw_mul(d, cw_sub(p, pair->q));
        } else if (!pair->single) {
            d = cw_mul(d, cw_sub(p, other));
        }
    }
    return cw_div(cw_mul(n, power(p, delay - 1 - poles->at_zero)), d);
}

/* One mode. Returns the highest that it can come to at any frequency, both poles for themselves: what
 * rounding is measured against. */
static double mode_of(const struct cw_sections *s, const struct poles *poles, int own, int delay, struct cw_mode *mode)
{
    const struct pole_pair *pair = &poles->pair[own];
    struct cw_complex p = pair->p, q = pair->q, r = residue(s, poles, own, p, q, delay);
    double most = cw_abs(r) / (1.0 - cw_abs(p));
    if (pair->single) {
        *mode = (struct cw_mode){r.re, 0.0, -p.re, 0.0};
        return most;
    }
    if (p.im != 0.0) {
        *mode = (struct cw_mode){2.0 * r.re, -2.0 * (r.re * p.re + r.im * p.im), -2.0 * p.re, cw_norm(p)};
        return 2.0 * most;
    }
    struct cw_complex t = residue(s, poles, own, q, p, delay);
    *mode = (struct cw_mode){r.re + t.re, -(r.re * q.re + t.re * p.re), -(p.re + q.re), p.re * q.re};
    return most + cw_abs(t) / (1.0 - cw_abs(q));
}

/* All modes; returns the sum of the highest that each can come to. */
static double all_modes(const struct cw_sections *s, double draw, struct cw_modes *modes)
{
    struct poles poles;
    double sum = 0.0;
    poles_of(s, draw, &poles);
    modes->count = poles.count;
    modes->delay = poles.at_zero < CW_MODES_DELAY_SHORT ? CW_MODES_DELAY_SHORT : CW_MODES_DELAY_LONG;
    for (int i = 0; i < poles.count; i++) {
        sum += mode_of(s, &poles, i, modes->delay, &modes->mode[i]);
    }
    return sum;
}

/* How far pairs are drawn in where modes nearly cancel. */
static const double DRAWN[] = {0.0, 3e-6, 2e-4, 3e-3};
enum { TRIES = sizeof DRAWN / sizeof DRAWN[0] };

/* Modes this much higher than their sum cost it half of its sixteen digits. */
static const double CANCEL_MOST = 1e8;

void cw_modes_of(const struct cw_sections *s, double gain, struct cw_modes *modes)
{
    for (int try = 0; try < TRIES && !(all_modes(s, DRAWN[try], modes) <= CANCEL_MOST * s->top); try++) {
    }
    int head = modes->delay + CW_MODES_OVERLAP;
    cw_sections_impulse(s, modes->head, (size_t)head);
    for (int i = 0; i < head; i++) {
        modes->head[i] *= gain;
    }
    for (int i = 0; i < modes->count; i++) {
        modes->mode[i].c0 *= gain;
        modes->mode[i].c1 *= gain;
    }
}
