/* SPDX-License-Identifier: ISC */
/** \file readings.h
 * Readings of a batch, as somebody wrote them down: CSV with a heading.
 */
#ifndef CW_READINGS_H
#define CW_READINGS_H

#include <stdbool.h>
#include <stddef.h>

#include "inspection.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_SERIAL_TEXT = 64, CW_READINGS_MAX = 10000 };

/** One coil. */
struct cw_coil_row {
    char serial[CW_SERIAL_TEXT];
    struct cw_coil_reading reading;
};

/** A batch. Zeroed is empty. */
struct cw_batch {
    struct cw_coil_row *row;
    size_t count;
};

/** Read a batch. Reports one line, with its number, and returns false where anything is not as expected. */
bool cw_readings_load(const char *path, struct cw_batch *batch);
void cw_batch_free(struct cw_batch *batch);

#ifdef __cplusplus
}
#endif
#endif
