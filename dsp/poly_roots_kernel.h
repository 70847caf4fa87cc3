/* The iteration of poly_roots.c, included once for each width of vector. KERNEL(name) makes names of its own,
 * LANES is the number of doubles in a vector. Several roots move side by side, so that what one waits for
 * leaves room for the others. */

typedef double KERNEL(vec) __attribute__((vector_size(8 * LANES)));
typedef int64_t KERNEL(mask) __attribute__((vector_size(8 * LANES)));

#define VEC KERNEL(vec)
#define MASK KERNEL(mask)
#define CHOOSE(mask, yes, no) ((VEC)(((MASK)(yes) & (mask)) | ((MASK)(no) & ~(mask))))

struct KERNEL(points) {
    VEC re, im;
};

/* Newton's step p/p' at some points; settled[] is set where p is zero within rounding. Outside the
 * unit circle the reversed polynomial is used, so that nothing overflows. */
INLINE void KERNEL(newton_steps)(const double *c, int n, const struct KERNEL(points) *z, struct KERNEL(points) *step,
                                 bool *settled)
{
    VEC norm = z->re * z->re + z->im * z->im;
    MASK outside = norm > 1.0;
    /* x = 1/z outside, z inside */
    VEC xr = CHOOSE(outside, z->re / norm, z->re), xi = CHOOSE(outside, -z->im / norm, z->im);
    VEC zero = {0.0}, pr = zero, pi = zero, dr = zero, di = zero, bound = zero, size;
    for (int k = 0; k < LANES; k++) {
        size[k] = sqrt(xr[k] * xr[k] + xi[k] * xi[k]);
    }
    for (int i = 0; i <= n; i++) {
        VEC forward = zero + c[i], backward = zero + c[n - i], coefficient = CHOOSE(outside, forward, backward);
        VEC next = dr * xr - di * xi + pr;
        di = dr * xi + di * xr + pi;
        dr = next;
        next = pr * xr - pi * xi + coefficient;
        pi = pr * xi + pi * xr;
        pr = next;
        bound = bound * size + (VEC)((MASK)coefficient & INT64_MAX); /* the sign bit off: |c| */
    }
    /* For q(x) = x^n p(1/x): p'/p (z) = x (n - x q'/q). */
    VEC count = zero + n, ar = count * pr - (xr * dr - xi * di), ai = count * pi - (xr * di + xi * dr);
    dr = CHOOSE(outside, xr * ar - xi * ai, dr);
    di = CHOOSE(outside, xr * ai + xi * ar, di);
    VEC size_d = dr * dr + di * di;
    step->re = (pr * dr + pi * di) / size_d;
    step->im = (pi * dr - pr * di) / size_d;
    VEC least = ROUNDING * bound;
    MASK zeros = pr * pr + pi * pi <= least * least;
    for (int k = 0; k < LANES; k++) {
        settled[k] = zeros[k] != 0;
    }
}

/* For each of some points, the sum of 1/(z - z_k) over all roots but itself. */
INLINE struct KERNEL(points) KERNEL(repulsions)(const struct KERNEL(points) *z, const struct work *w, int n)
{
    struct KERNEL(points) sum = {{0.0}, {0.0}};
    for (int k = 0; k < n; k++) {
        VEC re = z->re - w->re[k], im = z->im - w->im[k];
        VEC inverse = 1.0 / (re * re + im * im + DBL_MIN); /* at itself: 0 times a finite number */
        sum.re += re * inverse;
        sum.im -= im * inverse;
    }
    return sum;
}

/* One sweep over all roots; returns true when every root has settled. */
INLINE bool KERNEL(sweep)(const double *c, int n, struct work *w)
{
    bool all = true;
    for (int first = 0; first < n; first += LANES) {
        bool rest = true, settled[LANES];
        for (int k = 0; k < LANES; k++) {
            rest = rest && w->done[first + k];
        }
        if (rest) {
            continue;
        }
        struct KERNEL(points) at, step, push;
        memcpy(&at.re, w->re + first, sizeof at.re);
        memcpy(&at.im, w->im + first, sizeof at.im);
        KERNEL(newton_steps)(c, n, &at, &step, settled);
        push = KERNEL(repulsions)(&at, w, n);
        for (int k = 0; k < LANES; k++) {
            if (!w->done[first + k]) {
                struct cw_complex by = cw_c(step.re[k], step.im[k]), away = cw_c(push.re[k], push.im[k]);
                w->done[first + k] = move_root(&w->re[first + k], &w->im[first + k], by, away, settled[k]);
                all = all && w->done[first + k];
            }
        }
    }
    return all;
}

INLINE void KERNEL(iterate)(const double *c, int n, struct work *w)
{
    for (int i = 0; i < SWEEPS_MOST && !KERNEL(sweep)(c, n, w); i++) {
    }
}

#undef VEC
#undef MASK
#undef CHOOSE
#undef KERNEL
#undef LANES
