/* SPDX-License-Identifier: ISC */
/* Denormal numbers are zero within a scope, also one within another, and the host's mode is put back. */
#include <float.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "denormals.h"

#if defined(__SSE2__) || defined(__aarch64__) || (defined(__arm__) && defined(__ARM_FP))
enum { HAS_MODE = 1 };
#else
enum { HAS_MODE = 0 };
#endif

/* Whether a result below the least normal number is kept; it is worked out as the program runs. */
static int kept(void)
{
    volatile double tiny = DBL_MIN, hundredth = 0.01;
    volatile double less = tiny * hundredth;
    return less != 0.0;
}

static void test_mode_is_of_its_scope(void **state)
{
    (void)state;
    assert_true(kept());
    const struct cw_denormals host = cw_denormals_zero();
    assert_int_equal(kept(), !HAS_MODE);
    const struct cw_denormals inner = cw_denormals_zero();
    assert_int_equal(kept(), !HAS_MODE);
    cw_denormals_restore(inner); /* the host had it on: it stays */
    assert_int_equal(kept(), !HAS_MODE);
    cw_denormals_restore(host);
    assert_true(kept());
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_mode_is_of_its_scope)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
