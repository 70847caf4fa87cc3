/* SPDX-License-Identifier: ISC */
/* Fingerprints of setups, and the search for clipping. The canonical text is judged by its own rule: read
 * back by strtof() every value is the float that a host stores. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "clipping.h"
#include "fingerprint.h"
#include "setup.h"
#include "sha256.h"

static void every_value_can_be_read_back(void **state)
{
    (void)state;
    char text[CW_CANONICAL_TEXT], last[64] = "";
    struct cw_setup setup;
    int found = 0;
    cw_setup_defaults(&setup);
    for (int i = 0; i < CW_PARAMS; i++) {
        setup.value[i] = cw_param_info[i].minimum + (cw_param_info[i].maximum - cw_param_info[i].minimum) / 3.0;
    }
    setup.value[CW_P_COIL_FROM] = -0.0;
    cw_canonical_text(&setup, text);
    assert_null(strstr(text, " -0\n"));
    char *line = strtok(text, "\n");
    assert_string_equal(line, "coilwright setup 1");
    while ((line = strtok(NULL, "\n")) != NULL) {
        char symbol[64], value[64];
        assert_true(sscanf(line, "%63s %63s", symbol, value) == 2);
        assert_true(strcmp(last, symbol) < 0);
        snprintf(last, sizeof last, "%s", symbol);
        int id = cw_param_find(symbol);
        assert_true(id >= 0);
        assert_true(strtof(value, NULL) == (float)setup.value[id]);
        found++;
    }
    assert_int_equal(found, CW_PARAMS);
}

static void any_change_that_a_host_would_store_shows(void **state)
{
    (void)state;
    struct cw_setup setup;
    unsigned char before[CW_SHA256_BYTES], after[CW_SHA256_BYTES];
    cw_setup_defaults(&setup);
    cw_fingerprint(&setup, before);
    for (int i = 0; i < CW_PARAMS; i++) {
        double kept = setup.value[i];
        setup.value[i] = (double)nextafterf((float)kept, 1e30f);
        cw_fingerprint(&setup, after);
        assert_memory_not_equal(before, after, sizeof before);
        setup.value[i] = kept * (1.0 + 1e-12); /* below a float's last digit */
        cw_fingerprint(&setup, after);
        assert_memory_equal(before, after, sizeof before);
        setup.value[i] = kept;
    }
}

static void clipped_samples_are_counted(void **state)
{
    (void)state;
    static const float clean[] = {0.0f, 0.5f, 1.0f, 1.0f, 0.5f, 0.999f, 0.9991f, 0.999f, -0.2f, 0.9f, 0.9f, 0.9f, 0.9f};
    static const float cut[] = {0.5f, 1.0f, 1.0f, 1.0f, 1.0f, 0.3f, -1.0f, -1.0f, -1.0f, 1.0f, 1.0f, 0.0f};
    struct cw_clipping clipping = {0};
    cw_clipping_add(&clipping, clean, sizeof clean / sizeof clean[0]);
    assert_true(clipping.samples == 0 && clipping.places == 0);
    for (size_t i = 0; i < sizeof cut / sizeof cut[0]; i++) {
        cw_clipping_add(&clipping, &cut[i], 1); /* a run goes on from one block to the next */
    }
    assert_true(clipping.samples == 7 && clipping.places == 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_value_can_be_read_back),
        cmocka_unit_test(any_change_that_a_host_would_store_shows),
        cmocka_unit_test(clipped_samples_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
