/* SPDX-License-Identifier: ISC */
#include "target.h"

#include <math.h>

#include "circuit.h"
#include "complex_math.h"
#include "polynomial.h"

/* What both setups share is in the zeros and the poles; it goes, so that equal parts cost nothing. */
static void cancel(struct cw_root_set *zeros, struct cw_root_set *poles)
{
    for (int i = 0; i < zeros->count;) {
        int width = zeros->root[i].im != 0.0 ? 2 : 1, match = -1;
        for (int k = 0; k < poles->count && match < 0; k++) {
            bool same_kind = (poles->root[k].im > 0.0) == (width == 2) && poles->root[k].im >= 0.0;
            if (same_kind && cw_norm(cw_sub(zeros->root[i], poles->root[k])) <= 1e-20 * cw_norm(poles->root[k])) {
                match = k;
            }
        }
        if (match < 0) {
            i += width;
        } else {
            cw_roots_take_out(zeros, i, width);
            cw_roots_take_out(poles, match, width);
        }
    }
}

/* Poles must lie in the left half plane: a zero of the recording to the right of the axis, which the
 * candidate does not have as well, is mirrored; that leaves the magnitude as it is. */
static bool mirror_to_left(struct cw_root_set *poles)
{
    bool mirrored = false;
    for (int i = 0; i < poles->count; i++) {
        struct cw_complex *root = &poles->root[i];
        double least = 1e-7 * cw_abs(*root);
        mirrored = mirrored || root->re > 0.0;
        root->re = -fmax(fabs(root->re), least);
    }
    return mirrored;
}

_Static_assert((int)CW_CIRCUIT_POLES_MAX + (int)CW_CIRCUIT_ZEROS_MAX <= (int)CW_TARGET_MAX,
               "the ratio of any two networks has room");

static bool has_room(const struct cw_target *t)
{
    return t->zeros.count <= CW_TARGET_MAX && t->poles.count <= CW_TARGET_MAX;
}

bool cw_target_begin(const struct cw_transfer *candidate, struct cw_target *t)
{
    struct cw_roots roots;
    t->zeros.count = t->poles.count = 0;
    t->mirrored = false;
    if (!cw_transfer_roots(candidate, &roots)) {
        return false;
    }
    t->gain = roots.gain;
    return cw_roots_append(&t->zeros, roots.zero, roots.zeros) && cw_roots_append(&t->poles, roots.pole, roots.poles) &&
           has_room(t);
}

bool cw_target_divide(const struct cw_transfer *recorded, struct cw_target *t)
{
    struct cw_roots roots;
    if (!cw_transfer_roots(recorded, &roots)) {
        return true;
    }
    t->gain /= roots.gain;
    if (!cw_roots_append(&t->zeros, roots.pole, roots.poles) || !cw_roots_append(&t->poles, roots.zero, roots.zeros)) {
        return false;
    }
    cancel(&t->zeros, &t->poles);
    t->mirrored = mirror_to_left(&t->poles);
    return has_room(t);
}

bool cw_target_of(const struct cw_transfer *candidate, const struct cw_transfer *recorded, struct cw_target *t)
{
    return cw_target_begin(candidate, t) && (!recorded || cw_target_divide(recorded, t));
}
