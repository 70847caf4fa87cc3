/* SPDX-License-Identifier: ISC */
/** \file golden.h
 * Golden-section search (J. Kiefer, "Sequential minimax search for a maximum", Proc. AMS 4, 1953; cited from
 * memory).
 *
 * Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_GOLDEN_H
#define CW_GOLDEN_H

#ifdef __cplusplus
extern "C" {
#endif

/** The top of a curve: where, and how high. */
struct cw_top {
    double at, value;
};

/** The top of a curve that has one between \p lo and \p hi. A step narrows the range to 0.618 of it.
 * \param curve its value at a place; \p of is handed on to it */
static inline struct cw_top cw_golden_top(double (*curve)(const void *of, double at), const void *of, double lo,
                                          double hi, int steps)
{
    const double golden = 0.6180339887498949;
    double x1 = hi - golden * (hi - lo), x2 = lo + golden * (hi - lo);
    double p1 = curve(of, x1), p2 = curve(of, x2);
    for (int i = 0; i < steps; i++) {
        if (p1 > p2) {
            hi = x2;
            x2 = x1;
            p2 = p1;
            x1 = hi - golden * (hi - lo);
            p1 = curve(of, x1);
        } else {
            lo = x1;
            x1 = x2;
            p1 = p2;
            x2 = lo + golden * (hi - lo);
            p2 = curve(of, x2);
        }
    }
    struct cw_top top = {0.5 * (lo + hi), p1 > p2 ? p1 : p2};
    return top;
}

#ifdef __cplusplus
}
#endif
#endif
