/* SPDX-License-Identifier: ISC */
#include "modes.h"

#include <math.h>
#include <stdbool.h>

#include "complex_math.h"
#include "digital.h"
#include "polynomial.h"
#include "roots.h"

/* ---- poles, two by two ------------------------------------------------------------------------ */

/* A pole is what it lacks to 1, 1 - z: next to z = 1, where poles lie dense, z itself has lost the digits by which
 * they differ. */

/* A conjugate pair, or two poles on the real axis; of a single one q stands for nothing. The recursion is that of
 * the section where both come from one, so that both are rounded alike. */
struct pole_pair {
    struct cw_complex p, q;
    bool single;
    double a1, a2;
};

struct poles {
    int count, at_zero; /* pairs, and poles at zero, which are in none */
    struct pole_pair pair[CW_SECTIONS_MAX];
};

static struct cw_complex z_of(struct cw_complex p) { return cw_c(1.0 - p.re, -p.im); }

/* 1 - |z| */
static double from_circle(struct cw_complex p) { return (2.0 * p.re - cw_norm(p)) / (1.0 + cw_abs(z_of(p))); }

/* Two equal poles have no partial fractions. This far apart, as a share of the distance from the unit
 * circle, they have, and the response is the same within the square of it. */
static const double APART = 1e-5;

/* A little nearer to zero: by a share of the way from the unit circle. */
static struct cw_complex drawn_in(struct cw_complex p, double draw)
{
    double by = draw * from_circle(p);
    return cw_c(p.re + by * (1.0 - p.re), p.im - by * p.im);
}

/* Two poles as far from their centre as half their distance, on the real axis or across it. Each pair is drawn in
 * further than the one before. */
static void add_pair(struct poles *poles, double centre, double half, bool conjugate, const struct cw_biquad *from,
                     double draw)
{
    double apart = fmax(half, APART * from_circle(cw_c(centre, 0.0)));
    draw *= poles->count;
    struct cw_complex p = drawn_in(conjugate ? cw_c(centre, apart) : cw_c(centre + apart, 0.0), draw);
    struct cw_complex q = conjugate ? cw_c(p.re, -p.im) : drawn_in(cw_c(centre - apart, 0.0), draw);
    bool kept = from && apart == half && draw == 0.0;
    double sum = p.re + q.re, product = conjugate ? cw_norm(p) : p.re * q.re;
    poles->pair[poles->count++] =
        (struct pole_pair){p, q, false, kept ? from->a1 : sum - 2.0, kept ? from->a2 : 1.0 - sum + product};
    poles->at_zero -= 2;
}

static void add_single(struct poles *poles, double at, double draw)
{
    struct cw_complex p = drawn_in(cw_c(at, 0.0), draw * poles->count);
    poles->pair[poles->count++] = (struct pole_pair){p, cw_c(1.0, 0.0), true, p.re - 1.0, 0.0};
    poles->at_zero -= 1;
}

/* Neighbours together: as modes of their own they would nearly cancel. */
static void add_real(const struct cw_sections *s, struct cw_real_root *real, int count, double draw,
                     struct poles *poles)
{
    cw_pair_real(real, count);
    for (int i = 0; i + 1 < count; i += 2) {
        double p = real[i].at, q = real[i + 1].at;
        const struct cw_biquad *from = real[i].from == real[i + 1].from ? &s->section[real[i].from] : NULL;
        add_pair(poles, 0.5 * (p + q), 0.5 * (p - q), false, from, draw);
    }
    if (count % 2 == 1) {
        add_single(poles, real[count - 1].at, draw);
    }
}

static void poles_of(const struct cw_sections *s, double draw, struct poles *poles)
{
    struct cw_real_root real[CW_FACTORS_MAX];
    int reals = 0;
    poles->count = 0;
    poles->at_zero = 2 * s->count;
    for (int i = 0; i < s->count; i++) {
        double a1 = s->section[i].a1, a2 = s->section[i].a2;
        double centre = 1.0 + 0.5 * a1, product = 1.0 + a1 + a2, square = centre * centre - product;
        if (a2 == 0.0) {
            if (a1 != 0.0) {
                real[reals++] = (struct cw_real_root){1.0 + a1, i};
            }
        } else if (square < 0.0) {
            add_pair(poles, centre, sqrt(-square), true, &s->section[i], draw);
        } else {
            double far = centre + sqrt(square); /* the centre is above 0: the poles are within the unit circle */
            real[reals++] = (struct cw_real_root){far, i};
            real[reals++] = (struct cw_real_root){product / far, i};
        }
    }
    add_real(s, real, reals, draw, poles);
}

/* ---- modes ------------------------------------------------------------------------------------ */

/* (c0 z + c1) z + c2 at a pole, near z = 1 by what it lacks to 1: zeros there would cost it its digits. */
static struct cw_complex quadratic(double c0, double c1, double c2, struct cw_complex p)
{
    if (p.re < 0.5) {
        struct cw_complex inner = cw_mul(cw_c(c0 * p.re - (2.0 * c0 + c1), c0 * p.im), p);
        return cw_c(inner.re + (c0 + c1 + c2), inner.im);
    }
    struct cw_complex z = z_of(p), inner = cw_mul(cw_c(c0 * z.re + c1, c0 * z.im), z);
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

/* What pole p brings to the impulse response at the sample `delay`: z^(delay - 1) N(z) / D'(z), where N and D
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
            d = cw_mul(d, cw_sub(pair->p, p));
            d = pair->single ? d : cw_mul(d, cw_sub(pair->q, p));
        } else if (!pair->single) {
            d = cw_mul(d, cw_sub(other, p));
        }
    }
    return cw_div(cw_mul(n, power(z_of(p), delay - 1 - poles->at_zero)), d);
}

/* One mode. Returns the highest that it can come to at any frequency, both poles for themselves: what
 * rounding is measured against. */
static double mode_of(const struct cw_sections *s, const struct poles *poles, int own, int delay, struct cw_mode *mode)
{
    const struct pole_pair *pair = &poles->pair[own];
    struct cw_complex p = pair->p, q = pair->q, r = residue(s, poles, own, p, q, delay);
    double most = cw_abs(r) / from_circle(p);
    if (pair->single) {
        *mode = (struct cw_mode){r.re, 0.0, pair->a1, pair->a2};
        return most;
    }
    if (p.im != 0.0) { /* c0 + c1 = 2 Re(r conj p): what it sums to at z = 1 */
        double c0 = 2.0 * r.re;
        *mode = (struct cw_mode){c0, 2.0 * (r.re * p.re + r.im * p.im) - c0, pair->a1, pair->a2};
        return 2.0 * most;
    }
    struct cw_complex t = residue(s, poles, own, q, p, delay);
    double c0 = r.re + t.re;
    *mode = (struct cw_mode){c0, r.re * q.re + t.re * p.re - c0, pair->a1, pair->a2};
    return most + cw_abs(t) / from_circle(q);
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
