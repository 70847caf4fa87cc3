/* SPDX-License-Identifier: ISC */
#include "sections.h"

#include "biquad.h"
#include "complex_math.h"
#include "polynomial.h"
#include "roots.h"

/* c0 + c1 z^-1 + c2 z^-2 */
struct quadratic {
    double c0, c1, c2;
    struct cw_complex root;
};

/* Conjugate pairs as they are; real roots by cw_pair_real(), as dsp/modes.c pairs them. */
static int quadratics_of(const struct cw_root_set *set, struct quadratic *out)
{
    struct cw_real_root real[CW_FACTORS_MAX];
    int reals = 0, count = 0;
    for (int i = 0; i < set->count; i++) {
        struct cw_complex z = set->root[i];
        if (z.im == 0.0) {
            real[reals++] = (struct cw_real_root){z.re, 0};
        } else if (z.im > 0.0) {
            out[count++] = (struct quadratic){1.0, -2.0 * z.re, cw_norm(z), z};
        }
    }
    cw_pair_real(real, reals);
    for (int i = 0; i < reals; i += 2) {
        double a = real[i].at, b = i + 1 < reals ? real[i + 1].at : 0.0;
        out[count++] = (struct quadratic){1.0, -(a + b), a * b, cw_c(a, 0.0)};
    }
    return count;
}

/* Multiply a product of factors by z^-1: in a factor that has room, else in one of its own. */
static void delay(struct quadratic *factor, int *count)
{
    for (int i = 0; i < *count; i++) {
        if (factor[i].c2 == 0.0) {
            factor[i] = (struct quadratic){0.0, 1.0, factor[i].c1, factor[i].root};
            return;
        }
    }
    factor[(*count)++] = (struct quadratic){0.0, 1.0, 0.0, {0.0, 0.0}};
}

/* Two roots make a factor, and where their number is odd, the last one leaves room for the delay. */
_Static_assert(CW_TARGET_MAX + CW_CORRECTION_ZEROS + CW_SLOPE_ROOTS + CW_DELAY_ZEROS <= 2 * (int)CW_SECTIONS_MAX &&
                   CW_TARGET_MAX + CW_CORRECTION_POLES + CW_SLOPE_ROOTS <= 2 * (int)CW_SECTIONS_MAX,
               "a plan has room in the sections");

/* Each pole factor takes the zero factor nearest to it, so that no section boosts by much. */
void cw_sections_of(const struct cw_plan *plan, struct cw_sections *out)
{
    struct quadratic zero[CW_FACTORS_MAX], pole[CW_FACTORS_MAX];
    const struct quadratic one = {1.0, 0.0, 0.0, {0.0, 0.0}};
    int zeros = quadratics_of(&plan->zeros, zero), poles = quadratics_of(&plan->poles, pole);
    double at_dc = 1.0;
    if (plan->delayed) {
        delay(zero, &zeros);
    }
    out->count = 0;
    for (int i = 0; i < poles || zeros > 0; i++) {
        struct quadratic p = i < poles ? pole[i] : one, z = one;
        if (zeros > 0) {
            int best = 0;
            for (int k = 1; k < zeros; k++) {
                if (cw_norm(cw_sub(zero[k].root, p.root)) < cw_norm(cw_sub(zero[best].root, p.root))) {
                    best = k;
                }
            }
            z = zero[best];
            zero[best] = zero[--zeros];
        }
        out->section[out->count++] = (struct cw_biquad){z.c0, z.c1, z.c2, p.c1, p.c2};
        at_dc *= (z.c0 + z.c1 + z.c2) / (1.0 + p.c1 + p.c2);
    }
    out->gain = plan->dc / at_dc;
}
