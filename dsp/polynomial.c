/* SPDX-License-Identifier: ISC */
#include "polynomial.h"

#include <assert.h>

struct cw_poly cw_poly_constant(double c)
{
    struct cw_poly p = {0, {c}};
    return p;
}

struct cw_poly cw_poly_linear(double c0, double c1)
{
    struct cw_poly p = {c1 != 0.0 ? 1 : 0, {c0, c1 * CW_OMEGA_UNIT}};
    return p;
}

/* a + factor b */
static struct cw_poly combine(const struct cw_poly *a, const struct cw_poly *b, double factor)
{
    struct cw_poly r = *a;
    for (int i = a->degree + 1; i <= b->degree; i++) {
        r.c[i] = 0.0;
    }
    for (int i = 0; i <= b->degree; i++) {
        r.c[i] += factor * b->c[i];
    }
    r.degree = a->degree > b->degree ? a->degree : b->degree;
    return r;
}

struct cw_poly cw_poly_add(struct cw_poly a, struct cw_poly b) { return combine(&a, &b, 1.0); }
struct cw_poly cw_poly_sub(struct cw_poly a, struct cw_poly b) { return combine(&a, &b, -1.0); }

struct cw_poly cw_poly_mul(struct cw_poly a, struct cw_poly b)
{
    assert(a.degree + b.degree <= CW_DEGREE_MAX);
    struct cw_poly r;
    r.degree = a.degree + b.degree;
    for (int k = 0; k <= b.degree; k++) {
        r.c[k] = a.c[0] * b.c[k];
    }
    for (int i = 1; i <= a.degree; i++) {
        r.c[i + b.degree] = 0.0;
        for (int k = 0; k <= b.degree; k++) {
            r.c[i + k] += a.c[i] * b.c[k];
        }
    }
    return r;
}

struct cw_poly cw_poly_scale(struct cw_poly a, double factor)
{
    for (int i = 0; i <= a.degree; i++) {
        a.c[i] *= factor;
    }
    return a;
}

struct cw_poly cw_poly_times_s(struct cw_poly a, double factor)
{
    assert(a.degree < CW_DEGREE_MAX);
    for (int i = a.degree; i >= 0; i--) {
        a.c[i + 1] = a.c[i] * factor * CW_OMEGA_UNIT;
    }
    a.c[0] = 0.0;
    a.degree++;
    return a;
}
