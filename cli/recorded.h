/* SPDX-License-Identifier: ISC */
/** \file recorded.h
 * Recorded takes of the sweep, files of two channels, as the ratio of these.
 */
#ifndef CW_RECORDED_H
#define CW_RECORDED_H

#include <stdbool.h>
#include <stddef.h>

#include "measure.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A take in memory. Zeroed is empty. */
struct cw_recorded {
    float *channel[2];
    size_t frames;
    double rate; /**< Hz */
};

/** Read a file. Reports and returns false where it has one channel, is too long, or no sound. */
bool cw_recorded_read(const char *path, struct cw_recorded *recorded);

/** Write one into a directory of takes, in full or not at all; a link there is not followed. Reports and returns false
 * on failure. */
bool cw_recorded_write(const char *path, const struct cw_recorded *recorded, bool force);

void cw_recorded_free(struct cw_recorded *recorded);

/** Channel two over channel one of a file. Reports and returns false where something is wrong with it.
 * \param seconds length of the sweep that was played
 * \param silence what tells the noise; NULL: the time after the sweep */
bool cw_recorded_ratio(const char *path, double seconds, const struct cw_recorded *silence, struct cw_ratio *ratio);

#ifdef __cplusplus
}
#endif
#endif
