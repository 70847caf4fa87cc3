/* SPDX-License-Identifier: ISC */
/** \file recorded_loss.h
 * What a recording made through two coils has lost, and what to do about it: the one sentence that window, program
 * and page say.
 *
 * Two coils at a distance d hear a partial of frequency f with opposite signs where f d / c is an odd half, c the
 * speed of the wave on the string (sin a + sin b = 2 sin((a + b) / 2) cos((a - b) / 2)): equal coils cancel it
 * first at f = c / 2 d, and no filter brings back what was not recorded.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_RECORDED_LOSS_H
#define CW_RECORDED_LOSS_H

#include <stdbool.h>
#include <stddef.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_LOSS_TEXT = 240 };

/** Whether a setup hears the string with both of two coils: not where there is one, nor where a split leaves one. */
bool cw_hears_both_coils(const struct cw_setup *setup);

/** First frequency that two equal coils cancel on the lowest string, Hz; 0 for one coil or no distance. */
double cw_first_null(const struct cw_setup *setup);

/** The sentence for a recording made through a setup, UTF-8. \return false, and no text, where nothing is to be said */
bool cw_recorded_loss(const struct cw_setup *recorded, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
