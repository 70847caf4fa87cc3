/* SPDX-License-Identifier: ISC */
/* Any text as a table of readings: what is read is within its limits, each coil once, and can be judged. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "acceptance.h"
#include "coil_limits.h"
#include "fuzz.h"
#include "inspection.h"
#include "readings.h"
#include "scatter.h"
#include "setup.h"

/* By how many coils their scatter is averaged: to start an inspection takes longer than to read a table. */
enum { AVERAGED = 4 };
static struct cw_inspection inspection[AVERAGED];

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    struct cw_setup setup;
    struct cw_scatter scatter;
    struct cw_limits limit[CW_BENCH_READINGS];
    cw_setup_defaults(&setup);
    cw_scatter_usual(&setup, &scatter);
    cw_coil_limits(&setup, &scatter, limit);
    for (size_t i = 0; i < AVERAGED; i++) {
        cw_inspection_start(&inspection[i], &setup, &scatter, limit, 1 + i * i * i);
    }
    return 0;
}

static void within(double value, double least, double most)
{
    FUZZ_REQUIRE(isnan(value) || (value >= least && value <= most));
}

static void look_at(const struct cw_batch *batch)
{
    for (size_t i = 0; i < batch->count; i++) {
        const struct cw_coil_reading *r = &batch->row[i].reading;
        FUZZ_REQUIRE(*batch->row[i].serial && strlen(batch->row[i].serial) < CW_SERIAL_TEXT);
        within(r->resistance, 50.0 * (1.0 - 1e-12), 1e5 * (1.0 + 1e-12));
        within(r->celsius, -20.0, 80.0);
        within(r->inductance, 0.01, 200.0);
        within(r->hz, 20.0, 20000.0);
        within(r->resonance, 200.0, 100000.0);
        for (size_t k = 0; k < i; k++) {
            FUZZ_REQUIRE(strcmp(batch->row[i].serial, batch->row[k].serial) != 0);
        }
    }
}

/* Whatever was read, its verdict is one of three; and a mean of them leads to sizes that are numbers. */
static void judge(const struct cw_batch *batch)
{
    const struct cw_inspection *against = &inspection[batch->count % AVERAGED];
    struct cw_coil_judged judged;
    struct cw_diagnosis diagnosis;
    for (size_t i = 0; i < batch->count; i++) {
        cw_inspection_judge(against, &batch->row[i].reading, &judged);
        FUZZ_REQUIRE(judged.coil == CW_VERDICT_PASS || judged.coil == CW_VERDICT_CLOSE ||
                     judged.coil == CW_VERDICT_FAIL);
    }
    if (!isnan(judged.value[0]) && !isnan(judged.value[1]) && !isnan(judged.value[2])) {
        cw_inspection_diagnose(against, judged.value, &diagnosis);
        for (int i = 0; i < CW_CAUSES; i++) {
            FUZZ_REQUIRE(isfinite(diagnosis.size[i]));
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct cw_batch batch = {0};
    if (cw_readings_load(fuzz_file(data, size), &batch)) {
        FUZZ_REQUIRE(batch.count > 0 && batch.count <= CW_READINGS_MAX);
        look_at(&batch);
        judge(&batch);
    }
    cw_batch_free(&batch);
    return 0;
}
