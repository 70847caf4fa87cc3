/* SPDX-License-Identifier: ISC */
/* The weighted level of a response against values of ITU-R BS.1770-4 and against libebur128
 * measuring signals that have the long-term spectrum of dsp/loudness.h, before and after each
 * partial was given the response's gain. */
#include <ebur128.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "host.h"
#include "loudness.h"
#include "polynomial.h"
#include "setup.h"
#include "setups.h"
#include "transfer.h"

enum { RATE = 48000, LENGTH = 4 * RATE };

static void assert_within(double value, double expected, double tolerance, int line)
{
    if (!(fabs(value - expected) <= tolerance)) {
        print_error("line %d: %.9g, expected %.9g within %g\n", line, value, expected, tolerance);
        fail();
    }
}
#define WITHIN(value, expected, tolerance) assert_within(value, expected, tolerance, __LINE__)

/* Gains of the weighting, computed from the coefficients of BS.1770-4 apart from this program. */
static void k_weighting_values(void **state)
{
    (void)state;
    const double row[][2] = {{50, -3.934}, {100, -1.134}, {997, .6910}, {5000, 4.013}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        WITHIN(10 * log10(cw_loudness_k_power(row[i][0])), row[i][1], 5.1e-4);
    }
}

/* Base-ten third octaves (IEC 61260-1): 1 kHz is one of them, ten bands make a factor of ten. */
static void band_frequencies(void **state)
{
    (void)state;
    const double nominal[CW_LOUDNESS_BANDS] = {80,   100,  125,  160,  200,  250,   315,   400,
                                               500,  630,  800,  1000, 1250, 1600,  2000,  2500,
                                               3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000};
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        WITHIN(cw_loudness_centre(i) / nominal[i], 1, 0.013); /* nominal ones are rounded */
        if (i >= 10) {
            WITHIN(cw_loudness_centre(i) / cw_loudness_centre(i - 10), 10, 1e-11);
        }
    }
    WITHIN(cw_loudness_centre(11), 1000, 1e-9);
}

/* The stated spectrum as a power: equal to 630 Hz, falling 9 dB (a factor of eight) an octave. */
static double stated_power(double hz) { return hz < 640 ? 1 : pow(8, -log2(hz / 630.957)); }

/* The weight of a band: the level of a response that is 1 there and 0 elsewhere. */
static double weight_of(int band)
{
    double power[CW_LOUDNESS_BANDS] = {0};
    power[band] = 1;
    return pow(10, cw_loudness_of_bands(power) / 10);
}

static void weights_follow_the_stated_spectrum(void **state)
{
    (void)state;
    double sum = 0, total = 0;
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        total += stated_power(cw_loudness_centre(i)) * cw_loudness_k_power(cw_loudness_centre(i));
        sum += weight_of(i);
    }
    WITHIN(sum, 1, 1e-12);
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        double hz = cw_loudness_centre(i), expected = stated_power(hz) * cw_loudness_k_power(hz) / total;
        WITHIN(10 * log10(weight_of(i) / expected), 0, 1e-4);
    }
}

static struct cw_transfer circuit_of(const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    return h;
}

static void flat_gain_is_itself(void **state)
{
    (void)state;
    for (double db = -40; db <= 40; db += 10) {
        struct cw_transfer h = {cw_poly_constant(pow(10, db / 20)), cw_poly_constant(1)};
        WITHIN(cw_loudness_of(&h, NULL), db, 1e-9);
    }
    struct cw_transfer silent = {cw_poly_constant(0), cw_poly_constant(1)};
    WITHIN(cw_loudness_of(&silent, NULL), -200, 0);
    /* A response that is divided out of itself is flat. */
    struct rng rng = {7};
    struct cw_setup setup;
    setups_random(&rng, 0, &setup);
    struct cw_transfer h = circuit_of(&setup);
    WITHIN(cw_loudness_of(&h, &h), 0, 1e-9);
}

/* The weighted sum, with the weights of single bands. */
static void is_the_sum_of_its_bands(void **state)
{
    (void)state;
    struct rng rng = {8};
    for (int i = 0; i < 80; i++) {
        struct cw_setup one, two;
        setups_random(&rng, i, &one);
        setups_random(&rng, i + 3, &two);
        struct cw_transfer a = circuit_of(&one), b = circuit_of(&two);
        double sum = 0, ratio = 0;
        for (int band = 0; band < CW_LOUDNESS_BANDS; band++) {
            double hz = cw_loudness_centre(band), weight = weight_of(band);
            sum += weight * cw_transfer_power(&a, hz);
            ratio += weight * cw_transfer_power(&a, hz) / cw_transfer_power(&b, hz);
        }
        WITHIN(cw_loudness_of(&a, NULL), 10 * log10(sum), 1e-9);
        WITHIN(cw_loudness_of(&a, &b), 10 * log10(ratio), 1e-9);
    }
}

/* ---- libebur128 ------------------------------------------------------------------------------- */

static double measured_loudness(const float *x)
{
    ebur128_state *meter = ebur128_init(1, RATE, EBUR128_MODE_I);
    assert_non_null(meter);
    double lufs = -INFINITY;
    assert_int_equal(ebur128_add_frames_float(meter, x, LENGTH), EBUR128_SUCCESS);
    assert_int_equal(ebur128_loudness_global(meter, &lufs), EBUR128_SUCCESS);
    ebur128_destroy(&meter);
    return lufs;
}

/* BS.1770-4: a 997 Hz sine at full scale in one channel reads -3.01. The judge is judged. */
static void judge_reads_the_standard_tone(void **state)
{
    (void)state;
    static float x[LENGTH];
    for (int i = 0; i < LENGTH; i++) {
        x[i] = (float)sin(CW_TAU * 997 * i / RATE);
    }
    WITHIN(measured_loudness(x), -3.0103, 0.01);
}

/* Add a sine of the given power; the recurrence drifts by less than the float it is rounded to. */
static void add_partial(double *x, double hz, double power, double phase)
{
    double w = CW_TAU * hz / RATE, amplitude = sqrt(2 * power), k = 2 * cos(w);
    double before = amplitude * sin(phase - w), now = amplitude * sin(phase);
    for (int i = 0; i < LENGTH; i++) {
        x[i] += now;
        double next = k * now - before;
        before = now;
        now = next;
    }
}

/* A signal with the stated spectrum, `partials` to each third of an octave, each through |h|, at full
 * scale: clear of the gates at -70. \return the peak that it had before */
static double make_signal(const struct cw_transfer *h, const struct cw_transfer *under, int partials, float *y)
{
    static double x[LENGTH];
    struct rng rng = {9};
    memset(x, 0, sizeof x);
    double peak = 0;
    for (int band = 0; band < CW_LOUDNESS_BANDS; band++) {
        for (int k = 0; k < partials; k++) {
            double hz = cw_loudness_centre(band) * pow(10, ((k + 0.5) / partials - 0.5) / 10);
            double gain = h ? cw_transfer_power(h, hz) : 1;
            gain /= under ? cw_transfer_power(under, hz) : 1;
            add_partial(x, hz, stated_power(cw_loudness_centre(band)) / partials * gain, CW_TAU * rng_unit(&rng));
        }
    }
    for (int i = 0; i < LENGTH; i++) {
        peak = fmax(peak, fabs(x[i]));
    }
    for (int i = 0; i < LENGTH; i++) {
        y[i] = (float)(x[i] / peak);
    }
    return peak;
}

static double loudness_through(const struct cw_transfer *h, const struct cw_transfer *under, int partials)
{
    static float y[LENGTH];
    double peak = make_signal(h, under, partials, y);
    return measured_loudness(y) + 20 * log10(peak);
}

struct spread {
    double worst, sum;
    int n;
};

static void against_the_meter(struct spread *spread, const struct cw_transfer *h, const struct cw_transfer *under,
                              double flat, int partials)
{
    double error = fabs(loudness_through(h, under, partials) - flat - cw_loudness_of(h, under));
    spread->worst = fmax(spread->worst, error);
    spread->sum += error;
    spread->n++;
}

/* One partial at the centre of each band. */
static void tones_by_libebur128(void **state)
{
    (void)state;
    struct rng rng = {10};
    struct spread spread = {0};
    double flat = loudness_through(NULL, NULL, 1);
    for (int i = 0; i < 24; i++) {
        struct cw_setup setup;
        setups_random(&rng, i, &setup);
        struct cw_transfer h = circuit_of(&setup);
        against_the_meter(&spread, &h, NULL, flat, 1);
    }
    print_message("a partial in each band, %d setups: worst %.3f dB of libebur128\n", spread.n, spread.worst);
    assert_true(spread.worst < 0.2);
}

/* Bands filled with partials: what a resonance does between the centres is in the signal too. */
static void filled_bands_by_libebur128(void **state)
{
    (void)state;
    struct rng rng = {11};
    struct spread spread = {0};
    double flat = loudness_through(NULL, NULL, 16);
    for (int i = 0; i < 24; i++) {
        struct cw_setup setup;
        setups_random(&rng, i, &setup);
        struct cw_transfer h = circuit_of(&setup);
        against_the_meter(&spread, &h, NULL, flat, 16);
    }
    print_message("filled bands, %d setups: worst %.3f dB of libebur128, mean %.3f dB\n", spread.n, spread.worst,
                  spread.sum / spread.n);
    assert_true(spread.worst < 0.2);
}

/* What level matching uses: candidate over recorded-through. */
static void ratio_by_libebur128(void **state)
{
    (void)state;
    struct rng rng = {12};
    struct spread spread = {0};
    double flat = loudness_through(NULL, NULL, 1);
    for (int i = 0; i < 16; i++) {
        struct cw_setup candidate, recorded;
        setups_random(&rng, i, &candidate);
        setups_random(&rng, i + 1, &recorded);
        struct cw_transfer h = circuit_of(&candidate), under = circuit_of(&recorded);
        against_the_meter(&spread, &h, &under, flat, 1);
    }
    print_message("ratio of two setups, %d pairs: worst %.3f dB of libebur128\n", spread.n, spread.worst);
    assert_true(spread.worst < 0.2);
}

static void send_setup(struct host *host, enum cw_which which, struct rng *rng, int kind)
{
    struct cw_setup setup;
    char symbol[64];
    setups_random(rng, kind, &setup);
    for (int i = 0; i < CW_PARAMS; i++) {
        snprintf(symbol, sizeof symbol, "%s%s", cw_setup_prefix[which], cw_param_info[i].symbol);
        host_set(host, symbol, (float)setup.value[i]);
    }
}

static double heard(struct host *host, enum cw_listen listen, bool matched)
{
    static float in[LENGTH], out[LENGTH];
    if (in[0] == 0.0f) {
        make_signal(NULL, NULL, 4, in);
    }
    host_set(host, "listen", (float)listen);
    host_set(host, "level_match", matched);
    host_restart(host);
    host_run(host, in, out, LENGTH, 1024);
    return measured_loudness(out);
}

/* level_match of the plugin: a signal with the stated spectrum is as loud through A and through B as
 * it is as recorded, before anything was learned (that is tests/test_learn.c). Candidates so quiet that the boost limit
 * would hold the gain back are left out. */
static void matched_by_the_plugin(void **state)
{
    (void)state;
    struct rng rng = {13};
    struct host *host = host_new(RATE);
    double worst = 0, farthest = 0;
    int judged = 0;
    for (int i = 0; i < 16; i++) {
        host_free(host);
        host = host_new(RATE); /* has learned nothing */
        host_set(host, "boost_limit", 60);
        send_setup(host, CW_A, &rng, i);
        send_setup(host, CW_B, &rng, i + 2);
        send_setup(host, CW_REC, &rng, i + 5);
        host_set(host, "undo_recording", (float)(i % 2));
        double recorded = heard(host, CW_LISTEN_RECORDED, true);
        WITHIN(recorded, heard(host, CW_LISTEN_RECORDED, false), 1e-9); /* the one that the others go to */
        for (int listen = CW_LISTEN_A; listen <= CW_LISTEN_B; listen++) {
            double apart = heard(host, (enum cw_listen)listen, false) - recorded;
            if (apart < -30) {
                continue;
            }
            double left = heard(host, (enum cw_listen)listen, true) - recorded;
            WITHIN(left, 0, 0.3);
            worst = fmax(worst, fabs(left));
            farthest = fmax(farthest, fabs(apart));
            judged++;
        }
    }
    host_free(host);
    print_message("level match, %d candidates up to %.1f dB apart: worst %.3f dB of libebur128\n", judged, farthest,
                  worst);
    assert_true(judged >= 20 && farthest > 6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(k_weighting_values),
        cmocka_unit_test(band_frequencies),
        cmocka_unit_test(weights_follow_the_stated_spectrum),
        cmocka_unit_test(flat_gain_is_itself),
        cmocka_unit_test(is_the_sum_of_its_bands),
        cmocka_unit_test(judge_reads_the_standard_tone),
        cmocka_unit_test(tones_by_libebur128),
        cmocka_unit_test(filled_bands_by_libebur128),
        cmocka_unit_test(ratio_by_libebur128),
        cmocka_unit_test(matched_by_the_plugin),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
