/* SPDX-License-Identifier: ISC */
/** \file cmocka.h
 * As much of cmocka's interface as the tests of the model use, for machines that it is not packaged for
 * (`make check-foreign`). One program, one group; a failure ends its test, not the program.
 */
#ifndef FOREIGN_CMOCKA_H
#define FOREIGN_CMOCKA_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

struct CMUnitTest {
    const char *name;
    void (*run)(void **state);
};

static jmp_buf foreign_test;

enum { FOREIGN_FAILED = 1, FOREIGN_SKIPPED = 2 };

#define cmocka_unit_test(function)                                                                                     \
    {                                                                                                                  \
#function, function                                                                                            \
    }
#define print_message printf
#define print_error printf
#define fail_msg(...)                                                                                                  \
    (printf("%s:%d: ", __FILE__, __LINE__), printf(__VA_ARGS__), putchar('\n'), longjmp(foreign_test, FOREIGN_FAILED))
#define fail() fail_msg("failed")
#define skip() longjmp(foreign_test, FOREIGN_SKIPPED)
#define assert_true(c) ((c) ? (void)0 : (void)fail_msg("does not hold: %s", #c))
#define assert_false(c) assert_true(!(c))
#define assert_null(p) assert_true((p) == NULL)
#define assert_non_null(p) assert_true((p) != NULL)
#define assert_int_equal(a, b) assert_true((long long)(a) == (long long)(b))
#define assert_int_not_equal(a, b) assert_true((long long)(a) != (long long)(b))
#define assert_in_range(v, low, high) assert_true((v) >= (low) && (v) <= (high))
#define assert_string_not_equal(a, b) assert_true(strcmp(a, b) != 0)
#define assert_string_equal(a, b) assert_true(strcmp(a, b) == 0)
#define assert_memory_equal(a, b, n) assert_true(memcmp(a, b, n) == 0)

static inline int foreign_run(const struct CMUnitTest *tests, size_t count, int (*setup)(void **),
                              int (*teardown)(void **))
{
    static size_t i, passed, failed, skipped; /* static: longjmp() leaves them alone */
    static void *state;
    if (setup && setup(&state) != 0) {
        puts("[  FAILED  ] 1 test(s)");
        return 1;
    }
    for (i = 0; i < count; i++) {
        int ended = setjmp(foreign_test);
        if (ended == 0) {
            tests[i].run(&state);
            passed++;
        } else if (ended == FOREIGN_SKIPPED) {
            skipped++;
        } else {
            failed++;
            printf("[  FAILED  ] %s\n", tests[i].name);
        }
    }
    if (teardown) {
        teardown(&state);
    }
    printf("[  PASSED  ] %zu test(s).\n", passed);
    printf("[  SKIPPED ] %zu test(s).\n", skipped);
    if (failed) {
        printf("[  FAILED  ] %zu test(s).\n", failed);
    }
    return (int)failed;
}

#define cmocka_run_group_tests_name(name, tests, setup, teardown) cmocka_run_group_tests(tests, setup, teardown)
#define cmocka_run_group_tests(tests, setup, teardown)                                                                 \
    foreign_run(tests, sizeof(tests) / sizeof(tests)[0], setup, teardown)

#endif
