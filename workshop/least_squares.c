/* SPDX-License-Identifier: ISC */
#include "least_squares.h"

#include <cminpack.h>
#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Central differences: the cube root of the rounding, of a value's own size; values near 0 as one of a thousandth. */
static double step_of(double value) { return cbrt(DBL_EPSILON) * fmax(fabs(value), 1e-3); }

/* Column after column. Leaves \p at as it was; \p room takes rows numbers. */
static void jacobian(const struct cw_squares *s, double *at, double *columns, double *room)
{
    for (int k = 0; k < s->count; k++) {
        double *column = columns + (size_t)k * (size_t)s->rows, here = at[k], step = step_of(here);
        volatile double above = here + step, below = here - step;
        at[k] = above;
        s->residuals(at, column, s->rows, s->of);
        at[k] = below;
        s->residuals(at, room, s->rows, s->of);
        at[k] = here;
        for (int i = 0; i < s->rows; i++) {
            column[i] = (column[i] - room[i]) / (above - below);
        }
    }
}

struct search {
    const struct cw_squares *squares;
    double *at, *room;
};

/* As cminpack asks: residuals for flag 1, derivatives for 2. */
static int answer(void *data, int rows, int count, const double *x, double *residual, double *columns, int stride,
                  int flag)
{
    struct search *search = data;
    (void)stride;
    if (flag == 1) {
        search->squares->residuals(x, residual, rows, search->squares->of);
        return 0;
    }
    memcpy(search->at, x, (size_t)count * sizeof *x);
    jacobian(search->squares, search->at, columns, search->room);
    return 0;
}

bool cw_squares_least(const struct cw_squares *s, double *at, double *sum)
{
    enum { MOST = 400, MOST_ROUGHLY = 100 };
    size_t n = (size_t)s->count, m = (size_t)s->rows;
    double *work = calloc(m * n + 3 * m + 6 * n, sizeof *work);
    int *order = calloc(n, sizeof *order);
    if (!work || !order || n > m) {
        free(work);
        free(order);
        return false;
    }
    double *columns = work, *residual = columns + m * n, *room = residual + m, *more = room + m, *own = more + m;
    double *wa = own + n;
    struct search search = {s, own, room};
    int calls = 0, derivatives = 0;
    lmder(answer, &search, s->rows, s->count, at, residual, columns, s->rows, fmax(s->enough, 1e-14), 1e-11, 0.0,
          s->enough > 0.0 ? MOST_ROUGHLY : MOST, wa, 1, 10.0, 0, &calls, &derivatives, order, wa + n, wa + 2 * n,
          wa + 3 * n, wa + 4 * n, more);
    *sum = 0.0;
    for (size_t i = 0; i < m; i++) {
        *sum += residual[i] * residual[i];
    }
    free(work);
    free(order);
    return isfinite(*sum);
}

/* ---- how surely ------------------------------------------------------------------------------- */

/* a becomes its lower Cholesky factor. */
static bool factor(double *a, size_t n)
{
    for (size_t k = 0; k < n; k++) {
        double d = a[k * n + k];
        for (size_t j = 0; j < k; j++) {
            d -= a[k * n + j] * a[k * n + j];
        }
        if (!(d > 1e-13)) {
            return false;
        }
        a[k * n + k] = sqrt(d);
        for (size_t i = k + 1; i < n; i++) {
            double v = a[i * n + k];
            for (size_t j = 0; j < k; j++) {
                v -= a[i * n + j] * a[k * n + j];
            }
            a[i * n + k] = v / a[k * n + k];
        }
    }
    return true;
}

/* Column \p k of the inverse of a matrix by its factor. */
static void inverse_column(const double *a, size_t n, size_t k, double *x)
{
    for (size_t i = 0; i < n; i++) {
        double v = i == k ? 1.0 : 0.0;
        for (size_t j = 0; j < i; j++) {
            v -= a[i * n + j] * x[j];
        }
        x[i] = v / a[i * n + i];
    }
    for (size_t i = n; i-- > 0;) {
        double v = x[i];
        for (size_t j = i + 1; j < n; j++) {
            v -= a[j * n + i] * x[j];
        }
        x[i] = v / a[i * n + i];
    }
}

/* The columns are brought to length 1 first, so that units do not decide what counts as determined. */
static bool invert(const double *columns, size_t n, size_t m, double *a, double *length, double *covariance,
                   double *log_volume)
{
    for (size_t k = 0; k < n; k++) {
        length[k] = 0.0;
        for (size_t i = 0; i < m; i++) {
            length[k] += columns[k * m + i] * columns[k * m + i];
        }
        length[k] = sqrt(length[k]);
        if (!(length[k] > 0.0) || !isfinite(length[k])) {
            return false;
        }
    }
    for (size_t k = 0; k < n; k++) {
        for (size_t l = 0; l <= k; l++) {
            double v = 0.0;
            for (size_t i = 0; i < m; i++) {
                v += columns[k * m + i] * columns[l * m + i];
            }
            a[k * n + l] = v / (length[k] * length[l]);
        }
    }
    if (!factor(a, n)) {
        return false;
    }
    *log_volume = 0.0;
    for (size_t k = 0; k < n; k++) {
        *log_volume -= 2.0 * log(a[k * n + k] * length[k]);
        inverse_column(a, n, k, covariance + k * n);
        for (size_t i = 0; i < n; i++) {
            covariance[k * n + i] /= length[k] * length[i];
        }
    }
    return true;
}

bool cw_squares_covariance(const struct cw_squares *s, const double *at, double *covariance, double *log_volume)
{
    size_t n = (size_t)s->count, m = (size_t)s->rows;
    double *work = calloc(m * n + m + n * n + 2 * n, sizeof *work);
    if (!work) {
        return false;
    }
    double *columns = work, *room = columns + m * n, *a = room + m, *own = a + n * n, *length = own + n;
    memcpy(own, at, n * sizeof *own);
    jacobian(s, own, columns, room);
    double volume = 0.0;
    bool good = invert(columns, n, m, a, length, covariance, &volume);
    if (log_volume) {
        *log_volume = volume;
    }
    free(work);
    return good;
}
