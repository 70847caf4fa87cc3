/* SPDX-License-Identifier: ISC */
/** \file live.h
 * The spectrum of what goes in and comes out, in sixths of an octave, for the ground of the plot.
 *
 * Threading class: the window's thread; allocates in cw_live_new() only.
 */
#ifndef CW_UI_LIVE_H
#define CW_UI_LIVE_H

#include <stdbool.h>
#include <stddef.h>

#include "plot.h"
#include "plot_model.h"

#ifdef __cplusplus
extern "C" {
#endif

struct cw_live;

/** Level at the foot and at the top of the plot, dB against a sine of full scale in one band. */
#define CW_LIVE_FOOT_DB (-90.0)
#define CW_LIVE_TOP_DB (-10.0)

/** \param rate Hz, 8000 to 384000 \return NULL where memory is short */
struct cw_live *cw_live_new(double rate);
void cw_live_free(struct cw_live *live);

/** Samples that cw_live_feed() wants, at most CW_HEARD_MOST. */
size_t cw_live_size(const struct cw_live *live);

/** A picture of both signals; what is no number counts as silence. It rises at once and falls by 20 dB a second.
 * \param in,out cw_live_size() samples each; NULL for silence
 * \param seconds since the last one */
void cw_live_feed(struct cw_live *live, const float *in, const float *out, double seconds);

/** As heights in the plot. \return whether anything is to be seen */
bool cw_live_ground(const struct cw_live *live, struct cw_plot_ground *ground);

#ifdef __cplusplus
}
#endif
#endif
