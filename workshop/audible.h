/* SPDX-License-Identifier: ISC */
/** \file audible.h
 * Whether a difference between two responses is heard, and how far apart they sound.
 *
 * The level in auditory bands is compared: roex(p) filters (R. D. Patterson et al., JASA 72, 1982;
 * B. R. Glasberg and B. C. J. Moore, Hearing Research 47, 1990, for the bandwidths; both from
 * memory), W = (1 + p g) exp(-p g) with g = |f/fc - 1|, p = 4 fc/ERB, ERB = 24.7 (4.37 fc/kHz + 1),
 * every half Cam from 3 to 36, for an input of equal power on a logarithmic axis. Both responses are
 * first brought to the same mean level below 630 Hz, as a player would set his volume. The largest
 * difference of any band over CW_AUDIBLE_DB says how many times it is just noticeable.
 *
 * That the largest level difference over auditory bands is what best predicts the least noticeable
 * change of a resonance was found by J.-P. Gagne and P. M. Zurek (JASA 83, 1988; abstract read) for
 * resonances from 300 to 2000 Hz, Q 1 to 36: 0.079 F/sqrt(Q). On this measure that rule is 1.3 to
 * 1.7 dB, 1.5 in the mean, for 500 to 4000 Hz and Q 1 to 10 (worked out here); 1.4 leans a little
 * towards hearing it. Above 2 kHz the rule is carried on beyond what was measured.
 *
 * Threading class: pure functions, any thread; some ten microseconds, not for the audio thread.
 */
#ifndef CW_AUDIBLE_H
#define CW_AUDIBLE_H

#include <stddef.h>

#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The difference in a band that is just noticed, dB. */
#define CW_AUDIBLE_DB 1.4

/** Bands: every half Cam from 3 to 36. */
enum { CW_AUDIBLE_BANDS = 67 };

/** Number of a band on the Cam scale, and its centre, Hz: Cam = 21.4 log10(0.00437 f + 1). */
double cw_audible_cam(int band);
double cw_audible_hz(int band);

/** Frequencies at which a response is looked at: 96 an octave from 20 Hz to 20 kHz. */
enum { CW_AUDIBLE_STEPS = 958 };

/** A response as it is looked at: its power at each frequency. */
struct cw_audible_seen {
    double power[CW_AUDIBLE_STEPS];
};

/** Look at a response given by its power at any frequency. \p of is handed on to \p power. */
void cw_audible_see(double (*power)(const void *of, double hz), const void *of, struct cw_audible_seen *seen);

/** Level of each band, dB, of several responses: the filters, most of the work, are laid once. */
void cw_audible_levels_seen(const struct cw_audible_seen *seen, int count, double (*level)[CW_AUDIBLE_BANDS]);

/** Level of each band, dB, of a response given by its power at any frequency from 20 Hz to 20 kHz;
 * -200 where it is silent. \p of is handed on to \p power. */
void cw_audible_levels_of(double (*power)(const void *of, double hz), const void *of, double level[CW_AUDIBLE_BANDS]);

/** The same of a transfer function. */
void cw_audible_levels(const struct cw_transfer *h, double level[CW_AUDIBLE_BANDS]);

/** How far two responses are apart. */
struct cw_audible {
    double level; /**< mean difference below 630 Hz, dB: what a volume control takes away */
    double worst; /**< difference of the band that differs most once that is taken away, dB, with its sign */
    double hz;    /**< centre of that band */
    double times; /**< |worst| / CW_AUDIBLE_DB: above 1 it is heard, level or no level */
};

/** Compare a response with another. Where one is silent, all are 0 but times, which is infinite
 * where the other is not. */
struct cw_audible cw_audible_between(const struct cw_transfer *h, const struct cw_transfer *against);

/** The same of levels that are known. */
struct cw_audible cw_audible_of(const double level[CW_AUDIBLE_BANDS], const double against[CW_AUDIBLE_BANDS]);

/** In words: "no", "perhaps: -1.8 dB at 3.53 kHz" or "yes: ..." (from 1 and from 2 times just noticeable
 * on), or "level only: +2.0 dB" where no more than level differs. \return text */
const char *cw_audible_words(const struct cw_audible *audible, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
