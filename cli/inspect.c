/* SPDX-License-Identifier: ISC */
/* coilwright inspect: which coils of a batch to keep, and what went wrong with the rest. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "acceptance.h"
#include "arguments.h"
#include "capability.h"
#include "coil_limits.h"
#include "command.h"
#include "inspection.h"
#include "journal_entry.h"
#include "message.h"
#include "numbers.h"
#include "options.h"
#include "output.h"
#include "readings.h"
#include "scatter.h"
#include "seal.h"
#include "seal_file.h"
#include "setup.h"
#include "show.h"
#include "statistics.h"
#include "table.h"

enum option { OPT_CSV = 1, OPT_UNSEALED };

static const struct cw_option options[] = {
    {OPT_CSV, "csv", 0, NULL, "Print the table of coils alone, as CSV."},
    {OPT_UNSEALED, "unsealed", 0, NULL, "Go by a seal that was edited."},
    CW_JOURNAL_OPTION,
    CW_BECAUSE_OPTION,
};

static const struct cw_usage usage = {
    "inspect",
    "SEAL READINGS",
    "Which coils of a batch to keep by their readings, and what went wrong with the rest: each corrected to\n"
    "20 degC, 120 Hz and series mode and judged by the limits of SEAL, then the batch: chart, capability,\n"
    "likely cause, and the calibration that follows for the next revision.",
    options,
    sizeof options / sizeof options[0],
    "READINGS is CSV with a heading of serial and any of resistance (kohm), temperature (degC), inductance (H), mode\n"
    "(series or parallel), frequency (Hz), resonance (Hz, in 470 pF and 1 Mohm), in winding order; values may carry a\n"
    "unit. Pass is inside the limits by what meters are good for (0.5 %, 1 %, 1 %), fail outside by it; between them "
    "a\n"
    "reading is too close to tell (ISO 14253-1). Causes that one pattern cannot part are named together, with what\n"
    "would part them. Exit status 1 where a coil fails.",
};

struct request {
    struct cw_journal_request journal;
    bool csv, unsealed;
};

/* What is known of a batch. */
struct batch {
    struct cw_seal seal;
    struct cw_inspection inspection;
    struct cw_batch coils;
    struct cw_coil_judged *judged;
    double *work;
    size_t verdicts[3];
};

static const char *const verdict_word[] = {"pass", "too close", "FAIL"};

static const struct {
    const char *name, *unit;
    double scale;
    int decimals;
} shown[CW_BENCH_READINGS] = {
    [CW_READING_RESISTANCE] = {"Resistance", "kΩ", 1e-3, 3},
    [CW_READING_INDUCTANCE] = {"Inductance", "H", 1.0, 3},
    [CW_READING_RESONANCE] = {"Resonance", "kHz", 1e-3, 3},
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_CSV: return request->csv = true;
    case OPT_UNSEALED: return request->unsealed = true;
    default: return cw_journal_take(args, id, &request->journal);
    }
}

/* ---- coils ---- */

static void add_reason(struct cw_table *table, const struct batch *batch, size_t at)
{
    const struct cw_coil_judged *j = &batch->judged[at];
    char reason[160] = "";
    size_t used = 0;
    for (int i = 0; i < CW_BENCH_READINGS && used < sizeof reason; i++) {
        if (!isnan(j->value[i]) && j->reading[i] != CW_VERDICT_PASS) {
            bool low = j->value[i] < 0.5 * (batch->inspection.limits[i].low + batch->inspection.limits[i].high);
            used += (size_t)snprintf(reason + used, sizeof reason - used, "%s%s %s", used ? ", " : "", shown[i].name,
                                     low ? "low" : "high");
        }
    }
    bool open = isnan(batch->coils.row[at].reading.celsius) && !isnan(j->value[CW_READING_RESISTANCE]);
    cw_table_add(table, "%s%s", reason, open ? (*reason ? "; temperature not said" : "temperature not said") : "");
}

static bool print_coils(FILE *stream, const struct batch *batch, bool csv)
{
    struct cw_table table;
    cw_table_init(&table, CW_BENCH_READINGS + 3);
    cw_table_add(&table, "%s", csv ? "serial" : "Serial");
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        cw_table_add(&table, "%s, %s", shown[i].name, shown[i].unit);
    }
    cw_table_add(&table, "%s", csv ? "verdict" : "Verdict");
    cw_table_add(&table, "%s", csv ? "reason" : "Reason");
    for (size_t k = 0; k < batch->coils.count; k++) {
        cw_table_add(&table, "%s", batch->coils.row[k].serial);
        for (int i = 0; i < CW_BENCH_READINGS; i++) {
            double value = batch->judged[k].value[i];
            if (isnan(value)) {
                cw_table_add(&table, "%s", "");
            } else {
                cw_table_add(&table, "%.*f", shown[i].decimals, value * shown[i].scale);
            }
        }
        cw_table_add(&table, "%s", verdict_word[batch->judged[k].coil]);
        add_reason(&table, batch, k);
    }
    bool good = cw_table_print(&table, stream, csv);
    cw_table_free(&table);
    return good;
}

/* ---- the batch ---- */

/* The readings of one kind that are there, in winding order. */
static size_t gather(const struct batch *batch, int reading)
{
    size_t count = 0;
    for (size_t k = 0; k < batch->coils.count; k++) {
        if (!isnan(batch->judged[k].value[reading])) {
            batch->work[count++] = batch->judged[k].value[reading];
        }
    }
    return count;
}

static void print_chart(FILE *stream, const struct batch *batch, int reading)
{
    size_t count = gather(batch, reading);
    double scale = shown[reading].scale;
    int decimals = shown[reading].decimals;
    if (count < 2) {
        return;
    }
    struct cw_chart chart = cw_chart_of(batch->work, count);
    double deviation = cw_deviation(batch->work, count);
    fprintf(stream, "%s: mean %.*f %s (%+.1f %% of the design), chart's limits %.*f .. %.*f, %zu outside.",
            shown[reading].name, decimals, chart.mean * scale, shown[reading].unit,
            100.0 * (chart.mean / batch->inspection.nominal[reading] - 1.0), decimals, chart.limits.low * scale,
            decimals, chart.limits.high * scale, chart.outside);
    if (deviation > 0.0) {
        struct cw_capability c =
            cw_capability_of(batch->inspection.limits[reading], chart.mean, deviation, count, 0.95);
        fprintf(stream, " Cpk %.2f, 95 %% of %.2f .. %.2f%s", c.cpk, c.low, c.high,
                count < CW_CAPABILITY_LEAST ? ": no verdict below 30 coils."
                : c.low > 1.0               ? ": capable."
                                            : ": not shown to be capable.");
    }
    fputc('\n', stream);
}

static void print_causes(FILE *stream, const struct cw_diagnosis *d)
{
    char words[160];
    if (!d->accused) {
        fputs("The batch as a whole is as designed, as far as scatter and meters let it be told.\n", stream);
        return;
    }
    if (d->likely == CW_CAUSES) {
        fputs("The batch is off, and no single cause that is known here explains it.\n", stream);
        return;
    }
    fputs("The batch is off. What explains it:\n", stream);
    for (int c = 0; c < CW_CAUSES; c++) {
        if (d->named[c]) {
            fprintf(stream, "  %s%s. To tell: %s.\n", c == d->likely ? "most likely: " : "",
                    cw_cause_words((enum cw_cause)c, d->size[c], words, sizeof words),
                    cw_cause_parted_by((enum cw_cause)c));
        }
    }
}

/* What was said before, what the bench says now. */
static void print_calibration(FILE *stream, const struct batch *batch, const double mean[CW_BENCH_READINGS])
{
    const struct cw_setup *setup = &batch->seal.setup;
    if (setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING) {
        return;
    }
    double r = mean[0] / batch->inspection.nominal[0], l = mean[1] / batch->inspection.nominal[1];
    fprintf(stream,
            "If these coils are right and the model is not, the next revision is calibrated by:\n"
            "  --resistance-cal %.4g --inductance-cal %.4g\n",
            setup->value[CW_P_RESISTANCE_CAL] * r, setup->value[CW_P_INDUCTANCE_CAL] * l);
}

static void print_batch(FILE *stream, const struct batch *batch, struct cw_diagnosis *d)
{
    double mean[CW_BENCH_READINGS];
    bool all = true;
    fprintf(stream,
            "\n%zu pass, %zu too close to tell, %zu fail. Limits are computed, until a first coil was measured.\n\n",
            batch->verdicts[0], batch->verdicts[1], batch->verdicts[2]);
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        print_chart(stream, batch, i);
        size_t count = gather(batch, i);
        mean[i] = cw_mean(batch->work, count);
        all = all && count > 0;
    }
    if (batch->coils.count < 50) {
        fputs("Fewer than 50 coils: measure all of them.\n", stream);
    }
    *d = (struct cw_diagnosis){.likely = CW_CAUSES};
    if (!all) {
        fputs("Without all of resistance, inductance and resonance no cause is looked for.\n", stream);
        return;
    }
    cw_inspection_diagnose(&batch->inspection, mean, d);
    fputc('\n', stream);
    print_causes(stream, d);
    print_calibration(stream, batch, mean);
}

static bool note(const struct request *request, const struct batch *batch, const struct cw_diagnosis *d,
                 const char *readings)
{
    struct cw_entry entry;
    char words[160];
    if (!cw_entry_begin(&entry, &request->journal, "inspect")) {
        return false;
    }
    cw_entry_add(&entry, "design", "%s, revision %s %s%s", batch->seal.title, batch->seal.revision,
                 batch->seal.fingerprint, batch->seal.holds ? "" : " (EDITED: that fingerprint is not of this text)");
    cw_entry_add_file(&entry, "readings", readings);
    cw_entry_add(&entry, "verdict", "%zu pass, %zu too close to tell, %zu fail", batch->verdicts[0], batch->verdicts[1],
                 batch->verdicts[2]);
    for (int c = 0; c < CW_CAUSES; c++) {
        if (d->named[c]) {
            cw_entry_add(&entry, "cause", "%s", cw_cause_words((enum cw_cause)c, d->size[c], words, sizeof words));
        }
    }
    return cw_entry_finish(&entry, request->csv ? NULL : stdout);
}

/* ---- the command ---- */

static bool load(const struct request *request, char *const *names, struct batch *batch)
{
    struct cw_scatter scatter;
    if (!cw_journal_ready(&request->journal) || !cw_seal_load(names[0], &batch->seal)) {
        return false;
    }
    if (!batch->seal.holds && !request->unsealed) {
        cw_error_at(names[0], 0, "expected a seal that holds, found one that was edited (--unsealed goes by it)");
        return false;
    }
    if (!cw_readings_load(names[1], &batch->coils)) {
        return false;
    }
    batch->judged = malloc(batch->coils.count * sizeof *batch->judged);
    batch->work = malloc(batch->coils.count * sizeof *batch->work);
    if (!batch->judged || !batch->work) {
        cw_error_memory();
        return false;
    }
    cw_scatter_usual(&batch->seal.setup, &scatter);
    cw_inspection_start(&batch->inspection, &batch->seal.setup, &scatter, batch->seal.limit, batch->coils.count);
    for (size_t k = 0; k < batch->coils.count; k++) {
        cw_inspection_judge(&batch->inspection, &batch->coils.row[k].reading, &batch->judged[k]);
        batch->verdicts[batch->judged[k].coil]++;
    }
    return true;
}

static int inspect(const struct request *request, char *const *names)
{
    struct batch *batch = calloc(1, sizeof *batch);
    struct cw_diagnosis diagnosis = {.likely = CW_CAUSES};
    if (!batch) {
        cw_error_memory();
        return CW_FAILED;
    }
    bool good = load(request, names, batch) && print_coils(stdout, batch, request->csv);
    if (good && !request->csv) {
        print_batch(stdout, batch, &diagnosis);
    }
    if (good && !batch->seal.holds) {
        fputs("coilwright: inspect: NOT SEALED: the limits are those of a seal that was edited\n", stderr);
    }
    good = good && note(request, batch, &diagnosis, names[1]) && cw_stdout_finish() &&
           batch->verdicts[CW_VERDICT_FAIL] == 0;
    cw_batch_free(&batch->coils);
    free(batch->judged);
    free(batch->work);
    free(batch);
    return good ? CW_DONE : CW_FAILED;
}

static int run(void *request, char *const *names, size_t count)
{
    return count == 2 ? inspect(request, names)
                      : cw_bad_usage(&usage, "expected SEAL and READINGS, found %zu operands", count);
}

const struct cw_usage *cw_usage_inspect(void) { return &usage; }

int cw_cmd_inspect(int argc, char **argv)
{
    struct request request = {0};
    return cw_args_run(&usage, argc, argv, take_option, run, &request);
}
