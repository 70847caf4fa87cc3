/* SPDX-License-Identifier: ISC */
/** \file take_load.h
 * Reads a recording for its loudness through any response.
 */
#ifndef CW_TAKE_LOAD_H
#define CW_TAKE_LOAD_H

#include <stdbool.h>

#include "take.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Read and analyse a recording. Reports and returns false on failure, among it a recording of less
 * than 0.4 s.
 * \param channel  as for cw_audio_open()
 * \param recorded what the recording was made through, divided out; NULL for nothing */
bool cw_take_load(struct cw_take *take, const char *path, int channel, const struct cw_transfer *recorded);

#ifdef __cplusplus
}
#endif
#endif
