/* SPDX-License-Identifier: ISC */
/* Values as people write them: what is read is in range, and what is printed reads back. The first
 * byte chooses the reader. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "calibrate.h"
#include "edits.h"
#include "frequencies.h"
#include "fuzz.h"
#include "quantity.h"
#include "series.h"
#include "setup.h"
#include "measurement.h"

static void value_of_parameter(const struct cw_param_info *info, const char *text)
{
    double value = 0.0, again = 0.0;
    char why[CW_WHY_SIZE] = "", printed[64];
    if (!cw_value_parse(info, text, &value, why)) {
        FUZZ_REQUIRE(*why && strlen(why) < CW_WHY_SIZE);
        return;
    }
    FUZZ_REQUIRE(cw_param_clean(info, value, NAN) == value);
    cw_value_print(info, value, printed, sizeof printed);
    FUZZ_REQUIRE(cw_value_parse(info, printed, &again, why));
    FUZZ_REQUIRE(fabs(again - value) <= 0.01 * fabs(value));
}

static void frequencies(const char *text)
{
    struct cw_frequencies list = {0};
    char bad[80];
    if (cw_frequencies_parse(&list, text, bad, sizeof bad)) {
        FUZZ_REQUIRE(list.count >= 1 && list.count <= CW_FREQUENCIES_MAX);
        for (size_t i = 0; i < list.count; i++) {
            FUZZ_REQUIRE(list.hz[i] >= 0.01 && list.hz[i] <= 1e6);
        }
        cw_frequencies_free(&list);
    }
}

static void edits(char *text)
{
    struct cw_edits list = {0};
    char why[400];
    for (char *word = strtok(text, "\n"); word; word = strtok(NULL, "\n")) {
        cw_edits_add(&list, word, why, sizeof why);
    }
    struct cw_controls controls;
    cw_controls_defaults(&controls);
    cw_edits_apply_globals(&list, controls.global);
    for (int side = 0; side < CW_SETUPS; side++) {
        cw_edits_apply(&list, 1u << side | CW_AS_CANDIDATE, &controls.setup[side]);
        for (int i = 0; i < CW_PARAMS; i++) {
            double value = controls.setup[side].value[i];
            FUZZ_REQUIRE(cw_param_clean(&cw_param_info[i], value, NAN) == value);
        }
    }
    cw_edits_free(&list);
}

static void measurement(char *text)
{
    struct cw_measurement measured;
    struct cw_setup setup;
    char why[400];
    cw_measurement_init(&measured);
    cw_setup_defaults(&setup);
    setup.value[CW_P_COIL_FROM] = text[0] == 'w' ? CW_FROM_WINDING : CW_FROM_MEASURED;
    for (char *word = strtok(text, "\n"); word; word = strtok(NULL, "\n")) {
        cw_measurement_add(&measured, word, why, sizeof why);
    }
    struct cw_fit fit;
    if (!cw_measurement_any(&measured)) {
        return;
    }
    cw_calibrate(&measured, &setup, &fit);
    for (int i = 0; i < CW_PARAMS; i++) {
        FUZZ_REQUIRE(cw_param_clean(&cw_param_info[i], setup.value[i], NAN) == setup.value[i]);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 2) {
        return 0;
    }
    char *text = malloc(size);
    memcpy(text, data + 1, size - 1);
    text[size - 1] = '\0';
    unsigned which = data[0];
    enum cw_series series;
    double value;
    if (which < 'A') {
        value_of_parameter(&cw_param_info[which % CW_PARAMS], text);
    } else if (which < 'P') {
        value_of_parameter(&cw_global_info[which % CW_GLOBALS], text);
    } else if (which < 'Z') {
        frequencies(text);
    } else if (which < 'h') {
        edits(text);
    } else if (which < 'p') {
        measurement(text);
    } else if (cw_quantity_parse(text, (enum cw_unit)(which % CW_UNITS), &value)) {
        FUZZ_REQUIRE(isfinite(value));
    } else if (cw_series_parse(text, &series)) {
        FUZZ_REQUIRE(series < CW_SERIES_COUNT);
    }
    free(text);
    return 0;
}
