/* SPDX-License-Identifier: ISC */
/** \file frequencies.h
 * The list of frequencies that a table is made at.
 */
#ifndef CW_FREQUENCIES_H
#define CW_FREQUENCIES_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Most frequencies in a list. */
enum { CW_FREQUENCIES_MAX = 100000 };

struct cw_frequencies {
    double *hz;
    size_t count;
};

/** Third octaves from 20 Hz to 20 kHz under their nominal names (IEC 61260-1). */
bool cw_frequencies_third_octaves(struct cw_frequencies *list);

/** \p count frequencies from \p low to \p high Hz, evenly spread on a logarithmic axis. */
bool cw_frequencies_spread(struct cw_frequencies *list, double low, double high, size_t count);

/** A list as in "80,1k,2.5kHz"; each 0.01 Hz to 1 MHz. \return false where \p text is no such list,
 * with the part that is not in \p bad. */
bool cw_frequencies_parse(struct cw_frequencies *list, const char *text, char *bad, size_t bad_size);

void cw_frequencies_free(struct cw_frequencies *list);

#ifdef __cplusplus
}
#endif
#endif
