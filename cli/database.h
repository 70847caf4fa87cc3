/* SPDX-License-Identifier: ISC */
/** \file database.h
 * Readings of batches in one file, an SQLite database: added to, never changed.
 *
 * All SQL of the program stands in database.c. Each record is chained to the one before (record.h), over every column,
 * so that an edit by any tool shows, and a tail that was cut off shows against a count and head that were printed
 * earlier. What was said to be in it is on the disk: rollback journal, synchronous=EXTRA. A file is not trusted:
 * nothing in it runs, and one whose tables are not exactly ours is refused.
 */
#ifndef CW_DATABASE_H
#define CW_DATABASE_H

#include <stdbool.h>
#include <stddef.h>

#include "record.h"

#ifdef __cplusplus
extern "C" {
#endif

/** An open database. */
struct cw_database;

/** Whether the program was built with SQLite. */
bool cw_database_available(void);

/** Open a database of readings. Reports and returns NULL where it is none, or where SQLite is not there.
 * \param add to it: it is made where it is not there yet; else nothing is changed in it */
struct cw_database *cw_database_open(const char *path, bool add);
void cw_database_close(struct cw_database *database);

/** What a walk calls for each record that holds, in their order. \param records number and chain of it
 * \return false to stop, after a message */
typedef bool cw_database_visit(void *to, const struct cw_records *records, const struct cw_record *record);

/** Walk over all records and follow their chain. Reports the first that does not hold and returns false.
 * \param visit NULL for the chain alone \param records what holds */
bool cw_database_walk(struct cw_database *database, cw_database_visit *visit, void *to, struct cw_records *records);

/** Be the only one who adds, until cw_database_add() or the end: waits for others, 10 s at most. For records that tell
 * when they are added. Reports and returns false where others take longer. */
bool cw_database_turn(struct cw_database *database);

/** Add records, all or none; they are on the disk when this returns. Those that are there already, in all that was read
 * of them, are refused unless \p again. Reports and returns false on failure; a database whose chain does not hold is
 * kept as it is. \param records number and chain of the last afterwards */
bool cw_database_add(struct cw_database *database, const struct cw_record *record, size_t count, bool again,
                     struct cw_records *records);

/** Write a copy to a file that is not there yet; it may be made while others add. Reports and returns false on failure.
 */
bool cw_database_copy(struct cw_database *database, const char *path);

#ifdef __cplusplus
}
#endif
#endif
