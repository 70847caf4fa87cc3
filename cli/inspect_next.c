/* SPDX-License-Identifier: ISC */
#include "inspect_next.h"

#include <math.h>
#include <string.h>

#include "coil_limits.h"
#include "escape.h"
#include "message.h"
#include "preset_save.h"
#include "quantity.h"
#include "revise.h"
#include "seal.h"
#include "setup.h"
#include "table.h"

static void add_value(struct cw_table *table, const struct cw_shown_reading *shown, double value)
{
    cw_table_add(table, "%.*f %s", shown->decimals, value * shown->scale, shown->unit);
}

static bool print_table(FILE *stream, const struct cw_revision *r)
{
    static const char *const heading[] = {"Reading", "Said before", "good to", "Bench, mean", "off", "Calibrated"};
    struct cw_table table;
    cw_table_init(&table, sizeof heading / sizeof heading[0]);
    for (size_t i = 0; i < sizeof heading / sizeof heading[0]; i++) {
        cw_table_add(&table, "%s", heading[i]);
    }
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        if (!isnan(r->bench[i])) {
            double off = r->bench[i] / r->said[i] - 1.0;
            cw_table_add(&table, "%s", cw_shown_reading[i].name);
            add_value(&table, &cw_shown_reading[i], r->said[i]);
            cw_table_add(&table, "%.1f %%", 100.0 * r->sure[i]);
            add_value(&table, &cw_shown_reading[i], r->bench[i]);
            cw_table_add(&table, "%+.1f %%", 100.0 * off);
            add_value(&table, &cw_shown_reading[i], r->says[i]);
        }
    }
    bool good = cw_table_print(&table, stream, false);
    cw_table_free(&table);
    return good;
}

/* The controls that the calibration moved, as `new` takes them. */
static void print_moved(FILE *stream, const struct cw_setup *before, const struct cw_setup *next)
{
    fputs("If these coils are right and the model is not, the next revision is calibrated by:\n ", stream);
    for (int i = 0; i < CW_PARAMS; i++) {
        if (next->value[i] != before->value[i]) {
            fputs(" --", stream);
            for (const char *c = cw_param_info[i].symbol; *c; c++) {
                fputc(*c == '_' ? '-' : *c, stream);
            }
            fprintf(stream, " %.4g", next->value[i]);
        }
    }
    fputc('\n', stream);
}

bool cw_next_print(FILE *stream, const struct cw_inspected *batch)
{
    struct cw_revision revision;
    if (!cw_revise(&batch->seal.setup, batch->mean, &revision)) {
        return true;
    }
    fputc('\n', stream);
    if (!print_table(stream, &revision)) {
        return false;
    }
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        double sure = revision.sure[i], off = fabs(revision.bench[i] / revision.said[i] - 1.0);
        if (sure > 0.0 && off > sure) {
            fprintf(stream, "%s is further out than the model leaves open: look for a fault first.\n",
                    cw_shown_reading[i].name);
        }
    }
    print_moved(stream, &batch->seal.setup, &revision.next);
    return true;
}

bool cw_next_save(const struct cw_inspected *batch, const char *path, bool force)
{
    const struct cw_seal *seal = &batch->seal;
    struct cw_revision revision;
    char title[160], label[300], comment[400];
    if (!cw_revise(&seal->setup, batch->mean, &revision)) {
        cw_error_at(path, 0, "nothing was read that a design could be calibrated by");
        return false;
    }
    snprintf(label, sizeof label, "%s, calibrated", cw_text_fit(seal->title, title, sizeof title));
    snprintf(comment, sizeof comment, "Revision %s (fingerprint %s), calibrated by the means of %zu coils.",
             seal->revision, seal->fingerprint, batch->coils.count);
    const struct cw_setup *setups[CW_SETUPS] = {[CW_A] = &revision.next};
    return cw_candidate_save(path, label, comment, setups, force);
}
