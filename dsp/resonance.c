/* SPDX-License-Identifier: ISC */
#include "resonance.h"

#include <math.h>

#include "acts.h"
#include "complex_math.h"
#include "golden.h"
#include "polynomial.h"

/* ---- the peak ------------------------------------------------------------------------------ */

enum { STEPS = 161 }; /* twelve to the octave */

static const double LOWEST = 20.0, HIGHEST = 200e3, OCTAVES = 13.2877123795494;

static double hz_at(double step) { return LOWEST * exp2(step * (OCTAVES / (STEPS - 1))); }

static double power_at(const void *transfer, double step) { return cw_transfer_power(transfer, hz_at(step)); }

/* The lowest power on the way from a step to anything higher than \p top, or to the end. */
static double lowest_beside(const double *power, int at, int direction, double top)
{
    double lowest = top;
    for (int i = at; i >= 0 && i < STEPS && power[i] <= top; i += direction) {
        lowest = fmin(lowest, power[i]);
    }
    return lowest;
}

struct cw_peak cw_peak_between(const struct cw_transfer *h, double low_hz, double high_hz)
{
    const double least = pow(10.0, CW_PEAK_LEAST_DB / 10.0);
    double power[STEPS], best = 0.0, base = cw_transfer_power(h, 0.0);
    struct cw_peak peak = {0.0, 0.0};
    for (int i = 0; i < STEPS; i++) {
        power[i] = cw_transfer_power(h, hz_at(i));
    }
    for (int i = 1; i < STEPS - 1; i++) {
        bool top = power[i] > power[i - 1] && power[i] >= power[i + 1];
        if (!top || power[i] * 1.05 < best || hz_at(i) < low_hz || hz_at(i) > high_hz) {
            continue;
        }
        struct cw_top t = cw_golden_top(power_at, h, i - 1, i + 1, 28);
        double beside = fmax(lowest_beside(power, i, -1, t.value), lowest_beside(power, i, 1, t.value));
        if (t.value > best && t.value >= least * beside) {
            best = t.value;
            peak = (struct cw_peak){hz_at(t.at), base > 0.0 ? 10.0 * log10(t.value / base) : 0.0};
        }
    }
    return peak;
}

/* ---- the resonance ------------------------------------------------------------------------- */

/* A pair of poles: magnitude, Q, and how much it shows. */
struct pair {
    double hz, q, share;
};

enum { PAIRS = CW_DEGREE_MAX / 2 };

/* Residue of a pole over its damping: the height of what it adds at its own frequency. */
static double share_of(const struct cw_roots *r, int at)
{
    struct cw_complex p = r->pole[at], residue = cw_c(r->gain, 0.0);
    for (int i = 0; i < r->zeros; i++) {
        residue = cw_mul(residue, cw_sub(p, r->zero[i]));
    }
    for (int i = 0; i < r->poles; i++) {
        residue = i == at ? residue : cw_div(residue, cw_sub(p, r->pole[i]));
    }
    return cw_abs(residue) / fmax(-p.re, 1e-12);
}

/* Lowest first: there are few. */
static void insert(struct pair *pair, int count, struct pair new)
{
    int at = count;
    for (; at > 0 && pair[at - 1].hz > new.hz; at--) {
        pair[at] = pair[at - 1];
    }
    pair[at] = new;
}

/* The pairs that show, in rising order. */
static int pairs_of(const struct cw_transfer *h, struct pair pair[PAIRS])
{
    struct cw_roots r;
    struct pair all[PAIRS];
    double greatest = 0.0;
    int count = 0, seen = 0;
    for (int i = 0, n = cw_transfer_roots(h, &r) ? r.poles : 0; i < n; i++) {
        double size = cw_abs(r.pole[i]), hz = size * 1e3;
        if (r.pole[i].im > 0.0 && hz >= LOWEST && hz <= HIGHEST) {
            all[count] = (struct pair){hz, size / fmax(-2.0 * r.pole[i].re, 1e-12), share_of(&r, i)};
            greatest = fmax(greatest, all[count++].share);
        }
    }
    for (int i = 0; i < count; i++) {
        if (all[i].share >= 0.1 * greatest) {
            insert(pair, seen++, all[i]);
        }
    }
    return seen;
}

static struct pair least_damped(const struct pair *pair, int count, double low, double high)
{
    struct pair best = {0.0, 0.0, 0.0};
    for (int i = 0; i < count; i++) {
        best = pair[i].hz >= low && pair[i].hz <= high && pair[i].q > best.q ? pair[i] : best;
    }
    return best;
}

struct cw_resonance cw_resonance_of(const struct cw_setup *setup, const struct cw_transfer *h)
{
    struct pair pair[PAIRS];
    int count = pairs_of(h, pair), own = count >= 2 && cw_param_acts(setup, CW_P_SPLIT_CAPACITOR) ? 1 : 0;
    struct pair best = least_damped(pair + own, count - own, CW_RESONANCE_LOW, CW_RESONANCE_HIGH);
    if (best.hz == 0.0) {
        best = least_damped(pair + own, count - own, LOWEST, HIGHEST);
    }
    return (struct cw_resonance){best.hz, best.q, own ? pair[0].hz : 0.0};
}

struct cw_peak cw_peak_of(const struct cw_transfer *h, const struct cw_resonance *resonance)
{
    bool two = resonance->split_hz > 0.0 && resonance->hz > 0.0;
    return cw_peak_between(h, two ? sqrt(resonance->split_hz * resonance->hz) : LOWEST, HIGHEST);
}
