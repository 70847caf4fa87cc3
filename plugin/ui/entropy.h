/* SPDX-License-Identifier: ISC */
/** \file entropy.h
 * The system's random source.
 *
 * Threading class: any thread but audio: reads a file.
 */
#ifndef CW_UI_ENTROPY_H
#define CW_UI_ENTROPY_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A fair coin. \return false where the system has no source: \p heads is unchanged */
bool cw_entropy_coin(bool *heads);

#ifdef __cplusplus
}
#endif
#endif
