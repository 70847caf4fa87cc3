/* SPDX-License-Identifier: ISC */
/* A real recorded guitar through the plugin: the spectrum of what comes out over that of what
 * went in is the response of the circuit, and so is the level.
 *
 * The recordings are those of the package sonic-pi-samples (CC0): real playing, of which it is
 * not known what they were recorded through; here they are input and nothing more. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>
#include <sndfile.h>

#include "circuit.h"
#include "coil.h"
#include "host.h"
#include "setup.h"
#include "spectrum.h"
#include "transfer.h"

enum { N = 1 << 19 };
static const char *const folder = "/usr/share/sonic-pi/samples";

struct recording {
    float in[N], out[N]; /* silence after the end, so that the sound can ring out */
    double in_re[N], in_im[N], out_re[N], out_im[N];
    double rate;
};

static struct recording take;

/* The first channel of a file; 0 where there is no such file. */
static int read_take(const char *name)
{
    char path[256];
    SF_INFO info = {0};
    snprintf(path, sizeof path, "%s/%s", folder, name);
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    if (!file) {
        return 0;
    }
    const sf_count_t most = N - 65536, frames = info.frames < most ? info.frames : most;
    float *samples = calloc((size_t)(frames * info.channels), sizeof *samples);
    assert_int_equal(sf_readf_float(file, samples, frames), frames);
    sf_close(file);
    for (size_t i = 0; i < N; i++) {
        take.in[i] = i < (size_t)frames ? samples[i * (size_t)info.channels] : 0.0f;
    }
    free(samples);
    take.rate = info.samplerate;
    return 1;
}

static void set_defaults_and(struct cw_setup *setup, struct host *host, const char *prefix, const char *symbol,
                             double value)
{
    char full[64];
    snprintf(full, sizeof full, "%s%s", prefix, symbol);
    host_set(host, full, (float)value);
    setup->value[cw_param_find(symbol)] = (double)(float)value;
}

static void transfer_of(const struct cw_setup *setup, struct cw_transfer *h)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, h);
}

static void transform(const float *x, double *re, double *im)
{
    for (size_t i = 0; i < N; i++) {
        re[i] = (double)x[i];
        im[i] = 0.0;
    }
    spectrum_fft(re, im, N);
}

static double power(const double *re, const double *im, size_t bin) { return re[bin] * re[bin] + im[bin] * im[bin]; }

/* Third octaves: the power that came out over the power that the circuit lets through. And all
 * of it together, from 20 Hz up: the level. */
static void compare(const struct cw_transfer *candidate, const struct cw_transfer *recorded)
{
    double all = 0.0, all_expected = 0.0;
    transform(take.in, take.in_re, take.in_im);
    transform(take.out, take.out_re, take.out_im);
    for (double low = 20.0; low < 20000.0; low *= pow(10.0, 0.1)) {
        const double high = fmin(low * pow(10.0, 0.1), 20000.0);
        double in = 0.0, out = 0.0, expected = 0.0;
        for (size_t bin = (size_t)ceil(low / take.rate * N); (double)bin / N * take.rate < high; bin++) {
            const double hz = (double)bin / N * take.rate, p = power(take.in_re, take.in_im, bin);
            in += p;
            out += power(take.out_re, take.out_im, bin);
            expected += p * cw_transfer_power(candidate, hz) / cw_transfer_power(recorded, hz);
        }
        const double db = 10.0 * log10(out / expected);
        if (in > 0.0 && !(fabs(db) < 0.02)) {
            fail_msg("%.0f Hz: %.4f dB from the circuit's response", low, db);
        }
        all += out;
        all_expected += expected;
    }
    assert_true(fabs(10.0 * log10(all / all_expected)) < 0.01);
}

static void test_take(const char *name)
{
    if (!read_take(name)) {
        print_message("%s/%s is not there (package sonic-pi-samples)\n", folder, name);
        skip();
    }
    static const struct {
        const char *symbol;
        double candidate, recorded;
    } values[] = {{"coils", 1, 0},          {"inductance", 6, 3},     {"resistance", 12, 6.5}, {"split", 1, 0},
                  {"split_by", 1, 0},       {"split_resistor", 8, 8}, {"cable_length", 8, 3},  {"tone", 6, 10},
                  {"volume_pot", 500, 250}, {"loss", 300, 700}};
    struct cw_setup candidate, recorded;
    struct cw_transfer candidate_h, recorded_h;
    struct host *host = host_new(take.rate);
    assert_non_null(host);
    cw_setup_defaults(&candidate);
    cw_setup_defaults(&recorded);
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        set_defaults_and(&candidate, host, "a_", values[i].symbol, values[i].candidate);
        set_defaults_and(&recorded, host, "rec_", values[i].symbol, values[i].recorded);
    }
    transfer_of(&candidate, &candidate_h);
    transfer_of(&recorded, &recorded_h);
    host_run(host, take.in, take.out, N, 256);
    compare(&candidate_h, &recorded_h);
    host_free(host);
}

static void test_slide(void **state)
{
    (void)state;
    test_take("guit_e_slide.flac");
}

static void test_harmonics(void **state)
{
    (void)state;
    test_take("guit_harmonics.flac");
}

static void test_fifths(void **state)
{
    (void)state;
    test_take("guit_e_fifths.flac");
}

static void test_chord(void **state)
{
    (void)state;
    test_take("guit_em9.flac");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_slide),
        cmocka_unit_test(test_harmonics),
        cmocka_unit_test(test_fifths),
        cmocka_unit_test(test_chord),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
