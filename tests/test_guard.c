/* SPDX-License-Identifier: ISC */
/* The last bound on the output: what it lets through, what it holds, and that cuts do not show. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "guard.h"
#include "setups.h"

enum { N = 4096 };
static const double MOST = 4.0;
static float x[N], y[N], held[N];

/* Noise that grows, and an output that now and then is far above it. */
static void make(double peaks)
{
    struct rng rng = {11};
    for (int i = 0; i < N; i++) {
        x[i] = (float)(rng_between(&rng, -1, 1) * (1 + i) / N);
        y[i] = (float)(rng_between(&rng, -1, 1) * (i % 37 == 0 ? peaks : 0.1) * (1 + i) / N);
    }
}

/* One sample after the other, in double precision, as the header says it. */
static void holds_each_sample(void **state)
{
    (void)state;
    double loudest = 0;
    int cut = 0;
    make(20);
    struct cw_guard guard = {0};
    memcpy(held, y, sizeof held);
    cw_guard_hold(&guard, x, held, N, MOST);
    for (int i = 0; i < N; i++) {
        loudest = fmax(loudest, fabs((double)x[i]));
        double want = fmin(fmax((double)y[i], -MOST * loudest), MOST * loudest);
        assert_true(fabs((double)held[i] - want) <= 1e-7 * fabs(want));
        cut += held[i] != y[i];
    }
    assert_in_range(cut, 50, N / 37 + 1);
    assert_true((double)guard.loudest == loudest);
}

static void leaves_what_is_below(void **state)
{
    (void)state;
    make(0.1);
    y[0] = 0;
    x[0] = -2; /* magnitude, not value */
    struct cw_guard guard = {0};
    memcpy(held, y, sizeof held);
    cw_guard_hold(&guard, x, held, N, MOST);
    assert_memory_equal(held, y, sizeof held);
}

static void cuts_do_not_show(void **state)
{
    (void)state;
    float pieces[N];
    struct rng rng = {12};
    struct cw_guard whole = {0}, cut = {0};
    make(20);
    memcpy(held, y, sizeof held);
    memcpy(pieces, y, sizeof pieces);
    cw_guard_hold(&whole, x, held, N, MOST);
    for (int at = 0; at < N;) {
        int n = 1 + rng_pick(&rng, 90);
        n = n < N - at ? n : N - at;
        cw_guard_hold(&cut, x + at, pieces + at, (size_t)n, MOST);
        at += n;
    }
    assert_memory_equal(held, pieces, sizeof held);
}

static void silence_stays_silent(void **state)
{
    (void)state;
    struct cw_guard guard = {0};
    float nothing[16] = {0}, ringing[16] = {1, -1, 0.5f};
    cw_guard_hold(&guard, nothing, ringing, 16, MOST);
    for (int i = 0; i < 16; i++) {
        assert_true(ringing[i] == 0.0f);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(holds_each_sample),
        cmocka_unit_test(leaves_what_is_below),
        cmocka_unit_test(cuts_do_not_show),
        cmocka_unit_test(silence_stays_silent),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
