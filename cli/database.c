/* SPDX-License-Identifier: ISC */
#include "database.h"

#include <stdlib.h>
#include <string.h>

#include "claims.h"
#include "message.h"

#ifndef CW_SQLITE

bool cw_database_available(void) { return false; }

struct cw_database *cw_database_open(const char *path, bool add)
{
    (void)add;
    cw_error_at(path, 0, "this program was built without SQLite: there are no databases of readings");
    return NULL;
}

void cw_database_close(struct cw_database *database) { (void)database; }

bool cw_database_walk(struct cw_database *database, cw_database_visit *visit, void *to, struct cw_records *records)
{
    (void)database, (void)visit, (void)to, (void)records;
    return false;
}

bool cw_database_turn(struct cw_database *database)
{
    (void)database;
    return false;
}

bool cw_database_add(struct cw_database *database, const struct cw_record *record, size_t count, bool again,
                     struct cw_records *records)
{
    (void)database, (void)record, (void)count, (void)again, (void)records;
    return false;
}

bool cw_database_copy(struct cw_database *database, const char *path)
{
    (void)database, (void)path;
    return false;
}

#else

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <sqlite3.h>
#include <stdint.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include "acceptance.h"
#include "coil_limits.h"
#include "day.h"
#include "escape.h"
#include "inspection.h"
#include "sha256.h"

/* "CwRd", and the version of the tables. */
#define APPLICATION "1131893348"
#define VERSION "1"

/* As SQLite keeps them, to be compared letter by letter. */
static const char *const schema[][3] = {
    {"table", "reading",
     "CREATE TABLE reading (\n"
     "  number INTEGER PRIMARY KEY CHECK (number > 0),\n"
     "  recorded TEXT NOT NULL,\n"
     "  date TEXT NOT NULL,\n"
     "  title TEXT NOT NULL,\n"
     "  revision TEXT NOT NULL,\n"
     "  fingerprint TEXT NOT NULL CHECK (length(fingerprint) = 64),\n"
     "  spool TEXT NOT NULL,\n"
     "  winder TEXT NOT NULL,\n"
     "  serial TEXT NOT NULL CHECK (serial <> ''),\n"
     "  resistance_ohm REAL CHECK (resistance_ohm > 0),\n"
     "  celsius REAL,\n"
     "  inductance_henry REAL CHECK (inductance_henry > 0),\n"
     "  mode TEXT NOT NULL CHECK (mode IN ('series', 'parallel')),\n"
     "  frequency_hz REAL NOT NULL CHECK (frequency_hz > 0),\n"
     "  resonance_hz REAL CHECK (resonance_hz > 0),\n"
     "  load_farad REAL NOT NULL CHECK (load_farad >= 0),\n"
     "  load_ohm REAL NOT NULL CHECK (load_ohm > 0),\n"
     "  corrected_resistance_ohm REAL,\n"
     "  corrected_inductance_henry REAL,\n"
     "  corrected_resonance_hz REAL,\n"
     "  predicted_resistance_ohm REAL,\n"
     "  predicted_inductance_henry REAL,\n"
     "  predicted_resonance_hz REAL,\n"
     "  verdict TEXT NOT NULL CHECK (verdict IN ('pass', 'too close', 'fail')),\n"
     "  chain TEXT NOT NULL CHECK (length(chain) = 64)\n"
     ") STRICT"},
    {"trigger", "reading_is_kept",
     "CREATE TRIGGER reading_is_kept BEFORE UPDATE ON reading BEGIN\n"
     "  SELECT RAISE(ABORT, 'readings are kept as they are');\n"
     "END"},
    {"trigger", "reading_stays",
     "CREATE TRIGGER reading_stays BEFORE DELETE ON reading BEGIN\n"
     "  SELECT RAISE(ABORT, 'readings stay');\n"
     "END"},
};
enum { OBJECTS = sizeof schema / sizeof schema[0] };

static const char *const insert = "INSERT INTO reading VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)";
static const char *const select_all = "SELECT * FROM reading ORDER BY number";

/* The columns, in the table's order. */
enum column {
    NUMBER,
    RECORDED,
    DATE,
    TITLE,
    REVISION,
    FINGERPRINT,
    SPOOL,
    WINDER,
    SERIAL,
    RESISTANCE,
    CELSIUS,
    INDUCTANCE,
    MODE,
    FREQUENCY,
    RESONANCE,
    LOAD_FARAD,
    LOAD_OHM,
    CORRECTED,
    PREDICTED = CORRECTED + CW_BENCH_READINGS,
    VERDICT = PREDICTED + CW_BENCH_READINGS,
    CHAIN,
    COLUMNS
};

struct cw_database {
    sqlite3 *handle;
    char *path; /* as the person gave it */
};

bool cw_database_available(void) { return true; }

/* ---- opening ---- */

static bool fail(const struct cw_database *database, const char *what)
{
    cw_error_at(database->path, 0, "%s: %s", what, sqlite3_errmsg(database->handle));
    return false;
}

static bool run(const struct cw_database *database, const char *sql, const char *what)
{
    return sqlite3_exec(database->handle, sql, NULL, NULL, NULL) == SQLITE_OK || fail(database, what);
}

/* Only a file, or one to be: the library would wait on a pipe. */
static bool is_place(const char *path, bool add)
{
    struct stat status;
    bool exists = stat(path, &status) == 0;
    if (exists ? S_ISREG(status.st_mode) : add && *path) {
        return true;
    }
    cw_error_at(*path ? path : "database", 0, "expected a database of readings, found %s",
                exists ? "something else" : "nothing of this name");
    return false;
}

/* A path is a path, whatever it begins with: the library takes "file:" and ":memory:" for more. */
static char *plain_path(const char *path)
{
    size_t size = strlen(path) + sizeof "./";
    char *plain = malloc(size);
    if (plain) {
        snprintf(plain, size, "%s%s", *path == '/' ? "" : "./", path);
    }
    return plain;
}

static sqlite3 *open_handle(const char *path, int flags)
{
    sqlite3 *handle = NULL;
    char *plain = plain_path(path);
    if (plain) {
        sqlite3_open_v2(plain, &handle, flags, NULL);
    }
    free(plain);
    return handle;
}

/* ---- what stands beside it ---- */

/* The last bytes of a journal that names another file: the library deletes that file, wherever it is, once it has
 * rolled the journal back (SQLite, "Database File Format", section 3). Nothing here writes such a journal. */
static const unsigned char names_another[] = {0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7};

static bool ends_in_name(int file, off_t size)
{
    unsigned char tail[sizeof names_another];
    const off_t length = (off_t)sizeof tail;
    return size >= length && pread(file, tail, sizeof tail, size - length) == (ssize_t)sizeof tail &&
           memcmp(tail, names_another, sizeof tail) == 0;
}

/* Whether a journal is one that this program could have left when it was killed, or has at this moment: by it the
 * library takes back what was half written. Reports where not. */
static bool is_own_journal(const char *name)
{
    struct stat status;
    int file = open(name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (file < 0 && errno == ENOENT) {
        return true;
    }
    if (file < 0 && errno != ELOOP) {
        cw_error_at(name, 0, "stands beside the database and cannot be read: %s", strerror(errno));
        return false;
    }
    bool own = file >= 0 && fstat(file, &status) == 0 && S_ISREG(status.st_mode) && !ends_in_name(file, status.st_size);
    if (file >= 0) {
        close(file);
    }
    if (!own) {
        cw_error_at(name, 0,
                    "stands beside the database and is not of this program's: nothing is read before it is moved away "
                    "(it would change what the database holds, or other files)");
    }
    return own;
}

/* The library reads more than the file: what is beside it may come from anywhere too. Before it has looked. */
static bool is_alone(const struct cw_database *database)
{
    const char *file = sqlite3_db_filename(database->handle, "main"), *log = sqlite3_filename_wal(file);
    struct stat status;
    if (lstat(log, &status) == 0 || errno != ENOENT) {
        cw_error_at(
            log, 0,
            "stands beside the database: nothing is read, since a log of somebody else's puts other readings in "
            "their place (where it is yours, sqlite3 DATABASE 'PRAGMA journal_mode=DELETE' takes it in)");
        return false;
    }
    return is_own_journal(sqlite3_filename_journal(file));
}

/* Nothing that stands in a file runs, and no file is believed beyond what it can hold. */
static void distrust(sqlite3 *handle)
{
    const int megabyte = 1 << 20;
    sqlite3_extended_result_codes(handle, 0);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_VIEW, 0, NULL);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0, NULL);
    sqlite3_limit(handle, SQLITE_LIMIT_LENGTH, megabyte);
    sqlite3_busy_timeout(handle, 10000);
}

/* One number or text that a statement answers; "" for nothing. */
static bool ask(const struct cw_database *database, const char *sql, char answer[96])
{
    sqlite3_stmt *statement = NULL;
    int got = sqlite3_prepare_v2(database->handle, sql, -1, &statement, NULL);
    got = got == SQLITE_OK ? sqlite3_step(statement) : got;
    const unsigned char *text = got == SQLITE_ROW ? sqlite3_column_text(statement, 0) : NULL;
    snprintf(answer, 96, "%s", text ? (const char *)text : "");
    sqlite3_finalize(statement);
    return got == SQLITE_ROW || got == SQLITE_DONE || fail(database, "cannot read");
}

static bool is_text(sqlite3_stmt *row, int column, const char *expected)
{
    const char *text = (const char *)sqlite3_column_text(row, column);
    return text && strcmp(text, expected) == 0 && strlen(text) == (size_t)sqlite3_column_bytes(row, column);
}

/* Whether the tables are ours, all of them and nothing else. */
static bool has_schema(const struct cw_database *database)
{
    sqlite3_stmt *row = NULL;
    int at = 0, got = sqlite3_prepare_v2(database->handle, "SELECT type, name, sql FROM sqlite_schema ORDER BY rowid",
                                         -1, &row, NULL);
    bool same = got == SQLITE_OK;
    while (same && (got = sqlite3_step(row)) == SQLITE_ROW) {
        same = at < OBJECTS && is_text(row, 0, schema[at][0]) && is_text(row, 1, schema[at][1]) &&
               is_text(row, 2, schema[at][2]);
        at++;
    }
    bool good = !same || got == SQLITE_DONE || fail(database, "cannot read");
    sqlite3_finalize(row);
    if (good && (!same || at != OBJECTS)) {
        cw_error_at(database->path, 0,
                    "expected the tables of a database of readings, version " VERSION ", found others");
    }
    return good && same && at == OBJECTS;
}

static bool is_new(const struct cw_database *database, bool *fresh)
{
    char objects[96], application[96];
    if (!ask(database, "SELECT count(*) FROM sqlite_schema", objects) ||
        !ask(database, "PRAGMA application_id", application)) {
        return false;
    }
    *fresh = strcmp(objects, "0") == 0 && strcmp(application, "0") == 0;
    return true;
}

/* In one transaction: a database is there in full or not at all. */
static bool make_tables(const struct cw_database *database)
{
    bool good = run(database, "PRAGMA application_id=" APPLICATION "; PRAGMA user_version=" VERSION, "cannot write");
    for (int i = 0; i < OBJECTS && good; i++) {
        good = run(database, schema[i][2], "cannot write");
    }
    return good;
}

static bool is_ours(const struct cw_database *database)
{
    char application[96], version[96], check[96];
    if (!ask(database, "PRAGMA application_id", application) || !ask(database, "PRAGMA user_version", version) ||
        !ask(database, "PRAGMA quick_check(1)", check)) {
        return false;
    }
    if (strcmp(application, APPLICATION) != 0) {
        cw_error_at(database->path, 0, "expected a database of readings, found another");
    } else if (strcmp(version, VERSION) != 0) {
        cw_error_at(database->path, 0, "expected a database of version " VERSION ", found %s", version);
    } else if (strcmp(check, "ok") != 0) {
        cw_error_at(database->path, 0, "the database is damaged: %s", check);
    } else {
        return has_schema(database);
    }
    return false;
}

/* What is added is on the disk, the names of files too, before a commit returns. */
static bool settle(struct cw_database *database, bool add)
{
    static const char *const durable =
        "PRAGMA cell_size_check=ON; PRAGMA journal_mode=DELETE; PRAGMA synchronous=EXTRA";
    bool fresh;
    if (!is_new(database, &fresh)) {
        return false;
    }
    if (fresh && !add) {
        cw_error_at(database->path, 0, "expected a database of readings, found an empty one");
        return false;
    }
    if (!fresh && !is_ours(database)) {
        return false;
    }
    return run(database, add ? durable : "PRAGMA cell_size_check=ON; PRAGMA query_only=ON", "cannot read");
}

struct cw_database *cw_database_open(const char *path, bool add)
{
    if (!is_place(path, add) || !cw_claim_read(path)) {
        return NULL;
    }
    struct cw_database *database = calloc(1, sizeof *database);
    if (database) {
        database->path = strdup(path);
        database->handle = open_handle(path, SQLITE_OPEN_READWRITE | (add ? SQLITE_OPEN_CREATE : 0));
    }
    if (!database || !database->path || !database->handle) {
        cw_error_memory();
    } else if (sqlite3_errcode(database->handle) != SQLITE_OK) {
        fail(database, "cannot open");
    } else {
        distrust(database->handle);
        if (is_alone(database) && settle(database, add)) {
            return database;
        }
    }
    cw_database_close(database);
    return NULL;
}

void cw_database_close(struct cw_database *database)
{
    if (database) {
        sqlite3_close(database->handle);
        free(database->path);
        free(database);
    }
}

/* ---- one row ---- */

/* A text that is shown as it is, and fits. */
static bool read_text(sqlite3_stmt *row, int column, char *to, size_t size)
{
    char shown[CW_RECORD_TITLE * 8];
    const char *text = (const char *)sqlite3_column_text(row, column);
    if (sqlite3_column_type(row, column) != SQLITE_TEXT || !text) {
        return false;
    }
    size_t length = strlen(text);
    if (length >= size || length != (size_t)sqlite3_column_bytes(row, column) ||
        strcmp(cw_show(text, shown, sizeof shown), text) != 0) {
        return false;
    }
    memcpy(to, text, length + 1);
    return true;
}

static bool read_number(sqlite3_stmt *row, int column, double *to)
{
    bool none = sqlite3_column_type(row, column) == SQLITE_NULL;
    *to = none ? NAN : sqlite3_column_double(row, column);
    return none || (sqlite3_column_type(row, column) == SQLITE_FLOAT && isfinite(*to));
}

static bool read_numbers(sqlite3_stmt *row, struct cw_record *record)
{
    struct cw_coil_reading *r = &record->reading;
    bool good = read_number(row, RESISTANCE, &r->resistance) && read_number(row, CELSIUS, &r->celsius) &&
                read_number(row, INDUCTANCE, &r->inductance) && read_number(row, FREQUENCY, &r->hz) &&
                read_number(row, RESONANCE, &r->resonance) && read_number(row, LOAD_FARAD, &record->load_farad) &&
                read_number(row, LOAD_OHM, &record->load_ohm);
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        good = good && read_number(row, CORRECTED + i, &record->corrected[i]) &&
               read_number(row, PREDICTED + i, &record->predicted[i]);
    }
    return good;
}

/* \return false where a row holds what this program does not write */
static bool read_row(sqlite3_stmt *row, struct cw_record *record, char chain[CW_SHA256_TEXT])
{
    char mode[16], verdict[16];
    int found = -1;
    if (!read_text(row, RECORDED, record->recorded, sizeof record->recorded) ||
        !read_text(row, DATE, record->date, sizeof record->date) ||
        !read_text(row, TITLE, record->title, sizeof record->title) ||
        !read_text(row, REVISION, record->revision, sizeof record->revision) ||
        !read_text(row, FINGERPRINT, record->fingerprint, sizeof record->fingerprint) ||
        !read_text(row, SPOOL, record->spool, sizeof record->spool) ||
        !read_text(row, WINDER, record->winder, sizeof record->winder) ||
        !read_text(row, SERIAL, record->serial, sizeof record->serial) || !read_text(row, MODE, mode, sizeof mode) ||
        !read_text(row, VERDICT, verdict, sizeof verdict) || !read_text(row, CHAIN, chain, CW_SHA256_TEXT) ||
        !read_numbers(row, record) || !cw_date_is(record->date)) {
        return false;
    }
    for (int i = 0; i < 3; i++) {
        found = strcmp(verdict, cw_verdict_word[i]) == 0 ? i : found;
    }
    record->verdict = (enum cw_verdict)found;
    record->reading.parallel_mode = strcmp(mode, "parallel") == 0;
    return found >= 0 && (record->reading.parallel_mode || strcmp(mode, "series") == 0);
}

static void write_number(sqlite3_stmt *row, int column, double value)
{
    if (isnan(value)) {
        sqlite3_bind_null(row, column + 1);
    } else {
        sqlite3_bind_double(row, column + 1, value);
    }
}

static void write_text(sqlite3_stmt *row, int column, const char *text)
{
    sqlite3_bind_text(row, column + 1, text, -1, SQLITE_STATIC);
}

static void write_row(sqlite3_stmt *row, const struct cw_record *record, const struct cw_records *records)
{
    const struct cw_coil_reading *r = &record->reading;
    sqlite3_bind_int64(row, NUMBER + 1, (sqlite3_int64)records->count);
    write_text(row, RECORDED, record->recorded);
    write_text(row, DATE, record->date);
    write_text(row, TITLE, record->title);
    write_text(row, REVISION, record->revision);
    write_text(row, FINGERPRINT, record->fingerprint);
    write_text(row, SPOOL, record->spool);
    write_text(row, WINDER, record->winder);
    write_text(row, SERIAL, record->serial);
    write_number(row, RESISTANCE, r->resistance);
    write_number(row, CELSIUS, r->celsius);
    write_number(row, INDUCTANCE, r->inductance);
    write_text(row, MODE, r->parallel_mode ? "parallel" : "series");
    write_number(row, FREQUENCY, r->hz);
    write_number(row, RESONANCE, r->resonance);
    write_number(row, LOAD_FARAD, record->load_farad);
    write_number(row, LOAD_OHM, record->load_ohm);
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        write_number(row, CORRECTED + i, record->corrected[i]);
        write_number(row, PREDICTED + i, record->predicted[i]);
    }
    write_text(row, VERDICT, cw_verdict_word[record->verdict]);
    write_text(row, CHAIN, records->head);
}

/* ---- all of them ---- */

static bool broken(const struct cw_database *database, size_t number, const char *why)
{
    cw_error_at(database->path, 0, "reading %zu: %s", number, why);
    return false;
}

/* \return whether a row is the next of the chain */
static bool follow(const struct cw_database *database, sqlite3_stmt *row, struct cw_records *records,
                   struct cw_record *record)
{
    char chain[CW_SHA256_TEXT];
    size_t number = records->count + 1;
    if (sqlite3_column_int64(row, NUMBER) != (sqlite3_int64)number) {
        return broken(database, number, "is not there: one was taken out, put in or moved");
    }
    struct cw_records after = *records;
    if (!read_row(row, record, chain) || !cw_records_follow(&after, record)) {
        return broken(database, number, "holds what coilwright does not write");
    }
    if (strcmp(after.head, chain) != 0) {
        return broken(database, number, "the chain breaks here: this reading or one before it was changed");
    }
    *records = after;
    return true;
}

bool cw_database_walk(struct cw_database *database, cw_database_visit *visit, void *to, struct cw_records *records)
{
    sqlite3_stmt *row = NULL;
    struct cw_record record;
    *records = cw_records_none();
    int got = sqlite3_prepare_v2(database->handle, select_all, -1, &row, NULL);
    bool good = got == SQLITE_OK;
    while (good && (got = sqlite3_step(row)) == SQLITE_ROW) {
        good = follow(database, row, records, &record) && (!visit || visit(to, records, &record));
    }
    if (got != SQLITE_ROW && got != SQLITE_DONE) {
        good = fail(database, "cannot read");
    }
    sqlite3_finalize(row);
    return good;
}

/* ---- adding ---- */

/* What is to be added, to be looked for among what is there. */
struct wanted {
    const struct cw_database *database;
    const struct cw_record *record;
    size_t count;
};

static bool same_number(double a, double b) { return a == b || (isnan(a) && isnan(b)); }

static bool same_reading(const struct cw_record *a, const struct cw_record *b)
{
    return strcmp(a->serial, b->serial) == 0 && strcmp(a->fingerprint, b->fingerprint) == 0 &&
           strcmp(a->date, b->date) == 0 && same_number(a->reading.resistance, b->reading.resistance) &&
           same_number(a->reading.celsius, b->reading.celsius) &&
           same_number(a->reading.inductance, b->reading.inductance) &&
           same_number(a->reading.resonance, b->reading.resonance) && same_number(a->reading.hz, b->reading.hz) &&
           a->reading.parallel_mode == b->reading.parallel_mode;
}

static bool is_other(void *to, const struct cw_records *records, const struct cw_record *record)
{
    const struct wanted *wanted = to;
    for (size_t i = 0; i < wanted->count; i++) {
        if (same_reading(&wanted->record[i], record)) {
            cw_error_at(wanted->database->path, 0, "reading %zu is this one of coil %s of %s already; nothing is added",
                        records->count, record->serial, record->date);
            return false;
        }
    }
    return true;
}

static bool insert_all(const struct cw_database *database, const struct cw_record *record, size_t count,
                       struct cw_records *records)
{
    sqlite3_stmt *row = NULL;
    bool good = sqlite3_prepare_v2(database->handle, insert, -1, &row, NULL) == SQLITE_OK;
    for (size_t i = 0; i < count && good; i++) {
        if (!cw_records_follow(records, &record[i])) {
            good = broken(database, records->count + 1, "is too long");
            break;
        }
        write_row(row, &record[i], records);
        good = sqlite3_step(row) == SQLITE_DONE && sqlite3_reset(row) == SQLITE_OK;
        if (!good) {
            fail(database, "cannot write");
        }
    }
    if (!row) {
        good = fail(database, "cannot write");
    }
    sqlite3_finalize(row);
    return good;
}

/* What was written is read again before it is held to be there. */
static bool add_all(struct cw_database *database, const struct cw_record *record, size_t count, bool again,
                    struct cw_records *records)
{
    struct wanted wanted = {database, record, count};
    struct cw_records found;
    bool fresh;
    if (!is_new(database, &fresh) || !(fresh ? make_tables(database) : has_schema(database)) ||
        !cw_database_walk(database, again ? NULL : is_other, &wanted, records) ||
        !insert_all(database, record, count, records) || !cw_database_walk(database, NULL, NULL, &found)) {
        return false;
    }
    return (found.count == records->count && strcmp(found.head, records->head) == 0) ||
           broken(database, found.count, "was not written as it was meant");
}

bool cw_database_turn(struct cw_database *database) { return run(database, "BEGIN IMMEDIATE", "cannot write"); }

bool cw_database_add(struct cw_database *database, const struct cw_record *record, size_t count, bool again,
                     struct cw_records *records)
{
    if (sqlite3_get_autocommit(database->handle) && !cw_database_turn(database)) {
        return false;
    }
    if (add_all(database, record, count, again, records) && run(database, "COMMIT", "cannot write")) {
        return true;
    }
    if (!sqlite3_get_autocommit(database->handle)) {
        sqlite3_exec(database->handle, "ROLLBACK", NULL, NULL, NULL);
    }
    return false;
}

/* ---- copies ---- */

bool cw_database_copy(struct cw_database *database, const char *path)
{
    sqlite3_stmt *statement = NULL;
    char *plain = plain_path(path);
    if (!plain) {
        cw_error_memory();
        return false;
    }
    bool good = run(database, "PRAGMA query_only=OFF", "cannot copy") &&
                sqlite3_prepare_v2(database->handle, "VACUUM INTO ?", -1, &statement, NULL) == SQLITE_OK &&
                sqlite3_bind_text(statement, 1, plain, -1, SQLITE_STATIC) == SQLITE_OK &&
                sqlite3_step(statement) == SQLITE_DONE;
    sqlite3_finalize(statement);
    free(plain);
    return good || fail(database, "cannot copy");
}

#endif
