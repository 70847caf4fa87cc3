/* SPDX-License-Identifier: ISC */
/** \file sections.h
 * Cuts a plan into second-order sections.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_SECTIONS_H
#define CW_SECTIONS_H

#include "biquad.h"
#include "match.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Fill in count, section and gain of \p out. */
void cw_sections_of(const struct cw_plan *plan, struct cw_sections *out);

#ifdef __cplusplus
}
#endif
#endif
