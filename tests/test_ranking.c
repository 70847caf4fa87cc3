/* SPDX-License-Identifier: ISC */
/* Rankings from comparisons of two.
 *
 * Values: A. Agresti, Categorical Data Analysis, 2nd ed. 2002, section 10.6: the games of seven baseball teams of
 * one season, their strengths over the weakest, with and without the advantage of playing at home. The games
 * are from memory; that all published figures follow from them is the check. Circular triads: the dog of M. G.
 * Kendall and B. Babington Smith, Biometrika 31, 1940: 5 of at most 8, zeta 0.375. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "ranking.h"

#define NEAR(found, expected, error) assert_true(fabs((found) - (expected)) <= (error))

enum { TEAMS = 7 };

/* Won and lost by the team of the row, at home; the last of the table stands first: it is what the others are
 * counted from. Baltimore, Cleveland, Boston, New York, Toronto, Detroit, Milwaukee. */
static const int home[TEAMS][TEAMS][2] = {
    {{0, 0}, {3, 4}, {1, 6}, {2, 4}, {1, 6}, {1, 5}, {2, 5}}, {{2, 4}, {0, 0}, {4, 2}, {4, 3}, {3, 4}, {3, 3}, {2, 5}},
    {{6, 0}, {5, 2}, {0, 0}, {4, 2}, {3, 3}, {2, 5}, {5, 1}}, {{6, 1}, {4, 2}, {4, 3}, {0, 0}, {2, 5}, {5, 1}, {3, 3}},
    {{6, 0}, {4, 2}, {4, 3}, {2, 4}, {0, 0}, {4, 3}, {2, 5}}, {{4, 3}, {6, 1}, {6, 0}, {4, 3}, {4, 2}, {0, 0}, {3, 3}},
    {{6, 0}, {4, 2}, {6, 1}, {4, 3}, {4, 2}, {4, 3}, {0, 0}},
};

static struct cw_preferences season(void)
{
    struct cw_preferences p = {.count = TEAMS};
    for (int i = 0; i < TEAMS; i++) {
        for (int j = 0; j < TEAMS; j++) {
            p.firsts[i][j] = home[i][j][0];
            p.trials[i][j] = home[i][j][0] + home[i][j][1];
        }
    }
    return p;
}

static void a_season_of_baseball(void **state)
{
    (void)state;
    static const double published[TEAMS] = {0.0, 0.68, 1.11, 1.25, 1.29, 1.44, 1.58};
    struct cw_preferences p = season();
    struct cw_ranking r;
    assert_true(cw_rank(&p, false, &r));
    for (int i = 1; i < TEAMS; i++) {
        NEAR(r.strength[i], published[i], 0.0051);
        assert_true(r.error[i] >= 0.3315 && r.error[i] <= 0.3435);
    }
    NEAR(r.deviance, 44.05, 0.0051);
    assert_int_equal(r.freedom, 36);
    assert_false(r.is_helped);
}

static void and_what_playing_at_home_is_worth(void **state)
{
    (void)state;
    struct cw_preferences p = season();
    struct cw_ranking r;
    assert_true(cw_rank(&p, true, &r));
    NEAR(r.order, 0.302, 0.00051);
    NEAR(r.order_error, 0.131, 0.00051);
    NEAR(r.deviance, 38.64, 0.0051);
    assert_int_equal(r.freedom, 35);
}

/* Of two the strength is the logit of the share, its error by the binomial distribution. */
static void two_candidates_in_closed_form(void **state)
{
    (void)state;
    struct cw_preferences p = {.count = 2};
    struct cw_ranking r;
    p.trials[1][0] = 20;
    p.firsts[1][0] = 15;
    assert_true(cw_rank(&p, false, &r));
    NEAR(r.strength[1], log(3.0), 1e-10);
    NEAR(r.error[1], 1.0 / sqrt(20.0 * 0.75 * 0.25), 1e-10);
    NEAR(r.deviance, 0.0, 1e-10);
}

static void one_that_never_loses_has_a_bound(void **state)
{
    (void)state;
    struct cw_preferences p = {.count = 3};
    struct cw_ranking r;
    for (int i = 0; i < 3; i++) {
        for (int j = 0; j < 3; j++) {
            p.trials[i][j] = i == j ? 0 : 4;
            p.firsts[i][j] = i == j ? 0 : i == 2 ? 4 : j == 2 ? 0 : 2;
        }
    }
    assert_true(cw_rank(&p, false, &r));
    assert_true(r.is_helped);
    assert_true(r.strength[2] > 1.5 && r.strength[2] < 5.0 && isfinite(r.error[2]));
    NEAR(r.strength[1], 0.0, 1e-9);
}

static void what_was_never_compared_is_not_ranked(void **state)
{
    (void)state;
    struct cw_preferences p = {.count = 4};
    struct cw_ranking r;
    p.trials[0][1] = p.trials[2][3] = 10;
    p.firsts[0][1] = p.firsts[2][3] = 5;
    assert_false(cw_rank(&p, false, &r));
    p.count = 1;
    assert_false(cw_rank(&p, false, &r));
}

static void circular_triads(void **state)
{
    (void)state;
    static const int dog[6] = {4, 4, 2, 2, 2, 1}, sure[6] = {5, 4, 3, 2, 1, 0}, three[3] = {1, 1, 1};
    double most;
    NEAR(cw_circular_triads(6, dog, &most), 5.0, 1e-12);
    NEAR(most, 8.0, 1e-12);
    NEAR(1.0 - cw_circular_triads(6, dog, NULL) / most, 0.375, 1e-12);
    NEAR(cw_circular_triads(6, sure, NULL), 0.0, 1e-12);
    NEAR(cw_circular_triads(3, three, &most), 1.0, 1e-12);
    NEAR(most, 1.0, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_season_of_baseball),
        cmocka_unit_test(and_what_playing_at_home_is_worth),
        cmocka_unit_test(two_candidates_in_closed_form),
        cmocka_unit_test(one_that_never_loses_has_a_bound),
        cmocka_unit_test(what_was_never_compared_is_not_ranked),
        cmocka_unit_test(circular_triads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
