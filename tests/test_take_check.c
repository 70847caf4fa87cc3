/* SPDX-License-Identifier: ISC */
/* The check of a recording, against signals whose figures are known in closed form. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "constants.h"
#include "take_check.h"

enum { RATE = 48000, SECONDS = 12 };

/* A take: silence but for noise of hum and hiss for two seconds, then a tone as the playing. */
struct made {
    double rate, seconds, playing, hum, mains, hiss, offset, limit;
};

static const struct made good = {RATE, SECONDS, 0.25, 0.0, 50, 1e-4, 0.0, 1.0};

static struct cw_take_figures check(const struct made *made)
{
    struct cw_take_check check;
    struct cw_take_figures figures;
    uint32_t random = 1;
    cw_take_check_start(&check, made->rate);
    for (long i = 0; i < (long)(made->rate * made->seconds); i++) {
        double t = (double)i / made->rate;
        random = random * 1664525u + 1013904223u;
        double x = made->hiss * ((double)(random >> 8) / 8388608.0 - 1.0) + made->offset;
        x += made->hum * sin(CW_TAU * made->mains * t) + 0.5 * made->hum * sin(CW_TAU * 3 * made->mains * t + 1.0);
        x += t >= 2.0 ? made->playing * sin(CW_TAU * 329.6 * t) : 0.0;
        float sample = (float)fmax(-made->limit, fmin(made->limit, x));
        cw_take_check_add(&check, &sample, 1);
    }
    cw_take_check_figures(&check, &figures);
    return figures;
}

/* What is said, joined; trouble with a !. */
static const char *words(const struct made *made, int bits)
{
    static char text[2000];
    struct cw_take_figures figures = check(made);
    struct cw_take_word word[CW_TAKE_WORDS];
    size_t count = cw_take_check_words(&figures, bits, word);
    text[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        strcat(strcat(text, word[i].trouble ? "!" : ""), word[i].text);
        strcat(text, "\n");
    }
    return text;
}

static void assert_said(const struct made *made, int bits, const char *what)
{
    const char *said = words(made, bits);
    if (*what ? strstr(said, what) == NULL : *said != '\0') {
        fail_msg("said '%s', expected '%s'", said, what);
    }
}

static void figures_are_the_signals(void **state)
{
    struct made made = good;
    (void)state;
    made.hum = 0.002;
    made.mains = 60;
    struct cw_take_figures f = check(&made);
    assert_true(fabs(f.seconds - SECONDS) < 1e-3);
    assert_true(fabs(f.playing - 20 * log10(0.25 / sqrt(2))) < 0.6); /* in steps of 1 dB */
    assert_true(fabs(f.peak - 20 * log10(0.253)) < 0.2);
    /* Two sines of 0.002 and 0.001: mean square (0.002^2 + 0.001^2)/2. */
    assert_true(fabs(f.hum - 10 * log10((4e-6 + 1e-6) / 2)) < 0.1);
    assert_true(f.mains == 60);
    assert_true(f.quiet < -50 && f.quiet > -58);
    made.mains = 50;
    assert_true(check(&made).mains == 50);
}

/* The recursion at another rate, and with whole seconds cut by blocks. */
static void blocks_do_not_matter(void **state)
{
    static float block[30000];
    struct cw_take_check whole, parts;
    struct cw_take_figures a, b;
    (void)state;
    for (int i = 0; i < 30000; i++) {
        block[i] = (float)(0.1 * sin(CW_TAU * 50.0 * i / 11025.0));
    }
    cw_take_check_start(&whole, 11025);
    cw_take_check_start(&parts, 11025);
    cw_take_check_add(&whole, block, 30000);
    for (int i = 0; i < 30000; i += 100) {
        cw_take_check_add(&parts, block + i, 100);
    }
    cw_take_check_figures(&whole, &a);
    cw_take_check_figures(&parts, &b);
    assert_memory_equal(&a, &b, sizeof a);
    assert_true(fabs(a.hum - 10 * log10(0.005)) < 0.01);
}

static void a_good_take_is_told_so(void **state)
{
    (void)state;
    assert_said(&good, 24, "");
    assert_said(&good, 0, "");
}

static void trouble_is_told(void **state)
{
    struct made made = good;
    (void)state;
    made.playing = 0.0;
    made.hiss = 1e-5;
    assert_said(&made, 24, "!Silent: nothing louder than 70 dB under full scale");
    made = good;
    made.playing = 1.3;
    assert_said(&made, 24, "!Cut off at full scale: ");
    made = good;
    made.playing = 0.02;
    assert_said(&made, 24, "!Quiet: the peak stands 34 dB under full scale");
    made = good;
    made.hum = 0.02;
    assert_said(&made, 24, "!Mains hum of 50 Hz, 21 dB under the playing: turn away");
    made.hum = 0.0014;
    assert_said(&made, 24, "Mains hum of 50 Hz, 44 dB under the playing.");
    made = good;
    made.rate = 22050;
    assert_said(&made, 24, "!Sample rate of 22050 Hz: nothing above 11.0 kHz is in it");
    assert_said(&good, 8, "!8 bits a sample");
    made = good;
    made.seconds = 4;
    assert_said(&made, 24, "Short: 4.0 s");
    made = good;
    made.offset = 0.02;
    assert_said(&made, 24, "stands off zero by 2.0 %");
    made = good;
    made.playing = 0.95;
    assert_said(&made, 24, "The peak stands 0.4 dB under full scale");
    made = good;
    made.hiss = 0.05;
    assert_said(&made, 24, "No quiet second: the quietest is");
}

static void nothing_is_survived(void **state)
{
    struct cw_take_check empty;
    struct cw_take_figures figures;
    struct cw_take_word word[CW_TAKE_WORDS];
    (void)state;
    cw_take_check_start(&empty, 48000);
    cw_take_check_figures(&empty, &figures);
    assert_int_equal(cw_take_check_words(&figures, 24, word), 1);
    assert_true(word[0].trouble);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(figures_are_the_signals), cmocka_unit_test(blocks_do_not_matter),
        cmocka_unit_test(a_good_take_is_told_so),  cmocka_unit_test(trouble_is_told),
        cmocka_unit_test(nothing_is_survived),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
