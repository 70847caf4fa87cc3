/* SPDX-License-Identifier: ISC */
/** \file cubic.h
 * Between the rows of a table: Lagrange's cubic through four neighbours.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; fixed time.
 */
#ifndef CW_CUBIC_H
#define CW_CUBIC_H

#include <math.h>

/** The first of the four rows and what each counts.
 * \param place in rows from the first, which is 0; beyond the table it is the table's end
 * \param rows of the table, 4 or more */
static inline int cw_cubic_weights(double place, int rows, double weight[4])
{
    double within = fmin(fmax(place, 0.0), rows - 1.0);
    int i = (int)fmin(fmax(floor(within), 1.0), rows - 3.0);
    double t = within - i;
    weight[0] = -t * (t - 1.0) * (t - 2.0) / 6.0;
    weight[1] = (t + 1.0) * (t - 1.0) * (t - 2.0) / 2.0;
    weight[2] = -(t + 1.0) * t * (t - 2.0) / 2.0;
    weight[3] = (t + 1.0) * t * (t - 1.0) / 6.0;
    return i - 1;
}

#endif
