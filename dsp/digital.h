/* SPDX-License-Identifier: ISC */
/** \file digital.h
 * From H(s), or a ratio of two, to second-order sections whose magnitude follows the analogue
 * response up to the top of the audio band at any sample rate from 8 to 384 kHz.
 *
 * Threading class: pure functions, any thread, audio included; bounded time, no allocation.
 */
#ifndef CW_DIGITAL_H
#define CW_DIGITAL_H

#include <stddef.h>

#include "biquad.h"
#include "limit.h"
#include "match.h"
#include "slope.h"
#include "target.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Design the sections.
 * \param candidate what is to be heard
 * \param recorded  what the recording contains and is divided out; NULL for nothing
 * \param rate      sample rate, Hz, 8000 to 384000
 * \param limit_db  no frequency is raised by more than this; a response that stays below the
 *                  limit everywhere is left as it is
 * A silent candidate gives a silent filter; a silent recording is not divided out.
 *
 * What dsp/circuit.h solves always has room. Of other functions the ratio may have 27 zeros and 27 poles; of more
 * there is no filter, and it is silent. */
void cw_digital_design(const struct cw_transfer *candidate, const struct cw_transfer *recorded, double rate,
                       double limit_db, struct cw_sections *out);

/** The same with a smooth change of level put in before the limit.
 * \param slope fitted for this rate, or NULL for none */
void cw_digital_design_sloped(const struct cw_transfer *candidate, const struct cw_transfer *recorded,
                              const struct cw_slope *slope, double rate, double limit_db, struct cw_sections *out);

/** What is done from the roots on, for who spreads the work. */
enum cw_digital_step {
    CW_DIGITAL_MATCH, /**< the filter as roots in z */
    CW_DIGITAL_SLOPE, /**< with the slope among them */
    CW_DIGITAL_CUT,   /**< its sections and their highest gain */
    CW_DIGITAL_LIMIT, /**< planned anew within the limit */
    CW_DIGITAL_POLES, /**< its poles, as long as they are not found */
    CW_DIGITAL_AGAIN, /**< and cut again */
    CW_DIGITAL_DONE
};

/** Do a step, beginning with CW_DIGITAL_MATCH. \p plan, \p limit and \p out are worked on. \return the next step */
enum cw_digital_step cw_digital_do(enum cw_digital_step step, const struct cw_target *target,
                                   const struct cw_slope *slope, double rate, double limit_db, struct cw_plan *plan,
                                   struct cw_limit *limit, struct cw_sections *out);

/** The first \p length samples of the filter's impulse response, 1 or more, in double precision throughout. */
void cw_sections_impulse(const struct cw_sections *sections, double *response, size_t length);

/** |H|^2 of the whole filter at \p hz. */
double cw_sections_power(const struct cw_sections *sections, double hz, double rate);

#ifdef __cplusplus
}
#endif
#endif
