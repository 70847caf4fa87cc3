/* SPDX-License-Identifier: ISC */
/** \file take_check.h
 * Whether a recording is fit to be heard through other coils: level, clipping, hum, noise, rate, silence;
 * in figures and in words. The limits are common practice, no source, where none is named.
 *
 * Threading class: pure functions, one thread at a time for each check; no allocation.
 */
#ifndef CW_TAKE_CHECK_H
#define CW_TAKE_CHECK_H

#include <stdbool.h>
#include <stddef.h>

#include "clipping.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Lines of the mains that are looked for: 50 and 60 Hz, each with its next two harmonics. */
enum { CW_TAKE_LINES = 6, CW_TAKE_LEVELS = 160 };

/** A check under way. */
struct cw_take_check {
    struct cw_clipping clipping;
    double rate; /**< Hz */
    long long samples;
    double peak, sum;    /**< largest absolute sample; sum of all, for the offset */
    long long block, at; /**< samples of a second, and of the present one */
    double square;       /**< of the present second */
    struct {
        double coefficient, one, two; /* of Goertzel's recursion */
    } line[CW_TAKE_LINES];
    double hum[2];             /**< least power of the lines of 50 and of 60 Hz in any second */
    int level[CW_TAKE_LEVELS]; /**< seconds by their level, in steps of 1 dB below full scale */
    int seconds;
};

/** Begin. \param rate Hz, above 1000 */
void cw_take_check_start(struct cw_take_check *check, double rate);

/** Look at more of it, samples of -1 to 1. */
void cw_take_check_add(struct cw_take_check *check, const float *samples, size_t n);

/** What was found. Levels in dB against full scale, -HUGE_VAL for nothing at all. Hum, playing and quiet
 * need whole seconds: without one they are that of the whole. */
struct cw_take_figures {
    double rate, seconds;
    double peak;    /**< largest sample */
    double playing; /**< RMS of a loud second: one in ten is louder */
    double quiet;   /**< RMS of the quietest second */
    double hum;     /**< RMS of the mains' lines in the second where they are weakest */
    double mains;   /**< Hz, of these lines: 50 or 60 */
    double offset;  /**< mean of all samples, as a share of full scale */
    long long clipped, clipped_places;
};

void cw_take_check_figures(const struct cw_take_check *check, struct cw_take_figures *figures);

/** One thing said of a recording. */
struct cw_take_word {
    bool trouble;   /**< the take should be made anew; else it is only to be known */
    char text[160]; /**< one line, with what to do about trouble */
};

enum { CW_TAKE_WORDS = 8 };

/** What is to be said, the worst first. \param bits of a sample in the file, 0 for float
 * \return how many words; 0 where the take is as it should be */
size_t cw_take_check_words(const struct cw_take_figures *figures, int bits, struct cw_take_word words[CW_TAKE_WORDS]);

#ifdef __cplusplus
}
#endif
#endif
