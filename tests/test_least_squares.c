/* SPDX-License-Identifier: ISC */
/* Least squares against the certified answers of NIST's Statistical Reference Datasets (tests/strd/; SciPy solves the
 * same files in tests/test_fit.sh). */
#include "least_squares.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/within.h"

enum { MOST = 64 };

struct dataset {
    double certified[MOST], deviation[MOST], start[MOST], squares;
    int values, points;
    double y[MOST], x[MOST];
    double (*model)(const double *b, double x);
};

static double misra1a(const double *b, double x) { return b[0] * (1 - exp(-b[1] * x)); }
static double mgh09(const double *b, double x) { return b[0] * (x * x + b[1] * x) / (x * x + b[2] * x + b[3]); }
static double thurber(const double *b, double x)
{
    return (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1 + x * (b[4] + x * (b[5] + x * b[6])));
}

static int numbers(char *text, double *to)
{
    int count = 0;
    for (char *word = strtok(text, " \n"); word && count < MOST; word = strtok(NULL, " \n")) {
        to[count++] = strtod(word, NULL);
    }
    return count;
}

static void load(const char *path, struct dataset *set)
{
    FILE *file = fopen(path, "r");
    char line[200];
    assert_non_null(file);
    while (fgets(line, sizeof line, file)) {
        double pair[MOST];
        if (strncmp(line, "# certified ", 12) == 0) {
            set->values = numbers(line + 12, set->certified);
        } else if (strncmp(line, "# deviation ", 12) == 0) {
            numbers(line + 12, set->deviation);
        } else if (strncmp(line, "# start ", 8) == 0) {
            numbers(line + 8, set->start);
        } else if (strncmp(line, "# squares ", 10) == 0) {
            set->squares = strtod(line + 10, NULL);
        } else if (line[0] != '#' && numbers(line, pair) == 2) {
            set->y[set->points] = pair[0];
            set->x[set->points++] = pair[1];
        }
    }
    fclose(file);
    assert_true(set->values >= 2 && set->points >= 11);
}

static void residuals(const double *at, double *row, int rows, const void *of)
{
    const struct dataset *set = of;
    for (int i = 0; i < rows; i++) {
        row[i] = set->model(at, set->x[i]) - set->y[i];
    }
}

static void check(const char *path, double (*model)(const double *b, double x))
{
    struct dataset set = {.model = model};
    double at[MOST], sum, covariance[MOST], volume;
    load(path, &set);
    const struct cw_squares squares = {residuals, &set, set.values, set.points, 0.0};
    memcpy(at, set.start, sizeof at);
    assert_true(cw_squares_least(&squares, at, &sum));
    within_share(sum, set.squares, 1e-9, path);
    for (int i = 0; i < set.values; i++) {
        within_share(at[i], set.certified[i], 1e-6, path);
    }
    assert_true(cw_squares_covariance(&squares, at, covariance, &volume));
    for (int i = 0; i < set.values && set.deviation[0] > 0; i++) {
        double variance = covariance[i * set.values + i] * sum / (set.points - set.values);
        within_share(sqrt(variance), set.deviation[i], 1e-6, path);
    }
    if (set.values == 2) {
        double determinant = covariance[0] * covariance[3] - covariance[1] * covariance[2];
        within(volume, log(determinant), 1e-5, "logarithm of the determinant");
    }
}

static void test_certified(void **state)
{
    (void)state;
    check("tests/strd/misra1a.txt", misra1a);
    check("tests/strd/mgh09.txt", mgh09);
    check("tests/strd/thurber.txt", thurber);
}

/* Two values of which only the sum counts. */
static void only_the_sum(const double *at, double *row, int rows, const void *of)
{
    (void)of;
    for (int i = 0; i < rows; i++) {
        row[i] = (at[0] + at[1] - 3) * (i + 1);
    }
}

static void nowhere_finite(const double *at, double *row, int rows, const void *of)
{
    (void)at, (void)of;
    for (int i = 0; i < rows; i++) {
        row[i] = NAN;
    }
}

static void test_undetermined(void **state)
{
    (void)state;
    struct cw_squares squares = {only_the_sum, NULL, 2, 5, 0.0};
    double at[2] = {0, 0}, sum, covariance[4];
    assert_true(cw_squares_least(&squares, at, &sum));
    within(at[0] + at[1], 3, 1e-6, "the sum");
    assert_false(cw_squares_covariance(&squares, at, covariance, NULL));
    squares.rows = 1; /* fewer rows than values */
    assert_false(cw_squares_least(&squares, at, &sum));
    squares = (struct cw_squares){nowhere_finite, NULL, 2, 5, 0.0};
    assert_false(cw_squares_least(&squares, at, &sum));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_certified),
        cmocka_unit_test(test_undetermined),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
