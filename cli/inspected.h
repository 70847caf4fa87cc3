/* SPDX-License-Identifier: ISC */
/** \file inspected.h
 * A batch of coils that was held against its seal: what is known of it, and what is said of it.
 */
#ifndef CW_INSPECTED_H
#define CW_INSPECTED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "acceptance.h"
#include "coil_limits.h"
#include "inspection.h"
#include "readings.h"
#include "seal.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Zeroed is empty. */
struct cw_inspected {
    struct cw_seal seal;
    struct cw_inspection inspection;
    struct cw_limits computed[CW_BENCH_READINGS]; /**< limits that this program works out of the design */
    struct cw_batch coils;
    struct cw_coil_judged *judged;
    double *work; /**< room for a number of each coil */
    size_t verdicts[3];
    double mean[CW_BENCH_READINGS]; /**< corrected; NAN where nothing was read */
    bool whole;                     /**< all three readings were taken */
    struct cw_diagnosis diagnosis;  /**< meaningful where whole */
};

/** How a reading is shown. */
struct cw_shown_reading {
    const char *name, *unit;
    double scale;
    int decimals;
};
extern const struct cw_shown_reading cw_shown_reading[CW_BENCH_READINGS];

/** Hold the readings of a file against a seal, which is read already. Reports and returns false on failure.
 * \param unsealed limits that no scatter explains are gone by, too */
bool cw_inspected_judge(struct cw_inspected *batch, const char *seal_name, const char *readings, bool unsealed);
void cw_inspected_free(struct cw_inspected *batch);

/** The corrected readings of one kind, in winding order, into batch->work. \return their number */
size_t cw_inspected_gather(const struct cw_inspected *batch, int reading);

enum { CW_CAPABILITY_WORDS = 120 };

/** Capability of one kind of reading with its interval, and the verdict where there are enough; "" where nothing
 * varies. Uses batch->work. \return words */
const char *cw_inspected_capability(const struct cw_inspected *batch, int reading, char words[CW_CAPABILITY_WORDS]);

/** What is wrong with the seal, in a sentence; "" where nothing is. */
const char *cw_inspected_doubt(const struct cw_inspected *batch);

/** The table of coils. Reports and returns false where memory runs out. */
bool cw_inspected_print_coils(FILE *stream, const struct cw_inspected *batch, bool csv);

/** The design, and how far it is. */
void cw_inspected_print_head(FILE *stream, const struct cw_inspected *batch);

/** What is said of the batch as a whole. */
void cw_inspected_print_batch(FILE *stream, const struct cw_inspected *batch);

#ifdef __cplusplus
}
#endif
#endif
