/* SPDX-License-Identifier: ISC */
/* A database of readings that somebody changed: a good one, then three bytes of input for each byte that is changed
 * (place, value), the first byte of all for where it is cut off. What still holds is the beginning of what was
 * written, and whatever it is, readings are added to it or it is kept as it is. */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "database.h"
#include "fuzz.h"
#include "record.h"

enum { READINGS = 6, BASE_MOST = 1 << 16 };

static unsigned char base[BASE_MOST];
static size_t base_size;
static struct cw_records chain[READINGS + 1];

static struct cw_record record_of(int i)
{
    struct cw_record r = {.recorded = "2026-11-26T08:00:00Z",
                          .date = "2026-11-25",
                          .title = "Order 22",
                          .revision = "A",
                          .spool = "S 7",
                          .reading = {5800.0 + i, 22.0, 2.26, 120.0, false, 4480.0},
                          .load_farad = 470e-12,
                          .load_ohm = 1e6,
                          .corrected = {5754.1, 2.26, 4480.0},
                          .predicted = {5782.6, 2.4, 4339.0}};
    memset(r.fingerprint, 'a', sizeof r.fingerprint - 1);
    snprintf(r.serial, sizeof r.serial, "coil %d", i);
    return r;
}

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    struct cw_record record[READINGS];
    struct cw_records records;
    (void)argc;
    (void)argv;
    fuzz_enter_scratch();
    chain[0] = cw_records_none();
    for (int i = 0; i < READINGS; i++) {
        record[i] = record_of(i);
        chain[i + 1] = chain[i];
        FUZZ_REQUIRE(cw_records_follow(&chain[i + 1], &record[i]));
    }
    if (!cw_database_available()) {
        return 0;
    }
    struct cw_database *database = cw_database_open("base.db", true);
    FUZZ_REQUIRE(database && cw_database_add(database, record, READINGS, false, &records));
    cw_database_close(database);
    FILE *file = fopen("base.db", "rb");
    FUZZ_REQUIRE(file);
    base_size = fread(base, 1, sizeof base, file);
    FUZZ_REQUIRE(fclose(file) == 0 && base_size < sizeof base);
    return 0;
}

static void write_changed(struct fuzz_bytes *bytes)
{
    static unsigned char changed[BASE_MOST];
    unsigned cut = fuzz_byte(bytes);
    size_t size = cut ? base_size * cut / 256 : base_size;
    memcpy(changed, base, base_size);
    while (bytes->left >= 3) {
        size_t at = fuzz_word(bytes);
        changed[at % base_size] = fuzz_byte(bytes);
    }
    FILE *file = fopen("x.db", "wb");
    FUZZ_REQUIRE(file && fwrite(changed, 1, size, file) == size && fclose(file) == 0);
}

static bool holds(struct cw_records *records)
{
    struct cw_database *database = cw_database_open("x.db", false);
    bool good = database && cw_database_walk(database, NULL, NULL, records);
    cw_database_close(database);
    return good;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct fuzz_bytes bytes = {data, size};
    struct cw_records records, after;
    struct cw_record more = record_of(100);
    if (!cw_database_available()) {
        return 0;
    }
    unlink("x.db");
    unlink("x.db-journal");
    write_changed(&bytes);
    bool held = holds(&records);
    FUZZ_REQUIRE(!held || (records.count <= READINGS && strcmp(records.head, chain[records.count].head) == 0));
    /* One in four is added to: it is most of the time. */
    struct cw_database *database = size % 4 == 0 ? cw_database_open("x.db", true) : NULL;
    if (database && cw_database_add(database, &more, 1, false, &after)) {
        FUZZ_REQUIRE(!held || after.count == records.count + 1);
    }
    cw_database_close(database);
    return 0;
}
