/* SPDX-License-Identifier: ISC */
#include "cookbook.h"

#include <math.h>

#include "constants.h"

static struct cw_biquad normalised(double b0, double b1, double b2, double a0, double a1, double a2)
{
    struct cw_biquad s = {b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0};
    return s;
}

/* The shelves share one shape; sign is +1 for the low shelf, -1 for the high shelf. */
static struct cw_biquad shelf(double sign, double a, double c, double alpha)
{
    double root = 2.0 * sqrt(a) * alpha, k = sign * c;
    double up = a + 1.0, down = a - 1.0;
    return normalised(a * (up - down * k + root), sign * 2.0 * a * (down - up * k), a * (up - down * k - root),
                      up + down * k + root, sign * -2.0 * (down + up * k), up + down * k - root);
}

struct cw_biquad cookbook(enum cookbook_kind kind, double hz, double q, double db, double rate)
{
    double w = 2.0 * CW_PI * hz / rate, c = cos(w), alpha = sin(w) / (2.0 * q), a = pow(10.0, db / 40.0);
    switch (kind) {
    case CW_LOWPASS: return normalised((1 - c) / 2, 1 - c, (1 - c) / 2, 1 + alpha, -2 * c, 1 - alpha);
    case CW_HIGHPASS: return normalised((1 + c) / 2, -(1 + c), (1 + c) / 2, 1 + alpha, -2 * c, 1 - alpha);
    case CW_BANDPASS: return normalised(alpha, 0, -alpha, 1 + alpha, -2 * c, 1 - alpha);
    case CW_NOTCH: return normalised(1, -2 * c, 1, 1 + alpha, -2 * c, 1 - alpha);
    case CW_ALLPASS: return normalised(1 - alpha, -2 * c, 1 + alpha, 1 + alpha, -2 * c, 1 - alpha);
    case CW_PEAKING: return normalised(1 + alpha * a, -2 * c, 1 - alpha * a, 1 + alpha / a, -2 * c, 1 - alpha / a);
    case CW_LOWSHELF: return shelf(1.0, a, c, alpha);
    case CW_HIGHSHELF: return shelf(-1.0, a, c, alpha);
    }
    return normalised(1, 0, 0, 1, 0, 0);
}
