/* SPDX-License-Identifier: ISC */
/** \file resonance.h
 * Resonance and peak: two figures by two names.
 *
 * The resonance is where the network rings by itself: the magnitude of a pair of poles. It falls
 * with every picofarad of cable, whether anything sticks out of the response or not. The peak is
 * what a sweep on the bench shows: it lies below the resonance, the further the more it is damped,
 * and is gone ("flat") where it does not stand out.
 *
 * Threading class: pure functions, any thread, audio included; bounded time, no allocation.
 */
#ifndef CW_RESONANCE_H
#define CW_RESONANCE_H

#include "setup.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The least that a peak stands out, dB, to be one. */
#define CW_PEAK_LEAST_DB 0.5

/** Where the resonance of a pickup is looked for first, Hz. Only where no pair of poles lies there,
 * it is looked for from 20 Hz to 200 kHz (a closed tone control brings it below). */
#define CW_RESONANCE_LOW 500.0
#define CW_RESONANCE_HIGH 20000.0

/** Where a response rings. */
struct cw_resonance {
    double hz;       /**< magnitude of the least damped pair of poles; 0 where there is no pair */
    double q;        /**< of that pair, |p| / (-2 Re p); 0 where there is none */
    double split_hz; /**< the lowest pair of a capacitor split: of the capacitor with the coil across which it
                          stands; 0 where there is none. It is not taken for the pickup's resonance. */
};

/** Find it.
 *
 * A pair of poles that hardly shows counts for nothing: unequal coils have one of their own that
 * zeros nearly cancel. It shows if its residue over its damping is a tenth of the greatest or more.
 * \param h what the setup does: cw_circuit_transfer() or cw_circuit_impedance()
 * \param setup clean values; asked whether a split's capacitor is at work */
struct cw_resonance cw_resonance_of(const struct cw_setup *setup, const struct cw_transfer *h);

/** The highest peak of the same, of a capacitor split that of the treble: above the mean of its two
 * resonances. hz is 0 where the response is flat. */
struct cw_peak cw_peak_of(const struct cw_transfer *h, const struct cw_resonance *resonance);

/** The highest peak of |h| between two frequencies: a local maximum that stands at least
 * CW_PEAK_LEAST_DB over the higher of the lowest points on its way to anything higher, either side
 * (its topographic prominence), between 20 Hz and 200 kHz. Its height is over the level at 0 Hz,
 * below 0 where it is lower. hz is 0 where there is none. */
struct cw_peak cw_peak_between(const struct cw_transfer *h, double low_hz, double high_hz);

#ifdef __cplusplus
}
#endif
#endif
