/* SPDX-License-Identifier: ISC */
#include "inspected.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "acceptance.h"
#include "capability.h"
#include "message.h"
#include "scatter.h"
#include "sha256.h"
#include "show.h"
#include "statistics.h"
#include "table.h"

static const char *const verdict_word[] = {"pass", "too close", "FAIL"};

const struct cw_shown_reading cw_shown_reading[CW_BENCH_READINGS] = {
    [CW_READING_RESISTANCE] = {"Resistance", "kΩ", 1e-3, 3},
    [CW_READING_INDUCTANCE] = {"Inductance", "H", 1.0, 3},
    [CW_READING_RESONANCE] = {"Resonance", "kHz", 1e-3, 3},
};

/* ---- the seal ---- */

/* Limits of a seal hold what this program's scatter explains; those of a seal that was made by hand may hold anything.
 */
enum limits { AS_COMPUTED, OTHERS, UNEXPLAINED };

static enum limits look_at_limits(const struct cw_inspected *batch)
{
    enum limits found = AS_COMPUTED;
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        struct cw_limits sealed = batch->seal.limit[i], computed = batch->computed[i];
        double half = 0.5 * (computed.high - computed.low);
        if (!(sealed.low >= computed.low - half && sealed.high <= computed.high + half && sealed.low <= sealed.high)) {
            return UNEXPLAINED;
        }
        if (!cw_seal_same_limits(&computed, &sealed)) {
            found = OTHERS;
        }
    }
    return found;
}

const char *cw_inspected_doubt(const struct cw_inspected *batch)
{
    enum limits limits = look_at_limits(batch);
    return !batch->seal.holds                            ? "NOT SEALED: the limits are those of a seal that was edited"
           : strcmp(batch->seal.status, "RELEASED") != 0 ? "the design is not released: see its status"
           : limits == UNEXPLAINED                       ? "the seal's limits are wider than any scatter explains"
           : limits == OTHERS                            ? "this program computes other limits than the seal has"
                                                         : "";
}

static bool may_go_by(const struct cw_inspected *batch, const char *name, bool unsealed)
{
    const char *trouble = !batch->seal.holds                     ? "a seal that holds, found one that was edited"
                          : look_at_limits(batch) == UNEXPLAINED ? "limits that scatter explains, found wider ones"
                                                                 : NULL;
    if (trouble && !unsealed) {
        cw_error_at(name, 0, "expected %s (--unsealed goes by it)", trouble);
    }
    return !trouble || unsealed;
}

/* ---- judging ---- */

size_t cw_inspected_gather(const struct cw_inspected *batch, int reading)
{
    size_t count = 0;
    for (size_t k = 0; k < batch->coils.count; k++) {
        if (!isnan(batch->judged[k].value[reading])) {
            batch->work[count++] = batch->judged[k].value[reading];
        }
    }
    return count;
}

static void judge_batch(struct cw_inspected *batch)
{
    batch->whole = true;
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        size_t count = cw_inspected_gather(batch, i);
        batch->mean[i] = count ? cw_mean(batch->work, count) : NAN;
        batch->whole = batch->whole && count > 0;
    }
    batch->diagnosis = (struct cw_diagnosis){.likely = CW_CAUSES};
    if (batch->whole) {
        cw_inspection_diagnose(&batch->inspection, batch->mean, &batch->diagnosis);
    }
}

bool cw_inspected_judge(struct cw_inspected *batch, const char *seal_name, const char *readings, bool unsealed)
{
    struct cw_scatter scatter;
    cw_scatter_usual(&batch->seal.setup, &scatter);
    cw_seal_limits(&batch->seal.setup, batch->computed);
    if (!may_go_by(batch, seal_name, unsealed) || !cw_readings_load(readings, &batch->coils)) {
        return false;
    }
    batch->judged = malloc(batch->coils.count * sizeof *batch->judged);
    batch->work = malloc(batch->coils.count * sizeof *batch->work);
    if (!batch->judged || !batch->work) {
        cw_error_memory();
        return false;
    }
    cw_inspection_start(&batch->inspection, &batch->seal.setup, &scatter, batch->seal.limit, batch->coils.count);
    for (size_t k = 0; k < batch->coils.count; k++) {
        cw_inspection_judge(&batch->inspection, &batch->coils.row[k].reading, &batch->judged[k]);
        batch->verdicts[batch->judged[k].coil]++;
    }
    judge_batch(batch);
    return true;
}

void cw_inspected_free(struct cw_inspected *batch)
{
    if (batch) {
        cw_batch_free(&batch->coils);
        free(batch->judged);
        free(batch->work);
        free(batch);
    }
}

/* ---- coils ---- */

static void add_reason(struct cw_table *table, const struct cw_inspected *batch, size_t at)
{
    const struct cw_coil_judged *j = &batch->judged[at];
    char reason[160] = "";
    size_t used = 0;
    for (int i = 0; i < CW_BENCH_READINGS && used < sizeof reason; i++) {
        if (!isnan(j->value[i]) && j->reading[i] != CW_VERDICT_PASS) {
            bool low = j->value[i] < 0.5 * (batch->inspection.limits[i].low + batch->inspection.limits[i].high);
            used += (size_t)snprintf(reason + used, sizeof reason - used, "%s%s %s", used ? ", " : "",
                                     cw_shown_reading[i].name, low ? "low" : "high");
        }
    }
    bool open = isnan(batch->coils.row[at].reading.celsius) && !isnan(j->value[CW_READING_RESISTANCE]);
    cw_table_add(table, "%s%s", reason, open ? (*reason ? "; temperature not said" : "temperature not said") : "");
}

bool cw_inspected_print_coils(FILE *stream, const struct cw_inspected *batch, bool csv)
{
    struct cw_table table;
    cw_table_init(&table, CW_BENCH_READINGS + 3);
    cw_table_add(&table, "%s", csv ? "serial" : "Serial");
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        cw_table_add(&table, "%s, %s", cw_shown_reading[i].name, cw_shown_reading[i].unit);
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
                cw_table_add(&table, "%.*f", cw_shown_reading[i].decimals, value * cw_shown_reading[i].scale);
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

void cw_inspected_print_head(FILE *stream, const struct cw_inspected *batch)
{
    const struct cw_seal *seal = &batch->seal;
    cw_print_quoting(stream, "Seal: %s, revision %s, %s, %s, fingerprint %.16s", seal->title, seal->revision,
                     seal->date, seal->holds ? seal->status : "NOT SEALED", seal->fingerprint);
    const char *doubt = cw_inspected_doubt(batch);
    if (*doubt) {
        fprintf(stream, "Mind: %s.\n", doubt);
    }
    fputc('\n', stream);
}

const char *cw_inspected_capability(const struct cw_inspected *batch, int reading, char words[CW_CAPABILITY_WORDS])
{
    size_t count = cw_inspected_gather(batch, reading);
    double deviation = cw_deviation(batch->work, count);
    *words = '\0';
    if (deviation > 0.0) {
        struct cw_capability c =
            cw_capability_of(batch->inspection.limits[reading], cw_mean(batch->work, count), deviation, count, 0.95);
        snprintf(words, CW_CAPABILITY_WORDS, "Cpk %.2f, 95 %% of %.2f .. %.2f%s", c.cpk, c.low, c.high,
                 count < CW_CAPABILITY_LEAST ? ": no verdict below 30 coils."
                 : c.low > 1.0               ? ": capable."
                                             : ": not shown to be capable.");
    }
    return words;
}

static void print_chart(FILE *stream, const struct cw_inspected *batch, int reading)
{
    size_t count = cw_inspected_gather(batch, reading);
    double scale = cw_shown_reading[reading].scale;
    int decimals = cw_shown_reading[reading].decimals;
    if (count < 2) {
        return;
    }
    struct cw_chart chart = cw_chart_of(batch->work, count);
    char words[CW_CAPABILITY_WORDS];
    fprintf(stream, "%s: mean %.*f %s (%+.1f %% of the design), chart's limits %.*f .. %.*f, %zu outside.",
            cw_shown_reading[reading].name, decimals, chart.mean * scale, cw_shown_reading[reading].unit,
            100.0 * (chart.mean / batch->inspection.nominal[reading] - 1.0), decimals, chart.limits.low * scale,
            decimals, chart.limits.high * scale, chart.outside);
    fprintf(stream, "%s%s\n", *cw_inspected_capability(batch, reading, words) ? "\n  " : "", words);
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

void cw_inspected_print_batch(FILE *stream, const struct cw_inspected *batch)
{
    fprintf(stream, "\n%zu pass, %zu too close to tell, %zu fail. Limits: %s.\n\n", batch->verdicts[0],
            batch->verdicts[1], batch->verdicts[2], cw_seal_limits_words(&batch->seal));
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        print_chart(stream, batch, i);
    }
    if (batch->coils.count < 50) {
        fputs("Fewer than 50 coils: measure all of them.\n", stream);
    }
    if (!batch->whole) {
        fputs("Without all of resistance, inductance and resonance no cause is looked for.\n", stream);
        return;
    }
    fputc('\n', stream);
    print_causes(stream, &batch->diagnosis);
}
