/* SPDX-License-Identifier: ISC */
/* An instance when memory runs out: each allocation in turn fails, and nothing is left behind. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

static int allocations, failing, live;

static void *counted(void *memory)
{
    live += memory != NULL;
    return memory;
}

static void *counted_calloc(size_t count, size_t size)
{
    return ++allocations == failing ? NULL : counted(calloc(count, size));
}
static void *counted_aligned_alloc(size_t alignment, size_t size)
{
    return ++allocations == failing ? NULL : counted(aligned_alloc(alignment, size));
}

static void counted_free(void *memory)
{
    live -= memory != NULL;
    free(memory);
}

#define calloc counted_calloc
#define aligned_alloc counted_aligned_alloc
#define free counted_free
#include "plugin.c"
#undef calloc
#undef aligned_alloc
#undef free

static void test_each_allocation_fails(void **state)
{
    (void)state;
    const LV2_Descriptor *plugin = lv2_descriptor(0);
    const LV2_Feature *const none[] = {NULL};
    LV2_Handle handle = NULL;
    allocations = failing = live = 0;
    handle = plugin->instantiate(plugin, 48000, "", none);
    assert_non_null(handle);
    plugin->cleanup(handle);
    assert_int_equal(live, 0);
    const int needed = allocations;
    assert_int_equal(needed, 2);
    for (int nth = 1; nth <= needed; nth++) {
        allocations = 0;
        failing = nth;
        handle = plugin->instantiate(plugin, 48000, "", none);
        assert_null(handle);
        assert_int_equal(live, 0);
    }
}

static void test_one_plugin_in_the_library(void **state)
{
    (void)state;
    assert_non_null(lv2_descriptor(0));
    assert_string_equal(lv2_descriptor(0)->URI, "urn:coilwright:voicing");
    assert_null(lv2_descriptor(1));
    assert_null(lv2_descriptor(UINT32_MAX));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_each_allocation_fails),
        cmocka_unit_test(test_one_plugin_in_the_library),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
