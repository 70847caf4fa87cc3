/* SPDX-License-Identifier: ISC */
#include "ranking.h"

#include <math.h>
#include <string.h>

/* Unknowns: the strengths of candidates 1 and up, then the order. */
enum { UNKNOWNS_MAX = CW_RANKED_MAX, STEPS_MAX = 100 };

struct fit {
    const struct cw_preferences *data;
    bool with_order;
    int unknowns;
    double x[UNKNOWNS_MAX];
    double gradient[UNKNOWNS_MAX];
    double information[UNKNOWNS_MAX][UNKNOWNS_MAX];
};

static double strength(const struct fit *fit, int i) { return i == 0 ? 0.0 : fit->x[i - 1]; }

static double chance_of_first(const struct fit *fit, int i, int j)
{
    double logit = strength(fit, i) - strength(fit, j) + (fit->with_order ? fit->x[fit->unknowns - 1] : 0.0);
    return 1.0 / (1.0 + exp(-logit));
}

/* What each unknown adds to the logit of i, first, over j. */
static void design_row(const struct fit *fit, int i, int j, double row[UNKNOWNS_MAX])
{
    memset(row, 0, UNKNOWNS_MAX * sizeof *row);
    if (i > 0) {
        row[i - 1] += 1.0;
    }
    if (j > 0) {
        row[j - 1] -= 1.0;
    }
    if (fit->with_order) {
        row[fit->unknowns - 1] = 1.0;
    }
}

static void add_cell(struct fit *fit, int i, int j)
{
    double row[UNKNOWNS_MAX], n = fit->data->trials[i][j], p = chance_of_first(fit, i, j);
    design_row(fit, i, j, row);
    for (int a = 0; a < fit->unknowns; a++) {
        fit->gradient[a] += row[a] * (fit->data->firsts[i][j] - n * p);
        for (int b = 0; b < fit->unknowns; b++) {
            fit->information[a][b] += row[a] * row[b] * n * p * (1.0 - p);
        }
    }
}

static void differentiate(struct fit *fit)
{
    memset(fit->gradient, 0, sizeof fit->gradient);
    memset(fit->information, 0, sizeof fit->information);
    for (int i = 0; i < fit->data->count; i++) {
        for (int j = 0; j < fit->data->count; j++) {
            if (i != j && fit->data->trials[i][j] > 0.0) {
                add_cell(fit, i, j);
            }
        }
    }
}

/* The inverse of a symmetric positive matrix, in place, by Gauss and Jordan. \return false where it has none */
static bool invert(double m[UNKNOWNS_MAX][UNKNOWNS_MAX], int n)
{
    for (int k = 0; k < n; k++) {
        double pivot = m[k][k];
        if (!(pivot > 1e-12)) {
            return false;
        }
        m[k][k] = 1.0;
        for (int j = 0; j < n; j++) {
            m[k][j] /= pivot;
        }
        for (int i = 0; i < n; i++) {
            double factor = m[i][k];
            if (i == k) {
                continue;
            }
            m[i][k] = 0.0;
            for (int j = 0; j < n; j++) {
                m[i][j] -= factor * m[k][j];
            }
        }
    }
    return true;
}

/* Newton's method; the likelihood has one top. Leaves the inverse information behind. */
static bool solve(struct fit *fit)
{
    for (int step = 0; step < STEPS_MAX; step++) {
        double largest = 0.0;
        differentiate(fit);
        if (!invert(fit->information, fit->unknowns)) {
            return false;
        }
        for (int a = 0; a < fit->unknowns; a++) {
            double move = 0.0;
            for (int b = 0; b < fit->unknowns; b++) {
                move += fit->information[a][b] * fit->gradient[b];
            }
            move = fmax(-2.0, fmin(2.0, move)); /* from far off a step may overshoot */
            fit->x[a] += move;
            largest = fmax(largest, fabs(move));
        }
        if (largest < 1e-12) {
            return true;
        }
    }
    return true;
}

static double deviance_of(const struct fit *fit, int i, int j)
{
    double n = fit->data->trials[i][j], k = fit->data->firsts[i][j], p = chance_of_first(fit, i, j), sum = 0.0;
    if (k > 0.0) {
        sum += k * log(k / (n * p));
    }
    if (n - k > 0.0) {
        sum += (n - k) * log((n - k) / (n * (1.0 - p)));
    }
    return 2.0 * sum;
}

/* Who can be reached from candidate 0 by wins, or backwards: each was preferred by some chain to each other
 * only where both ways reach all. */
static bool reaches_all(const struct cw_preferences *p, bool backwards)
{
    bool reached[CW_RANKED_MAX] = {true};
    for (int round = 0; round < p->count; round++) {
        for (int i = 0; i < p->count; i++) {
            for (int j = 0; j < p->count; j++) {
                int winner = backwards ? j : i, loser = backwards ? i : j;
                double wins = p->firsts[winner][loser] + p->trials[loser][winner] - p->firsts[loser][winner];
                reached[j] = reached[j] || (reached[i] && wins > 0.0);
            }
        }
    }
    bool all = true;
    for (int i = 0; i < p->count; i++) {
        all = all && reached[i];
    }
    return all;
}

/* Half a preference each way for each pair that was heard, so that no strength is without bound. */
static void help(struct cw_preferences *p)
{
    for (int i = 0; i < p->count; i++) {
        for (int j = 0; j < p->count; j++) {
            if (i != j && p->trials[i][j] > 0.0) {
                p->trials[i][j] += 1.0;
                p->firsts[i][j] += 0.5;
            }
        }
    }
}

bool cw_rank(const struct cw_preferences *preferences, bool with_order, struct cw_ranking *ranking)
{
    struct cw_preferences data = *preferences;
    memset(ranking, 0, sizeof *ranking);
    if (data.count < 2 || data.count > CW_RANKED_MAX) {
        return false;
    }
    ranking->is_helped = !reaches_all(&data, false) || !reaches_all(&data, true);
    if (ranking->is_helped) {
        help(&data);
    }
    struct fit fit = {.data = &data, .with_order = with_order, .unknowns = data.count - 1 + with_order};
    if (!solve(&fit)) {
        return false;
    }
    int cells = 0;
    for (int i = 0; i < data.count; i++) {
        ranking->strength[i] = strength(&fit, i);
        ranking->error[i] = i == 0 ? 0.0 : sqrt(fit.information[i - 1][i - 1]);
        for (int j = 0; j < data.count; j++) {
            if (i != j && data.trials[i][j] > 0.0) {
                ranking->deviance += deviance_of(&fit, i, j);
                cells++;
            }
        }
    }
    ranking->order = with_order ? fit.x[fit.unknowns - 1] : 0.0;
    ranking->order_error = with_order ? sqrt(fit.information[fit.unknowns - 1][fit.unknowns - 1]) : 0.0;
    ranking->freedom = cells - fit.unknowns;
    return true;
}

double cw_circular_triads(int count, const int *wins, double *most)
{
    double n = count, squares = 0.0;
    for (int i = 0; i < count; i++) {
        squares += (double)wins[i] * wins[i];
    }
    if (most) {
        *most = count % 2 ? (n * n * n - n) / 24.0 : (n * n * n - 4.0 * n) / 24.0;
    }
    return n * (n - 1.0) * (2.0 * n - 1.0) / 12.0 - 0.5 * squares;
}
