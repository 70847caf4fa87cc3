/* SPDX-License-Identifier: ISC */
/* The demonstration's phrase: is it in tune, does it decay, does it begin and end at rest, and is it
 * what the reference setup would have recorded?
 *
 * Pitches: twelve equal steps to the octave from A at 440 Hz (ISO 16). That a string's treble dies
 * before its fundamental is common practice, no source. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "phrase.h"
#include "pluck.h"
#include "setup.h"
#include "spectrum.h"
#include "transfer.h"

static const double RATE = CW_PHRASE_RATE;

static float *room(void)
{
    float *samples = calloc(CW_PHRASE_FRAMES, sizeof *samples);
    assert_non_null(samples);
    return samples;
}

static double rms_db(const float *x, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        sum += (double)x[i] * (double)x[i];
    }
    return 10 * log10(sum / (double)n + 1e-30);
}

static struct cw_pluck note(double hz)
{
    return (struct cw_pluck){.hz = hz,
                             .amplitude = 1,
                             .pick_at = 0.17,
                             .pickup_at = 0.085,
                             .start = 0,
                             .stop = 20,
                             .decay = 6,
                             .decay_high = 2,
                             .softness = 0.00006,
                             .seed = 12345};
}

/* Phase of a partial in a Hann window that starts at a sample, counted from sample 0. */
static double phase_at(const float *x, size_t start, double hz)
{
    enum { N = 24000 };
    float window[N];
    for (size_t i = 0; i < N; i++) {
        window[i] = (float)((0.5 - 0.5 * cos(CW_TAU * (double)i / N)) * (double)x[start + i]);
    }
    return spectrum_phase(window, N, hz, RATE) - CW_TAU * hz * (double)start / RATE;
}

/* How far a partial is from its place: its phase against a clock of the right frequency must not
 * turn. Unambiguous within 5 Hz, which is 20 cents or more for what is looked at. */
static double cents_off(const float *x, double hz)
{
    const size_t gap = 4800;
    double turned = remainder(phase_at(x, 4800 + gap, hz) - phase_at(x, 4800, hz), CW_TAU);
    return 1200 * log2((hz + turned * RATE / (CW_TAU * (double)gap)) / hz);
}

static void notes_are_in_tune(void **state)
{
    (void)state;
    for (int semitone = -29; semitone <= 12; semitone++) {
        double hz = 440 * exp2(semitone / 12.0);
        float *x = room();
        struct cw_pluck pluck = note(hz);
        cw_pluck_add(&pluck, RATE, x, 120000);
        for (int partial = 1; partial <= 5; partial++) {
            double cents = cents_off(x, partial * hz);
            if (fabs(cents) > 2) {
                fail_msg("%.1f Hz, partial %d: %.3f cents off", hz, partial, cents);
            }
        }
        free(x);
    }
}

/* The check above would see a string that is 3 cents sharp. */
static void mistuning_is_seen(void **state)
{
    (void)state;
    float *x = room();
    struct cw_pluck pluck = note(196 * exp2(3 / 1200.0));
    cw_pluck_add(&pluck, RATE, x, 120000);
    assert_true(fabs(cents_off(x, 196) - 3) < 0.1);
    free(x);
}

static double decay_of(const float *x, double hz)
{
    double first = spectrum_db(x + 9600, 9600, hz, RATE), second = spectrum_db(x + 57600, 9600, hz, RATE);
    return 60.0 / (first - second); /* seconds for 60 dB: the windows stand one second apart */
}

static void strings_decay_and_lose_their_treble_first(void **state)
{
    (void)state;
    float *x = room();
    struct cw_pluck pluck = note(110);
    cw_pluck_add(&pluck, RATE, x, 120000);
    double low = decay_of(x, 110), high = decay_of(x, 45 * 110);
    assert_true(fabs(low - 6) < 0.2);
    assert_true(fabs(high - 2) < 0.2);
    free(x);
}

static void begins_and_ends_at_rest(void **state)
{
    (void)state;
    float *x = room();
    cw_phrase_strings(x);
    for (size_t i = 0; i < 4800; i++) { /* before the first note */
        assert_true(x[i] == 0.0f);
    }
    assert_true(rms_db(x + CW_PHRASE_FRAMES - 480, 480) < -90);
    assert_true(fabsf(x[CW_PHRASE_FRAMES - 1]) < 1e-6f);
    /* No step of the wave comes near a jump: the pick's corner is round. */
    double step = 0;
    for (size_t i = 1; i < CW_PHRASE_FRAMES; i++) {
        step = fmax(step, fabs((double)x[i] - (double)x[i - 1]));
    }
    assert_true(step < 0.3);
    free(x);
}

/* The sharpest bend of the wave: a step in its course would stand out. */
static double sharpest(const float *x, size_t n)
{
    double most = 0;
    for (size_t i = 2; i < n; i++) {
        most = fmax(most, fabs((double)x[i] - 2 * (double)x[i - 1] + (double)x[i - 2]));
    }
    return most;
}

static void no_click_where_a_note_starts_or_is_damped(void **state)
{
    (void)state;
    float *x = room();
    struct cw_pluck pluck = note(110);
    pluck.start = 0.1;
    pluck.stop = 1.0;
    cw_pluck_add(&pluck, RATE, x, 120000);
    /* The pickup feels nothing until the corner comes past it: the first sample is the pick's noise. */
    assert_true(fabsf(x[4800]) < 0.03f);
    /* The hand damps without a step. */
    assert_true(sharpest(x + 47900, 2000) < 1.02 * sharpest(x + 45900, 2000));
    assert_true(rms_db(x + 72000, 4800) < -60);
    free(x);
}

static void renders_alike_every_time(void **state)
{
    (void)state;
    float *x = room(), *y = room();
    cw_phrase_strings(x);
    cw_phrase_strings(y);
    assert_memory_equal(x, y, CW_PHRASE_FRAMES * sizeof *x);
    free(x);
    free(y);
}

static struct cw_transfer reference(void)
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_setup_defaults(&setup);
    setup.value[CW_P_INDUCTANCE] = 3.1;
    cw_coil_solve(&setup, &pickup);
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &h);
    return h;
}

/* The recording is the strings through the setup: their spectra differ by its response. */
static void recorded_through_the_reference(void **state)
{
    (void)state;
    struct cw_transfer h = reference();
    float *strings = room(), *recorded = room();
    cw_phrase_strings(strings);
    cw_phrase_render(&h, recorded);
    double offset = 0;
    for (int i = 0; i < 24; i++) {
        double hz = 82.4069 * exp2(i / 4.0);
        if (hz > 4000) {
            break;
        }
        double difference = spectrum_db(recorded, CW_PHRASE_FRAMES, hz, RATE) -
                            spectrum_db(strings, CW_PHRASE_FRAMES, hz, RATE) - cw_transfer_db(&h, hz);
        if (i == 0) {
            offset = difference; /* the gain that sets the peak */
        }
        assert_true(fabs(difference - offset) < 0.1);
    }
    free(strings);
    free(recorded);
}

static void peak_is_as_stated(void **state)
{
    (void)state;
    struct cw_transfer h = reference();
    float *x = room();
    cw_phrase_render(&h, x);
    double peak = 0;
    for (size_t i = 0; i < CW_PHRASE_FRAMES; i++) {
        peak = fmax(peak, fabs((double)x[i]));
    }
    assert_true(fabs(20 * log10(peak) - CW_PHRASE_PEAK_DB) < 0.001);
    free(x);
}

/* A guitar's DI: most power below 1 kHz, some left above 3 kHz where pickups differ. */
static void spectrum_is_that_of_a_guitar(void **state)
{
    (void)state;
    enum { N = 1 << 19 };
    float *x = room();
    cw_phrase_strings(x);
    double *re = calloc(N, sizeof *re), *im = calloc(N, sizeof *im);
    for (size_t i = 0; i < N; i++) {
        re[i] = (double)x[i];
    }
    spectrum_fft(re, im, N);
    double power[4] = {0};
    static const double edge[] = {70, 1000, 3000, 8000};
    for (size_t i = 1; i < N / 2; i++) {
        double hz = (double)i * RATE / N, p = re[i] * re[i] + im[i] * im[i];
        for (int band = 3; band >= 0; band--) {
            if (hz >= edge[band] || band == 0) {
                power[hz < edge[0] ? 3 : band] += p;
                break;
            }
        }
    }
    double all = power[0] + power[1] + power[2] + power[3];
    assert_true(power[0] > 0.5 * all);
    assert_true(10 * log10(power[2] / all) > -35);
    assert_true(10 * log10(power[2] / all) < -10);
    free(x);
    free(re);
    free(im);
}

static void tone_is_known(void **state)
{
    (void)state;
    static float tone[CW_TONE_FRAMES];
    cw_tone_render(tone);
    double db = 20 * log10(spectrum_amplitude(tone, CW_TONE_FRAMES, 997, RATE));
    assert_true(fabs(db + 18) < 1e-6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(notes_are_in_tune),
        cmocka_unit_test(mistuning_is_seen),
        cmocka_unit_test(strings_decay_and_lose_their_treble_first),
        cmocka_unit_test(begins_and_ends_at_rest),
        cmocka_unit_test(no_click_where_a_note_starts_or_is_damped),
        cmocka_unit_test(renders_alike_every_time),
        cmocka_unit_test(recorded_through_the_reference),
        cmocka_unit_test(peak_is_as_stated),
        cmocka_unit_test(spectrum_is_that_of_a_guitar),
        cmocka_unit_test(tone_is_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
