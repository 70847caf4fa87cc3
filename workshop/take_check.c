/* SPDX-License-Identifier: ISC */
#include "take_check.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "attributes.h"
#include "constants.h"
#include "numbers.h"

static const double line_hz[CW_TAKE_LINES] = {50, 100, 150, 60, 120, 180};

void cw_take_check_start(struct cw_take_check *check, double rate)
{
    memset(check, 0, sizeof *check);
    check->rate = rate;
    check->block = (long long)rate;
    check->hum[0] = check->hum[1] = HUGE_VAL;
    for (int i = 0; i < CW_TAKE_LINES; i++) {
        check->line[i].coefficient = 2.0 * cos(CW_TAU * line_hz[i] / rate);
    }
}

static double to_db(double power) { return power > 0.0 ? 10.0 * log10(power) : -HUGE_VAL; }

/* Power of a sine of that line in a second under a Hann window, whose sum is half the samples. Goertzel,
 * American Mathematical Monthly 65(1), 1958 (from memory). */
static double line_power(const struct cw_take_check *check, int i)
{
    double one = check->line[i].one, two = check->line[i].two;
    double square = one * one + two * two - check->line[i].coefficient * one * two;
    double amplitude = 2.0 * sqrt(fmax(square, 0.0)) / (0.5 * (double)check->block);
    return 0.5 * amplitude * amplitude;
}

static int step_of(double power)
{
    double db = -to_db(power);
    return db < 0.0 ? 0 : db < CW_TAKE_LEVELS - 1 ? (int)(db + 0.5) : CW_TAKE_LEVELS - 1;
}

static void end_second(struct cw_take_check *check)
{
    double hum[2] = {0.0, 0.0};
    for (int i = 0; i < CW_TAKE_LINES; i++) {
        hum[i / 3] += line_power(check, i);
        check->line[i].one = check->line[i].two = 0.0;
    }
    for (int m = 0; m < 2; m++) {
        check->hum[m] = fmin(check->hum[m], hum[m]);
    }
    check->level[step_of(check->square / (double)check->block)]++;
    check->seconds++;
    check->at = 0;
    check->square = 0.0;
}

void cw_take_check_add(struct cw_take_check *check, const float *samples, size_t n)
{
    cw_clipping_add(&check->clipping, samples, n);
    for (size_t k = 0; k < n; k++) {
        double x = (double)samples[k];
        double windowed = x * (0.5 - 0.5 * cos(CW_TAU * (double)check->at / (double)check->block));
        check->peak = fmax(check->peak, fabs(x));
        check->sum += x;
        check->square += x * x;
        for (int i = 0; i < CW_TAKE_LINES; i++) {
            double next = windowed + check->line[i].coefficient * check->line[i].one - check->line[i].two;
            check->line[i].two = check->line[i].one;
            check->line[i].one = next;
        }
        if (++check->at == check->block) {
            end_second(check);
        }
    }
    check->samples += (long long)n;
}

/* The level that no more than a share of the seconds is louder than. */
static double louder_than(const struct cw_take_check *check, double share)
{
    int above = 0;
    for (int step = 0; step < CW_TAKE_LEVELS; step++) {
        above += check->level[step];
        if (above > share * check->seconds) {
            return step < CW_TAKE_LEVELS - 1 ? -step : -HUGE_VAL;
        }
    }
    return -HUGE_VAL;
}

void cw_take_check_figures(const struct cw_take_check *check, struct cw_take_figures *figures)
{
    int mains = check->hum[1] > check->hum[0];
    double all = check->samples ? check->square / (double)check->samples : 0.0;
    *figures = (struct cw_take_figures){
        .rate = check->rate,
        .seconds = (double)check->samples / check->rate,
        .peak = to_db(check->peak * check->peak),
        .playing = check->seconds ? louder_than(check, 0.1) : to_db(all),
        .quiet = check->seconds ? louder_than(check, 1.0 - 1.0 / check->seconds) : to_db(all),
        .hum = check->seconds ? to_db(check->hum[mains]) : -HUGE_VAL,
        .mains = mains ? 60.0 : 50.0,
        .offset = check->samples ? check->sum / (double)check->samples : 0.0,
        .clipped = check->clipping.samples,
        .clipped_places = check->clipping.places,
    };
}

/* ---- words ---- */

struct list {
    struct cw_take_word *word;
    size_t count;
};

static void say(struct list *list, bool trouble, const char *format, ...) CW_PRINTF(3, 4);
static void say(struct list *list, bool trouble, const char *format, ...)
{
    struct cw_take_word *word = &list->word[list->count];
    if (list->count == CW_TAKE_WORDS) {
        return;
    }
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(word->text, sizeof word->text, format, arguments);
    va_end(arguments);
    word->trouble = trouble;
    list->count++;
}

static const double SILENT = -70.0, QUIET = -30.0, HOT = -1.0; /* of the peak, dB */
static const double HUM_TROUBLE = -35.0, HUM_KNOWN = -50.0;    /* against the playing, dB */
static const double NOISE_TROUBLE = -30.0;                     /* quietest second against the playing, dB */
static const double SHORTEST = 10.0;                           /* s */

static void say_level(struct list *list, const struct cw_take_figures *f)
{
    if (f->peak > HOT && f->clipped == 0) {
        say(list, false, "The peak stands %.1f dB under full scale: leave 6 dB, so that nothing is cut off.", -f->peak);
    } else if (f->peak < QUIET) {
        say(list, true, "Quiet: the peak stands %.0f dB under full scale; turn the input up, to 6 to 12 dB under.",
            -f->peak);
    }
}

static void say_noise(struct list *list, const struct cw_take_figures *f)
{
    double hum = f->hum - f->playing, noise = f->quiet - f->playing;
    if (hum > HUM_KNOWN) {
        say(list, hum > HUM_TROUBLE, "Mains hum of %.0f Hz, %.0f dB under the playing%s.", f->mains, -hum,
            hum > HUM_TROUBLE ? ": turn away from lamps, screens and supplies, or go elsewhere" : "");
    }
    if (noise > NOISE_TROUBLE && f->seconds >= SHORTEST) {
        say(list, false, "No quiet second: the quietest is %.0f dB under the playing; leave two seconds unplayed.",
            fabs(noise));
    }
}

static void say_form(struct list *list, const struct cw_take_figures *f, int bits)
{
    char hz[32];
    if (f->rate < 44100.0) {
        say(list, true, "Sample rate of %.0f Hz: nothing above %s is in it; record at 44100 Hz or more.", f->rate,
            cw_print_hz(f->rate / 2.0, hz, sizeof hz));
    }
    if (bits > 0 && bits < 16) {
        say(list, true, "%d bits a sample are coarse: record with 24 bits.", bits);
    }
    if (f->seconds < SHORTEST) {
        say(list, false, "Short: %.1f s; half a minute is better to judge by.", f->seconds);
    }
    if (fabs(f->offset) > 0.005) {
        say(list, false, "The wave stands off zero by %.1f %% of full scale: a fault of the interface.",
            100.0 * f->offset);
    }
}

size_t cw_take_check_words(const struct cw_take_figures *figures, int bits, struct cw_take_word words[CW_TAKE_WORDS])
{
    struct list list = {words, 0};
    if (figures->peak < SILENT) {
        say(&list, true, "Silent: nothing louder than %.0f dB under full scale; is the right channel taken?", -SILENT);
        return list.count;
    }
    if (figures->clipped > 0) {
        say(&list, true, "Cut off at full scale: %lld samples at %lld places; turn the input down and play it again.",
            figures->clipped, figures->clipped_places);
    }
    say_level(&list, figures);
    say_noise(&list, figures);
    say_form(&list, figures, bits);
    return list.count;
}
