/* SPDX-License-Identifier: ISC */
/** \file live_takes.h
 * Takes that the program plays and records itself, one after the other, with a person who plugs things in between.
 *
 * Prompts and meters are on standard error, answers come from standard input, a line each. Files are written one by
 * one, in full or not at all.
 */
#ifndef CW_LIVE_TAKES_H
#define CW_LIVE_TAKES_H

#include <stdbool.h>
#include <stddef.h>

#include "duplex.h"

#ifdef __cplusplus
extern "C" {
#endif

/** How they are made. */
struct cw_live_request {
    const char *folder;    /**< for the files; made where it is not there */
    double seconds, level; /**< of the sweep; its peak, dBFS */
    struct cw_duplex_ports ports;
    bool force; /**< replace files */
};

/** One take. */
struct cw_live_step {
    const char *path;  /**< file to write, in the folder */
    const char *words; /**< what is to be connected */
    bool silent;       /**< nothing is played */
};

/** Make the takes of all steps. A take that is not as it should be (samples lost, at full scale, no sweep in channel 1)
 * is told and made again. Reports and returns false where it ends before the last. */
bool cw_live_takes(const struct cw_live_request *request, const struct cw_live_step *step, size_t count);

#ifdef __cplusplus
}
#endif
#endif
