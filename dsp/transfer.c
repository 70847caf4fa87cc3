/* SPDX-License-Identifier: ISC */
#include "transfer.h"

#include <assert.h>
#include <math.h>

#include "complex_math.h"
#include "golden.h"
#include "poly_roots.h"

/* Even and odd part of p(jx): p = even + j odd. */
static struct cw_complex at_imaginary(const struct cw_poly *p, double x)
{
    double y = -x * x, even = 0.0, odd = 0.0;
    for (int i = p->degree; i >= 0; i--) {
        if (i & 1) {
            odd = odd * y + p->c[i];
        } else {
            even = even * y + p->c[i];
        }
    }
    return cw_c(even, odd * x);
}

struct cw_complex cw_transfer_at(const struct cw_transfer *h, double hz)
{
    assert(hz >= 0.0);
    double x = hz * 1e-3;
    return cw_div(at_imaginary(&h->num, x), at_imaginary(&h->den, x));
}

double cw_transfer_power(const struct cw_transfer *h, double hz)
{
    double x = hz * 1e-3;
    return cw_norm(at_imaginary(&h->num, x)) / cw_norm(at_imaginary(&h->den, x));
}

double cw_transfer_mixed_power(const struct cw_transfer *a, double of_a, const struct cw_transfer *b, double of_b,
                               double hz)
{
    double x = hz * 1e-3;
    struct cw_complex one = at_imaginary(&a->num, x), two = at_imaginary(&b->num, x);
    return cw_norm(cw_c(of_a * one.re + of_b * two.re, of_a * one.im + of_b * two.im)) /
           cw_norm(at_imaginary(&a->den, x));
}

double cw_transfer_db(const struct cw_transfer *h, double hz) { return 10.0 * log10(cw_transfer_power(h, hz)); }

/* ---- zeros and poles ---------------------------------------------------------------------- */

static void remove_root(struct cw_complex *z, int *count, int at, int how_many)
{
    for (int i = at; i + how_many < *count; i++) {
        z[i] = z[i + how_many];
    }
    *count -= how_many;
}

/* Equal coils have a mode that the output does not see; what is common to num and den goes. */
static void cancel_common(struct cw_roots *r)
{
    for (int i = 0; i < r->zeros;) {
        int width = r->zero[i].im != 0.0 ? 2 : 1, match = -1;
        for (int k = 0; k < r->poles && match < 0; k++) {
            bool same_kind = (r->pole[k].im != 0.0) == (width == 2);
            if (same_kind && cw_norm(cw_sub(r->zero[i], r->pole[k])) <= 1e-18 * cw_norm(r->pole[k])) {
                match = k;
            }
        }
        if (match >= 0) {
            remove_root(r->zero, &r->zeros, i, width);
            remove_root(r->pole, &r->poles, match, width);
        } else {
            i += width;
        }
    }
}

bool cw_transfer_roots(const struct cw_transfer *h, struct cw_roots *roots)
{
    int n = h->num.degree, d = h->den.degree;
    while (n > 0 && h->num.c[n] == 0.0) {
        n--;
    }
    while (d > 0 && h->den.c[d] == 0.0) {
        d--;
    }
    if (h->num.c[n] == 0.0) {
        return false;
    }
    roots->gain = h->num.c[n] / h->den.c[d];
    roots->zeros = cw_poly_roots(h->num.c, n, roots->zero);
    roots->poles = cw_poly_roots(h->den.c, d, roots->pole);
    cancel_common(roots);
    return true;
}

/* ---- resonance --------------------------------------------------------------------------- */

enum { PEAK_STEPS = 321 }; /* twenty-four to the octave, 20 Hz to 200 kHz */

static double peak_hz(double step) { return 20.0 * exp2(step * (13.2877123795494 / (PEAK_STEPS - 1))); }

/* The step of the highest local maximum; 0 where there is none. A rise of less than 0.005 dB is
 * rounding or of no use. */
static int highest_maximum(const double *power)
{
    const double rise = 1.00115;
    double lowest = power[0];
    int best = 0;
    for (int i = 1; i < PEAK_STEPS - 1; i++) {
        lowest = power[i] < lowest ? power[i] : lowest;
        bool top = power[i] > power[i - 1] && power[i] >= power[i + 1] && power[i] > rise * lowest;
        best = top && (best == 0 || power[i] > power[best]) ? i : best;
    }
    return best;
}

static double power_at_step(const void *transfer, double step) { return cw_transfer_power(transfer, peak_hz(step)); }

struct cw_peak cw_transfer_peak(const struct cw_transfer *h)
{
    struct cw_peak peak = {0.0, 0.0};
    double base = cw_transfer_power(h, 0.0), power[PEAK_STEPS];
    for (int i = 0; i < PEAK_STEPS; i++) {
        power[i] = cw_transfer_power(h, peak_hz(i));
    }
    int at = highest_maximum(power);
    if (at == 0 || !(base > 0.0)) {
        return peak;
    }
    struct cw_top top = cw_golden_top(power_at_step, h, at - 1, at + 1, 28);
    peak.hz = peak_hz(top.at);
    peak.db = 10.0 * log10(top.value / base);
    return peak;
}
