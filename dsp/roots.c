/* SPDX-License-Identifier: ISC */
#include "roots.h"

#include <math.h>
#include <string.h>

#include "complex_math.h"

bool cw_roots_append(struct cw_root_set *set, const struct cw_complex *roots, int count)
{
    if (count > CW_FACTORS_MAX - set->count) {
        return false;
    }
    memcpy(set->root + set->count, roots, (size_t)count * sizeof *roots);
    set->count += count;
    return true;
}

void cw_roots_take_out(struct cw_root_set *set, int at, int width)
{
    set->count -= width;
    memmove(set->root + at, set->root + at + width, (size_t)(set->count - at) * sizeof set->root[0]);
}

static struct cw_complex square_root(struct cw_complex a)
{
    double size = cw_abs(a), re = sqrt(0.5 * (size + fabs(a.re))), im = re > 0.0 ? 0.5 * a.im / re : 0.0;
    return a.re >= 0.0 ? cw_c(re, im) : cw_c(fabs(im), a.im >= 0.0 ? re : -re);
}

/* The root in z, inside the unit circle, of a root in u: z + 1/z = 2 - 4u. */
static struct cw_complex inside_circle(struct cw_complex u)
{
    /* c^2 - 1 = 4 u (u - 1), which keeps its digits near u = 0 */
    struct cw_complex c = cw_c(1.0 - 2.0 * u.re, -2.0 * u.im);
    struct cw_complex root = square_root(cw_mul(cw_c(4.0 * u.re, 4.0 * u.im), cw_c(u.re - 1.0, u.im)));
    struct cw_complex plus = cw_add(c, root), minus = cw_sub(c, root);
    struct cw_complex big = cw_norm(plus) > cw_norm(minus) ? plus : minus;
    return cw_div(cw_c(1.0, 0.0), big);
}

static bool on_band(struct cw_complex u) { return u.im == 0.0 && u.re >= 0.0 && u.re <= 1.0; }

bool cw_roots_to_circle(const struct cw_complex *u, int count, double most, struct cw_root_set *z)
{
    if (count > CW_FACTORS_MAX - z->count) {
        return false;
    }
    for (int i = 0; i < count; i++) {
        struct cw_complex root = inside_circle(u[i]);
        if (on_band(u[i]) || !(cw_norm(root) < most * most)) {
            return false;
        }
        /* conjugates in u are conjugates in z; the order is positive imaginary part first */
        root.im = copysign(root.im, u[i].im);
        z->root[z->count++] = root;
    }
    return true;
}

static void sort_falling(struct cw_real_root *root, int count)
{
    for (int i = 1; i < count; i++) {
        for (int k = i; k > 0 && root[k].at > root[k - 1].at; k--) {
            struct cw_real_root t = root[k];
            root[k] = root[k - 1];
            root[k - 1] = t;
        }
    }
}

void cw_pair_real(struct cw_real_root *root, int count)
{
    sort_falling(root, count);
    for (; count > 2; root += 2, count -= 2) {
        int best = 0;
        for (int i = 1; i + 1 < count; i++) {
            best = root[i].at - root[i + 1].at < root[best].at - root[best + 1].at ? i : best;
        }
        struct cw_real_root larger = root[best], smaller = root[best + 1];
        memmove(root + 2, root, (size_t)best * sizeof *root);
        root[0] = larger;
        root[1] = smaller;
    }
}
