/** \file digital.h
 * From H(s), or a ratio of two, to second-order sections whose magnitude follows the analogue
 * response up to the top of the audio band at any sample rate from 8 to 384 kHz.
 *
 * Threading class: pure functions, any thread, audio included; bounded time, no allocation.
 */
#ifndef CW_DIGITAL_H
#define CW_DIGITAL_H

#include <stdbool.h>

#include "biquad.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Most sections that a ratio of two setups needs. */
enum { CW_SECTIONS_MAX = 12 };

/** A filter: a cascade of sections. With count 0 it is the gain alone. */
struct cw_sections {
    int count;
    double gain; /**< applied once, before the first section */
    struct cw_biquad section[CW_SECTIONS_MAX];
    double top;      /**< the highest gain at any frequency up to rate / 2, as an amplitude ratio */
    bool silent;     /**< the response is zero: gain is 0 */
    bool mirrored;   /**< zeros of the recorded-through response in the right half plane were mirrored */
    bool limited;    /**< the boost limit is at work */
    int correction;  /**< zeros of the magnitude correction that was found: 6, or less where that failed */
};

/** Design the sections.
 * \param candidate what is to be heard
 * \param recorded  what the recording contains and is divided out; NULL for nothing
 * \param rate      sample rate, Hz, 8000 to 384000
 * \param limit_db  no frequency is raised by more than this; a response that stays below the
 *                  limit everywhere is left as it is
 * A silent candidate gives a silent filter; a silent recording is not divided out. */
void cw_digital_design(const struct cw_transfer *candidate, const struct cw_transfer *recorded, double rate,
                       double limit_db, struct cw_sections *out);

/** |H|^2 of the whole filter at \p hz. */
double cw_sections_power(const struct cw_sections *sections, double hz, double rate);

#ifdef __cplusplus
}
#endif
#endif
