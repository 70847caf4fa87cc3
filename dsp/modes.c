#include "modes.h"

#include <math.h>
#include <stdbool.h>

#include "complex_math.h"

/* Two poles of one section: a conjugate pair, or two on the real axis; a single one has q = 0. */
struct pole_pair {
    struct cw_complex p, q;
    bool single;
};

/* Two equal poles have no partial fractions. This far apart, as a share of the distance from the unit
 * circle, they have, and the response is the same within the square of it. */
static const double APART = 1e-5;

static struct pole_pair pair_of(double a1, double a2)
{
    if (a2 == 0.0) {
        return (struct pole_pair){cw_c(-a1, 0.0), cw_c(0.0, 0.0), true};
    }
    double centre = -0.5 * a1, square = centre * centre - a2;
    double apart = fmax(sqrt(fabs(square)), APART * (1.0 - fabs(centre)));
    if (square < 0.0) {
        return (struct pole_pair){cw_c(centre, apart), cw_c(centre, -apart), false};
    }
    double far = centre < 0.0 ? centre - apart : centre + apart;
    double near = square < apart * apart ? 2.0 * centre - far : a2 / far;
    return (struct pole_pair){cw_c(far, 0.0), cw_c(near, 0.0), false};
}

/* Both poles a little nearer to zero: share of the way from the unit circle. */
static struct pole_pair drawn_in(struct pole_pair pair, double share)
{
    double p = 1.0 - share * (1.0 - cw_abs(pair.p)), q = 1.0 - share * (1.0 - cw_abs(pair.q));
    pair.p = cw_c(pair.p.re * p, pair.p.im * p);
    pair.q = pair.p.im != 0.0 ? cw_c(pair.p.re, -pair.p.im) : cw_c(pair.q.re * q, 0.0);
    return pair;
}

struct poles {
    int count;
    struct pole_pair pair[CW_SECTIONS_MAX];
};

static void poles_of(const struct cw_sections *s, double share, struct poles *poles)
{
    poles->count = 0;
    for (int i = 0; i < s->count; i++) {
        if (s->section[i].a1 != 0.0 || s->section[i].a2 != 0.0) {
            struct pole_pair pair = pair_of(s->section[i].a1, s->section[i].a2);
            poles->pair[poles->count] = drawn_in(pair, share * poles->count);
            poles->count++;
        }
    }
}

/* (c0 z + c1) z + c2 */
static struct cw_complex quadratic(double c0, double c1, double c2, struct cw_complex z)
{
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

/* Share of pole p in the impulse response at the sample `delay`: p^(delay - 1) N(p) / D'(p), where N and D
 * have two roots for each section. Sections without poles, and single ones, give D roots at zero. */
static struct cw_complex share_of(const struct cw_sections *s, const struct poles *poles, int own,
                                  struct cw_complex p, struct cw_complex other, int delay)
{
    struct cw_complex n = {s->gain, 0.0}, d = {1.0, 0.0};
    int at_zero = 2 * (s->count - poles->count);
    for (int i = 0; i < s->count; i++) {
        n = cw_mul(n, quadratic(s->section[i].b0, s->section[i].b1, s->section[i].b2, p));
    }
    for (int i = 0; i < poles->count; i++) {
        const struct pole_pair *pair = &poles->pair[i];
        at_zero += pair->single;
        if (i != own) {
            d = cw_mul(d, cw_sub(p, pair->p));
            d = pair->single ? d : cw_mul(d, cw_sub(p, pair->q));
        } else if (!pair->single) {
            d = cw_mul(d, cw_sub(p, other));
        }
    }
    return cw_div(cw_mul(n, power(p, delay - 1 - at_zero)), d);
}

/* One mode. Returns the highest that it can come to at any frequency, both poles for themselves: what
 * rounding is measured against. */
static double mode_of(const struct cw_sections *s, const struct poles *poles, int own, int delay, struct cw_mode *mode)
{
    const struct pole_pair *pair = &poles->pair[own];
    struct cw_complex p = pair->p, q = pair->q, r = share_of(s, poles, own, p, q, delay);
    double most = cw_abs(r) / (1.0 - cw_abs(p));
    if (pair->single) {
        *mode = (struct cw_mode){r.re, 0.0, -p.re, 0.0};
        return most;
    }
    if (p.im != 0.0) {
        *mode = (struct cw_mode){2.0 * r.re, -2.0 * (r.re * p.re + r.im * p.im), -2.0 * p.re, cw_norm(p)};
        return 2.0 * most;
    }
    struct cw_complex t = share_of(s, poles, own, q, p, delay);
    *mode = (struct cw_mode){r.re + t.re, -(r.re * q.re + t.re * p.re), -(p.re + q.re), p.re * q.re};
    return most + cw_abs(t) / (1.0 - cw_abs(q));
}

static void head_of(const struct cw_sections *s, double gain, int length, double *head)
{
    head[0] = gain;
    for (int t = 1; t < length; t++) {
        head[t] = 0.0;
    }
    for (int i = 0; i < s->count; i++) {
        const struct cw_biquad *b = &s->section[i];
        double s1 = 0.0, s2 = 0.0;
        for (int t = 0; t < length; t++) {
            double x = head[t], y = b->b0 * x + s1;
            s1 = b->b1 * x - b->a1 * y + s2;
            s2 = b->b2 * x - b->a2 * y;
            head[t] = y;
        }
    }
}

static int delay_of(const struct cw_sections *s)
{
    int at_zero = 0;
    for (int i = 0; i < s->count; i++) {
        at_zero += (s->section[i].a2 == 0.0) + (s->section[i].a2 == 0.0 && s->section[i].a1 == 0.0);
    }
    return at_zero < CW_MODES_DELAY_SHORT ? CW_MODES_DELAY_SHORT : CW_MODES_DELAY_LONG;
}

/* How far pairs are drawn in, each further than the one before, where modes nearly cancel. */
static const double DRAWN[] = {0.0, 3e-6, 2e-4, 3e-3};
enum { TRIES = sizeof DRAWN / sizeof DRAWN[0] };

/* Modes this much higher than their sum lose eight digits to rounding, of sixteen. */
static const double CANCEL_MOST = 1e8;

/* All modes; returns the sum of the highest that each can come to. */
static double modes_of(const struct cw_sections *s, double share, struct cw_modes *modes)
{
    struct poles poles;
    double sum = 0.0;
    poles_of(s, share, &poles);
    modes->count = poles.count;
    for (int i = 0; i < poles.count; i++) {
        sum += mode_of(s, &poles, i, modes->delay, &modes->mode[i]);
    }
    return sum;
}

void cw_modes_of(const struct cw_sections *s, double gain, struct cw_modes *modes)
{
    modes->delay = delay_of(s);
    for (int try = 0; try < TRIES && !(modes_of(s, DRAWN[try], modes) <= CANCEL_MOST * s->top); try++) {
    }
    for (int i = 0; i < modes->count; i++) {
        modes->mode[i].c0 *= gain;
        modes->mode[i].c1 *= gain;
    }
    head_of(s, s->gain * gain, modes->delay + CW_MODES_OVERLAP, modes->head);
}
