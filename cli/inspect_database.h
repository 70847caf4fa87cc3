/* SPDX-License-Identifier: ISC */
/** \file inspect_database.h
 * A batch that was inspected as records of a database.
 */
#ifndef CW_INSPECT_DATABASE_H
#define CW_INSPECT_DATABASE_H

#include <stdbool.h>

#include "inspected.h"
#include "record.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What is kept of a batch, and where. */
struct cw_keeping {
    const char *file;           /**< NULL: nothing is kept, nowhere */
    const char *spool, *winder; /**< "" for what is not known */
    const char *date;           /**< NULL: today */
    bool again;                 /**< though it is there already */
};

/** Add a batch to its database; it is on the disk when this returns. Does nothing without a file. Reports and returns
 * false on failure. \param records number and head afterwards */
bool cw_keeping_add(const struct cw_keeping *keeping, const struct cw_inspected *batch, struct cw_records *records);

#ifdef __cplusplus
}
#endif
#endif
