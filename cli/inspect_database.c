/* SPDX-License-Identifier: ISC */
#include "inspect_database.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench_load.h"
#include "database.h"
#include "date.h"
#include "escape.h"
#include "message.h"
#include "readings.h"
#include "seal.h"

/* What all coils of a batch have in common. */
static bool begin(const struct cw_keeping *keeping, const struct cw_inspected *batch, struct cw_record *record)
{
    const struct cw_seal *seal = &batch->seal;
    *record = (struct cw_record){.load_farad = CW_BENCH_LOAD_FARAD, .load_ohm = CW_BENCH_LOAD_OHM};
    cw_show(seal->title, record->title, sizeof record->title);
    cw_show(keeping->spool, record->spool, sizeof record->spool);
    cw_show(keeping->winder, record->winder, sizeof record->winder);
    memcpy(record->revision, seal->revision, sizeof record->revision);
    memcpy(record->fingerprint, seal->fingerprint, sizeof record->fingerprint);
    cw_record_figures(batch->inspection.nominal, record->predicted);
    if (!cw_now(record->recorded) || !cw_today(record->date)) {
        return false;
    }
    if (keeping->date) {
        snprintf(record->date, sizeof record->date, "%s", keeping->date);
    }
    return true;
}

static void add_coil(const struct cw_inspected *batch, size_t at, struct cw_record *record)
{
    const struct cw_coil_row *row = &batch->coils.row[at];
    cw_show(row->serial, record->serial, sizeof record->serial);
    record->reading = row->reading;
    record->reading.celsius += 0.0; /* a database keeps no -0 */
    cw_record_figures(batch->judged[at].value, record->corrected);
    record->verdict = batch->judged[at].coil;
}

bool cw_keeping_add(const struct cw_keeping *keeping, const struct cw_inspected *batch, struct cw_records *records)
{
    struct cw_record common, *all = NULL;
    if (!keeping->file) {
        return true;
    }
    struct cw_database *database = cw_database_open(keeping->file, true);
    /* No reading is dated before one that another added meanwhile. */
    const bool begun = database && cw_database_turn(database) && begin(keeping, batch, &common);
    if (begun) {
        all = malloc(batch->coils.count * sizeof *all);
    }
    if (begun && !all) {
        cw_error_memory();
    }
    for (size_t k = 0; all && k < batch->coils.count; k++) {
        all[k] = common;
        add_coil(batch, k, &all[k]);
    }
    bool good = all && cw_database_add(database, all, batch->coils.count, keeping->again, records);
    free(all);
    cw_database_close(database);
    return good;
}
