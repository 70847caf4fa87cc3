/* SPDX-License-Identifier: ISC */
/** \file table.h
 * A table for people (aligned columns) or for programs (CSV, RFC 4180).
 */
#ifndef CW_TABLE_H
#define CW_TABLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "attributes.h"
#include "message.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Cells row by row; the first row is the heading. */
struct cw_table {
    size_t columns;
    char **cell;
    size_t count, room;
    bool failed; /**< memory ran out; cw_table_print() reports it */
    size_t fold; /**< above 0: a table wider than CW_TABLE_WIDTH is printed in parts, of which each begins with so
                      many of the first columns */
};

/** Columns of a terminal that a folded table keeps to, where its cells allow it. */
enum { CW_TABLE_WIDTH = 100 };

void cw_table_init(struct cw_table *table, size_t columns);
void cw_table_free(struct cw_table *table);

/** Add the next cell. */
void cw_table_add(struct cw_table *table, const char *format, ...) CW_PRINTF(2, 3);

/** Columns of a terminal that the whole table takes. */
size_t cw_table_width(const struct cw_table *table);

/** Print; columns of numbers are set to the right. Reports and returns
 * false where memory had run out. */
bool cw_table_print(const struct cw_table *table, FILE *stream, bool csv);

#ifdef __cplusplus
}
#endif
#endif
