/* SPDX-License-Identifier: ISC */
/* The database of readings: what is acknowledged stays, through every write, sync and removal that fails and through
 * power cuts that keep what was not synced in part; what any tool changes shows. Judge: SQLite's own library, by a VFS
 * of this test (after the idea of SQLite's test6.c) and by plain SQL. */
#define _XOPEN_SOURCE 700

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "acceptance.h"
#include "coil_limits.h"
#include "database.h"
#include "day.h"
#include "message.h"
#include "philox.h"
#include "record.h"
#include "scratch.h"

#ifndef CW_SQLITE

static void it_is_said_that_there_is_none(void **state)
{
    (void)state;
    char line[256] = "";
    cw_message_keep(line, sizeof line);
    assert_false(cw_database_available());
    assert_null(cw_database_open("/nowhere/x.db", true));
    cw_message_keep(NULL, 0);
    assert_non_null(strstr(line, "without SQLite"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(it_is_said_that_there_is_none)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

#else

#include <sqlite3.h>

/* ---- files that fail ---- */

enum fault { ONCE, FROM_THEN_ON, POWER_CUT };

static struct {
    enum fault fault;
    int at, count; /* the operation that fails, and how many there were; at 0: none */
    sqlite3_vfs *real;
} disk;

/* What a power cut may take back: writes since their file was synced. */
static struct undo {
    char path[128];
    sqlite3_int64 offset, old_size;
    int length;
    unsigned char *old;
} undone[512];
static int undo_count;

struct file {
    sqlite3_file base;
    char path[128];
    sqlite3_file *real;
};

static bool fails(void)
{
    disk.count++;
    return disk.at > 0 && (disk.count == disk.at || (disk.fault != ONCE && disk.count > disk.at));
}

static void remember(struct file *f, sqlite3_int64 offset, int length)
{
    if (disk.fault != POWER_CUT || disk.at == 0 || undo_count == (int)(sizeof undone / sizeof undone[0])) {
        return;
    }
    struct undo *u = &undone[undo_count++];
    *u = (struct undo){.offset = offset, .length = length, .old = calloc(1, (size_t)length)};
    assert_non_null(u->old);
    memcpy(u->path, f->path, sizeof u->path);
    f->real->pMethods->xFileSize(f->real, &u->old_size);
    if (offset < u->old_size) {
        sqlite3_int64 there = u->old_size - offset;
        f->real->pMethods->xRead(f->real, u->old, there < length ? (int)there : length, offset);
    }
}

static void forget(const char *path)
{
    int kept = 0;
    for (int i = 0; i < undo_count; i++) {
        if (strcmp(undone[i].path, path) == 0) {
            free(undone[i].old);
        } else {
            undone[kept++] = undone[i];
        }
    }
    undo_count = kept;
}

/* The power comes back: of each write that was not synced, chance says whether it is there. */
static void cut(struct cw_draw *draw)
{
    for (int i = undo_count; i-- > 0;) {
        struct undo *u = &undone[i];
        FILE *file = cw_draw_even(draw) < 0.0 ? fopen(u->path, "r+b") : NULL;
        if (file) {
            assert_int_equal(fseek(file, (long)u->offset, SEEK_SET), 0);
            assert_int_equal(fwrite(u->old, 1, (size_t)u->length, file), u->length);
            assert_int_equal(fclose(file), 0);
        }
        free(u->old);
    }
    undo_count = 0;
}

#define REAL(f) (((struct file *)(f))->real)

static int file_close(sqlite3_file *f) { return REAL(f)->pMethods->xClose(REAL(f)); }
static int file_read(sqlite3_file *f, void *to, int n, sqlite3_int64 at)
{
    return REAL(f)->pMethods->xRead(REAL(f), to, n, at);
}
static int file_write(sqlite3_file *f, const void *from, int n, sqlite3_int64 at)
{
    if (fails()) {
        return SQLITE_IOERR_WRITE;
    }
    remember((struct file *)f, at, n);
    return REAL(f)->pMethods->xWrite(REAL(f), from, n, at);
}
static int file_truncate(sqlite3_file *f, sqlite3_int64 size)
{
    return fails() ? SQLITE_IOERR_TRUNCATE : REAL(f)->pMethods->xTruncate(REAL(f), size);
}
/* This test takes back itself what was not synced; the disk is spared. */
static int file_sync(sqlite3_file *f, int flags)
{
    (void)flags;
    if (fails()) {
        return SQLITE_IOERR_FSYNC;
    }
    forget(((struct file *)f)->path);
    return SQLITE_OK;
}
static int file_size(sqlite3_file *f, sqlite3_int64 *size) { return REAL(f)->pMethods->xFileSize(REAL(f), size); }
static int file_lock(sqlite3_file *f, int lock) { return REAL(f)->pMethods->xLock(REAL(f), lock); }
static int file_unlock(sqlite3_file *f, int lock) { return REAL(f)->pMethods->xUnlock(REAL(f), lock); }
static int file_reserved(sqlite3_file *f, int *is) { return REAL(f)->pMethods->xCheckReservedLock(REAL(f), is); }
static int file_control(sqlite3_file *f, int op, void *of) { return REAL(f)->pMethods->xFileControl(REAL(f), op, of); }
static int file_sector(sqlite3_file *f) { return REAL(f)->pMethods->xSectorSize(REAL(f)); }
/* No promise of a whole sector, or of an order: the weakest disk. */
static int file_promises(sqlite3_file *f)
{
    (void)f;
    return 0;
}

static const sqlite3_io_methods methods = {
    .iVersion = 1,
    .xClose = file_close,
    .xRead = file_read,
    .xWrite = file_write,
    .xTruncate = file_truncate,
    .xSync = file_sync,
    .xFileSize = file_size,
    .xLock = file_lock,
    .xUnlock = file_unlock,
    .xCheckReservedLock = file_reserved,
    .xFileControl = file_control,
    .xSectorSize = file_sector,
    .xDeviceCharacteristics = file_promises,
};

static int disk_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *f, int flags, int *out)
{
    struct file *file = (struct file *)f;
    (void)vfs;
    *file = (struct file){.real = (sqlite3_file *)(file + 1)};
    snprintf(file->path, sizeof file->path, "%s", name ? name : "");
    int got = disk.real->xOpen(disk.real, name, file->real, flags, out);
    file->base.pMethods = file->real->pMethods ? &methods : NULL;
    return got;
}

static int disk_delete(sqlite3_vfs *vfs, const char *name, int sync)
{
    (void)vfs;
    (void)sync;
    if (fails()) {
        return SQLITE_IOERR_DELETE;
    }
    forget(name);
    return disk.real->xDelete(disk.real, name, 0);
}

static int install_disk(void **state)
{
    static sqlite3_vfs vfs;
    disk.real = sqlite3_vfs_find(NULL);
    vfs = *disk.real;
    vfs.zName = "failing";
    vfs.szOsFile = (int)sizeof(struct file) + disk.real->szOsFile;
    vfs.xOpen = disk_open;
    vfs.xDelete = disk_delete;
    return make_scratch(state) || sqlite3_vfs_register(&vfs, 1) != SQLITE_OK;
}

/* ---- records ---- */

static const char *path_of(const char *name)
{
    static char path[128];
    snprintf(path, sizeof path, "%s/%s", scratch, name);
    return path;
}

static struct cw_record record_of(int i)
{
    struct cw_record r = {
        .recorded = "2026-11-26T08:00:00Z",
        .date = "2026-11-25",
        .title = "Order 22",
        .revision = "A",
        .spool = "S 7",
        .winder = "",
        .reading = {5800.0 + i / 3.0, 22.0, 2.26, 120.0, i % 2 == 1, i % 3 ? 4480.0 : NAN},
        .load_farad = 470e-12,
        .load_ohm = 1e6,
        .corrected = {5754.1, 2.26, i % 3 ? 4480.0 : NAN},
        .predicted = {5782.6, 2.4, 4339.0},
        .verdict = (enum cw_verdict)(i % 3),
    };
    memset(r.fingerprint, 'a', sizeof r.fingerprint - 1);
    snprintf(r.serial, sizeof r.serial, "coil %d", i);
    return r;
}

static bool add(const char *path, int from, int count, struct cw_records *records)
{
    struct cw_record record[8];
    for (int i = 0; i < count; i++) {
        record[i] = record_of(from + i);
    }
    struct cw_database *database = cw_database_open(path, true);
    bool good = database && cw_database_add(database, record, (size_t)count, false, records);
    cw_database_close(database);
    return good;
}

/* Without messages. */
static bool holds(const char *path, struct cw_records *records)
{
    char line[512] = "";
    cw_message_keep(line, sizeof line);
    struct cw_database *database = cw_database_open(path, false);
    bool good = database && cw_database_walk(database, NULL, NULL, records);
    cw_database_close(database);
    cw_message_keep(NULL, 0);
    if (database && !good) {
        assert_non_null(strstr(line, "reading "));
    }
    return good;
}

/* Where there is nothing to copy, nothing is there afterwards. */
static void copy_file(const char *from, const char *to)
{
    char journal[140], bytes[1 << 16];
    FILE *in = fopen(from, "rb");
    snprintf(journal, sizeof journal, "%s-journal", to);
    unlink(journal);
    unlink(to);
    if (in) {
        size_t length = fread(bytes, 1, sizeof bytes, in);
        FILE *out = fopen(to, "wb");
        assert_non_null(out);
        assert_true(length < sizeof bytes);
        assert_int_equal(fwrite(bytes, 1, length, out), length);
        assert_int_equal(fclose(out) | fclose(in), 0);
    }
}

/* ---- what must hold ---- */

/* Whatever fails, and wherever: the chain is whole, what was acknowledged is there, and the next run goes on. */
static int run_with_fault(const char *base, const struct cw_records *before, enum fault fault, int at, uint64_t seed)
{
    char path[128], line[512] = "";
    struct cw_records after = {0}, found = cw_records_none(), expected = *before;
    struct cw_draw draw;
    snprintf(path, sizeof path, "%s", path_of("fault.db"));
    copy_file(base, path);
    for (int i = 0; i < 2; i++) {
        struct cw_record record = record_of(100 + i);
        assert_true(cw_records_follow(&expected, &record));
    }
    cw_draw_start(&draw, seed, (uint64_t)at);
    disk.fault = fault;
    disk.at = at;
    disk.count = 0;
    cw_message_keep(line, sizeof line);
    bool acknowledged = add(path, 100, 2, &after);
    cw_message_keep(NULL, 0);
    disk.at = 0;
    int operations = disk.count;
    cut(&draw);
    assert_true(acknowledged || *line);
    if (before->count == 0 && !acknowledged) {
        struct stat status;
        if (stat(path, &status) != 0 || !holds(path, &found)) {
            found = cw_records_none();
        }
    } else {
        assert_true(holds(path, &found));
    }
    assert_true(found.count == before->count || found.count == expected.count);
    assert_string_equal(found.head, found.count == before->count ? before->head : expected.head);
    assert_true(!acknowledged || found.count == expected.count);
    assert_true(found.count == expected.count || add(path, 100, 2, &after));
    assert_true(holds(path, &found));
    assert_string_equal(found.head, expected.head);
    return operations;
}

static void nothing_that_was_acknowledged_is_lost(void **state)
{
    (void)state;
    const int seeds = getenv("CW_DATABASE_SEEDS") ? atoi(getenv("CW_DATABASE_SEEDS")) : 5;
    char base[128], none[128];
    struct cw_records before;
    int tried = 0;
    snprintf(base, sizeof base, "%s", path_of("base.db"));
    snprintf(none, sizeof none, "%s", path_of("none.db"));
    assert_true(add(base, 0, 3, &before));
    for (int fresh = 0; fresh < 2; fresh++) {
        const struct cw_records start = fresh ? cw_records_none() : before;
        int operations = run_with_fault(fresh ? none : base, &start, ONCE, 0, 0);
        assert_true(operations > 5);
        for (int at = 1; at <= operations; at++) {
            for (int seed = 0; seed < 2 + seeds; seed++, tried++) {
                run_with_fault(fresh ? none : base, &start, seed < 2 ? (enum fault)seed : POWER_CUT, at,
                               (uint64_t)seed);
            }
        }
    }
    print_message("%d faults\n", tried);
}

/* ---- what any tool changes ---- */

static void sql(const char *path, const char *text)
{
    sqlite3 *handle;
    char *why = NULL;
    assert_int_equal(sqlite3_open(path, &handle), SQLITE_OK);
    if (sqlite3_exec(handle, text, NULL, NULL, &why) != SQLITE_OK) {
        fail_msg("%s: %s", text, why);
    }
    sqlite3_close(handle);
}

static int refused(const char *path, const char *text)
{
    sqlite3 *handle;
    assert_int_equal(sqlite3_open(path, &handle), SQLITE_OK);
    int got = sqlite3_exec(handle, text, NULL, NULL, NULL);
    sqlite3_close(handle);
    return got;
}

#define OPEN "DROP TRIGGER reading_is_kept; DROP TRIGGER reading_stays;"
#define SHUT                                                                                                           \
    ";CREATE TRIGGER reading_is_kept BEFORE UPDATE ON reading BEGIN\n"                                                 \
    "  SELECT RAISE(ABORT, 'readings are kept as they are');\nEND;"                                                    \
    "CREATE TRIGGER reading_stays BEFORE DELETE ON reading BEGIN\n"                                                    \
    "  SELECT RAISE(ABORT, 'readings stay');\nEND;"

/* What is put into a column that another value stands in. */
static const struct {
    const char *column, *value;
} edit[] = {
    {"recorded", "'2026-11-26T08:00:01Z'"},
    {"date", "'2026-11-24'"},
    {"title", "'Order 23'"},
    {"revision", "'B'"},
    {"fingerprint", "chain"},
    {"spool", "'S 8'"},
    {"winder", "'Ada'"},
    {"serial", "'coil 7'"},
    {"resistance_ohm", "resistance_ohm * 1.0000000001"},
    {"celsius", "NULL"},
    {"inductance_henry", "2.2600000000000002"},
    {"mode", "'series'"},
    {"frequency_hz", "1000"},
    {"resonance_hz", "NULL"},
    {"load_farad", "0"},
    {"load_ohm", "1000001"},
    {"corrected_resistance_ohm", "5754.2"},
    {"corrected_inductance_henry", "NULL"},
    {"corrected_resonance_hz", "4481"},
    {"predicted_resistance_ohm", "0"},
    {"predicted_inductance_henry", "2.5"},
    {"predicted_resonance_hz", "1e308"},
    {"verdict", "'pass'"},
    {"chain", "fingerprint"},
    {"serial", "serial || char(0) || 'x'"},
    {"title", "title || char(10)"},
    {"spool", "CAST(x'ff' AS TEXT)"},
};

/* Each column of the second of four readings, by somebody who takes the triggers off and puts them back. */
static void every_column_is_covered(void **state)
{
    (void)state;
    char base[128], path[128], text[900];
    struct cw_records records, found;
    snprintf(base, sizeof base, "%s", path_of("columns.db"));
    snprintf(path, sizeof path, "%s", path_of("edited.db"));
    assert_true(add(base, 0, 4, &records));
    assert_int_not_equal(refused(base, "UPDATE reading SET spool = 'x'"), SQLITE_OK);
    assert_int_not_equal(refused(base, "DELETE FROM reading"), SQLITE_OK);
    copy_file(base, path);
    sql(path, OPEN SHUT);
    assert_true(holds(path, &found)); /* the same tables, whoever made them */
    for (size_t i = 0; i < sizeof edit / sizeof edit[0]; i++) {
        copy_file(base, path);
        snprintf(text, sizeof text, OPEN "UPDATE reading SET %s = %s WHERE number = 2" SHUT, edit[i].column,
                 edit[i].value);
        sql(path, text);
        if (holds(path, &found)) {
            fail_msg("%s was changed and nobody saw it", edit[i].column);
        }
        assert_int_equal(found.count, 1);
    }
}

static void rows_that_are_moved_or_gone_show(void **state)
{
    (void)state;
    static const char *const change[] = {
        OPEN "DELETE FROM reading WHERE number = 2" SHUT,
        OPEN "DELETE FROM reading WHERE number = 1" SHUT,
        OPEN "UPDATE reading SET number = -number WHERE number > 5; UPDATE reading SET number = 9 WHERE number = 2;"
             "UPDATE reading SET number = 2 WHERE number = 3; UPDATE reading SET number = 3 WHERE number = 9" SHUT,
        "INSERT OR REPLACE INTO reading SELECT * FROM reading WHERE number = 2;"
        "INSERT INTO reading SELECT 5, recorded, date, title, revision, fingerprint, spool, winder, serial,"
        "resistance_ohm, celsius, inductance_henry, mode, frequency_hz, resonance_hz, load_farad, load_ohm,"
        "corrected_resistance_ohm, corrected_inductance_henry, corrected_resonance_hz, predicted_resistance_ohm,"
        "predicted_inductance_henry, predicted_resonance_hz, verdict, chain FROM reading WHERE number = 4",
        OPEN,
        "CREATE TABLE more (x)",
        "CREATE VIEW all_of_it AS SELECT * FROM reading",
        "CREATE TRIGGER more AFTER INSERT ON reading BEGIN SELECT 1; END",
        "PRAGMA application_id = 7",
        "PRAGMA user_version = 2",
    };
    char base[128], path[128], line[512];
    struct cw_records records, found;
    snprintf(base, sizeof base, "%s", path_of("columns.db"));
    snprintf(path, sizeof path, "%s", path_of("edited.db"));
    for (size_t i = 0; i < sizeof change / sizeof change[0]; i++) {
        copy_file(base, path);
        sql(path, change[i]);
        if (holds(path, &found)) {
            fail_msg("not seen: %s", change[i]);
        }
        *line = '\0';
        cw_message_keep(line, sizeof line);
        assert_false(add(path, 200, 1, &records)); /* and it is kept as it is */
        cw_message_keep(NULL, 0);
        assert_true(*line);
    }
    /* A tail that was cut off holds by itself, with another number and head. */
    copy_file(base, path);
    assert_true(holds(base, &records));
    sql(path, OPEN "DELETE FROM reading WHERE number = 4" SHUT);
    assert_true(holds(path, &found));
    assert_int_equal(found.count, records.count - 1);
    assert_string_not_equal(found.head, records.head);
}

static void what_is_there_is_not_added_again(void **state)
{
    (void)state;
    char path[128], line[512] = "";
    struct cw_records records, after;
    struct cw_record record = record_of(1);
    snprintf(path, sizeof path, "%s", path_of("again.db"));
    assert_true(add(path, 0, 3, &records));
    cw_message_keep(line, sizeof line);
    assert_false(add(path, 2, 2, &after));
    cw_message_keep(NULL, 0);
    assert_non_null(strstr(line, "coil 2"));
    assert_true(holds(path, &after));
    assert_int_equal(after.count, 3);
    struct cw_database *database = cw_database_open(path, true);
    assert_non_null(database);
    assert_true(cw_database_add(database, &record, 1, true, &after));
    assert_int_equal(after.count, 4);
    cw_database_close(database);
}

/* A copy holds the same, and what stands there already stays. */
static void copies(void **state)
{
    (void)state;
    char path[128], line[512] = "";
    struct cw_records records, found;
    snprintf(path, sizeof path, "%s", path_of("copied.db"));
    assert_true(add(path, 0, 5, &records));
    struct cw_database *database = cw_database_open(path, false);
    assert_non_null(database);
    assert_true(cw_database_copy(database, path_of("copy.db")));
    cw_message_keep(line, sizeof line);
    assert_false(cw_database_copy(database, path_of("copy.db")));
    cw_message_keep(NULL, 0);
    cw_database_close(database);
    assert_true(holds(path_of("copy.db"), &found));
    assert_string_equal(found.head, records.head);
}

/* The last bits of what two C libraries computed: no other figures, so no other chain. */
static void figures_are_kept_without_their_last_bits(void **state)
{
    (void)state;
    const double one[CW_BENCH_READINGS] = {7900.0, 2.4003171842237067679, 4338.5330939608456901},
                 other[CW_BENCH_READINGS] = {7900.0, 2.400317184223707656, 4338.5330939608447806},
                 none[CW_BENCH_READINGS] = {NAN, 4.1, 123456789.0};
    double kept[CW_BENCH_READINGS], too[CW_BENCH_READINGS];
    cw_record_figures(one, kept);
    cw_record_figures(other, too);
    assert_memory_equal(kept, too, sizeof kept);
    assert_true(kept[0] == 7900.0 && kept[1] == 2.400317 && kept[2] == 4338.533);
    cw_record_figures(none, kept);
    assert_true(isnan(kept[0]) && kept[1] == 4.1 && kept[2] == 123456800.0);
}

static void days(void **state)
{
    (void)state;
    static const char *const good[] = {"2026-11-26", "2024-02-29", "2000-02-29", "2026-12-31"};
    static const char *const bad[] = {"2026-02-29", "1900-02-29", "2026-13-01", "2026-00-10",
                                      "2026-11-31", "2026-11-00", "26-11-26",   "2026-11-2",
                                      "2026-1-026", "2026/11/26", "",           "--11-11-11"};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        assert_true(cw_date_is(good[i]));
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_false(cw_date_is(bad[i]));
    }
}

/* Readings whose chain was made anew: another day is read, one that is none is not. */
static void a_day_that_is_none_is_refused(void **state)
{
    (void)state;
    static const char *const day[] = {"2026-11-24", "2026-13-99"};
    struct cw_records records, found;
    char path[128], text[900];
    snprintf(path, sizeof path, "%s", path_of("forged.db"));
    assert_true(add(path, 0, 1, &records));
    for (size_t i = 0; i < 2; i++) {
        struct cw_record record = record_of(0);
        snprintf(record.date, sizeof record.date, "%s", day[i]);
        records = cw_records_none();
        assert_true(cw_records_follow(&records, &record));
        snprintf(text, sizeof text, OPEN "UPDATE reading SET date = '%s', chain = '%s'" SHUT, day[i], records.head);
        sql(path, text);
        assert_int_equal(holds(path, &found), i == 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_that_was_acknowledged_is_lost),
        cmocka_unit_test(every_column_is_covered),
        cmocka_unit_test(rows_that_are_moved_or_gone_show),
        cmocka_unit_test(what_is_there_is_not_added_again),
        cmocka_unit_test(copies),
        cmocka_unit_test(figures_are_kept_without_their_last_bits),
        cmocka_unit_test(days),
        cmocka_unit_test(a_day_that_is_none_is_refused),
    };
    return cmocka_run_group_tests(tests, install_disk, remove_scratch);
}

#endif
