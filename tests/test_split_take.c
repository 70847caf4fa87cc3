/* SPDX-License-Identifier: ISC */
/* The loudness that a split promises for a recording against what it is when rendered.
 *
 * Judges: libebur128 (ITU-R BS.1770-4, gates included), which no one here wrote; the plugin, run by
 * a host. The recordings are those of the package sonic-pi-samples (CC0): real playing, of which it
 * is not known what it was recorded through; here they are input and nothing more. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "audio.h"
#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "cookbook.h"
#include "host.h"
#include "level.h"
#include "polynomial.h"
#include "setup.h"
#include "setups.h"
#include "split_kind.h"
#include "split_measure.h"
#include "split_solve.h"
#include "take.h"
#include "take_load.h"
#include "transfer.h"
#include "within.h"

static const char *const folder = "/usr/share/sonic-pi/samples";

static double loudness_of(const float *samples, size_t n, int rate)
{
    struct cw_meter meter;
    struct cw_levels levels;
    assert_true(cw_meter_start(&meter, rate) && cw_meter_add(&meter, samples, n) && cw_meter_finish(&meter, &levels));
    return levels.loudness;
}

static struct cw_transfer flat(double gain)
{
    return (struct cw_transfer){cw_poly_constant(gain), cw_poly_constant(1.0)};
}

static struct cw_transfer circuit_of(const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    return h;
}

static void write_file(const char *path, const float *samples, size_t n, int rate)
{
    struct cw_audio_out out = {0};
    assert_true(cw_audio_create(&out, path, rate, true, (long long)n) && cw_audio_write(&out, samples, n) &&
                cw_audio_finish(&out));
}

/* Noise of changing level with pauses, so that both gates have work to do. */
static void fill_noise(float *samples, size_t n, int rate)
{
    struct rng rng = {81};
    struct cw_biquad low = cookbook(CW_LOWPASS, 700, 0.7, 0, rate);
    struct cw_biquad_state state = {0, 0};
    for (size_t i = 0; i < n; i++) {
        double t = (double)i / rate, phase = fmod(t, 3.0);
        double db = phase < 1.3 ? -12 - 10 * phase : phase < 2.0 ? -45 : phase < 2.4 ? -HUGE_VAL : -20;
        samples[i] = (float)(pow(10, db / 20) * (2 * rng_unit(&rng) - 1));
    }
    cw_biquad_process(&low, &state, samples, samples, n);
}

static void agrees_with_libebur128(void **state)
{
    (void)state;
    static const int rates[] = {22050, 44100, 48000, 96000};
    char path[] = "/tmp/coilwright-take-XXXXXX";
    int handle = mkstemp(path);
    assert_true(handle >= 0);
    close(handle);
    for (size_t r = 0; r < sizeof rates / sizeof rates[0]; r++) {
        size_t n = (size_t)(rates[r] * 12.34);
        float *samples = malloc(n * sizeof *samples);
        struct cw_take take;
        assert_non_null(samples);
        fill_noise(samples, n, rates[r]);
        write_file(path, samples, n, rates[r]);
        assert_true(cw_take_load(&take, path, 0, NULL));
        struct cw_transfer through = flat(1.0);
        within(cw_take_loudness(&take, &through), loudness_of(samples, n, rates[r]), 0.05, "loudness of noise");
        /* -30 dB puts the quiet parts below the absolute gate. */
        for (size_t i = 0; i < n; i++) {
            samples[i] *= 0.0316228f;
        }
        through = flat(0.0316228);
        within(cw_take_loudness(&take, &through), loudness_of(samples, n, rates[r]), 0.1, "loudness of quiet noise");
        through = flat(1e-5);
        assert_true(cw_take_loudness(&take, &through) == -HUGE_VAL);
        cw_take_free(&take);
        free(samples);
    }
    unlink(path);
}

static void recorded_is_divided_out(void **state)
{
    (void)state;
    enum { RATE = 44100, N = 5 * RATE };
    char path[] = "/tmp/coilwright-take-XXXXXX";
    int handle = mkstemp(path);
    assert_true(handle >= 0);
    close(handle);
    float *samples = malloc(N * sizeof *samples);
    assert_non_null(samples);
    fill_noise(samples, N, RATE);
    write_file(path, samples, N, RATE);
    struct cw_setup setup;
    cw_setup_defaults(&setup);
    struct cw_transfer h = circuit_of(&setup), one = flat(1.0);
    struct cw_take divided, plain;
    assert_true(cw_take_load(&divided, path, 0, &h) && cw_take_load(&plain, path, 0, NULL));
    within(cw_take_loudness(&divided, &h), cw_take_loudness(&plain, &one), 0.005, "the recorded-through setup again");
    cw_take_free(&divided);
    cw_take_free(&plain);
    /* Too short, and not there. */
    write_file(path, samples, RATE / 4, RATE);
    assert_false(cw_take_load(&plain, path, 0, NULL));
    unlink(path);
    assert_false(cw_take_load(&plain, path, 0, NULL));
    cw_take_free(&plain);
    free(samples);
}

/* ---- a real guitar ------------------------------------------------------------------------- */

struct recording {
    char path[256];
    float *samples;
    size_t count;
    int rate;
};

static bool read_recording(const char *name, struct recording *recording)
{
    struct cw_audio_in in = {0};
    snprintf(recording->path, sizeof recording->path, "%s/%s", folder, name);
    if (access(recording->path, R_OK) != 0) {
        return false;
    }
    assert_true(cw_audio_open(&in, recording->path, 1));
    recording->rate = in.rate;
    recording->count = 0;
    recording->samples = malloc(((size_t)in.frames + CW_AUDIO_BLOCK) * sizeof *recording->samples);
    assert_non_null(recording->samples);
    for (long got; (got = cw_audio_read(&in, recording->samples + recording->count)) > 0;) {
        recording->count += (size_t)got;
    }
    cw_audio_close(&in);
    return true;
}

static void send_setup(struct host *host, const char *prefix, const struct cw_setup *setup)
{
    char symbol[64];
    for (int i = 0; i < CW_PARAMS; i++) {
        snprintf(symbol, sizeof symbol, "%s%s", prefix, cw_param_info[i].symbol);
        host_set(host, symbol, (float)setup->value[i]);
    }
}

/* Loudness of the recording as the plugin renders it through a setup. */
static double rendered(struct host *host, const struct recording *recording, const struct cw_setup *setup, float *out)
{
    send_setup(host, "a_", setup);
    host_restart(host);
    host_run(host, recording->samples, out, recording->count, 1024);
    return loudness_of(out, recording->count, recording->rate);
}

static struct cw_setup pickup_setup(double henry, double cable)
{
    struct cw_setup setup;
    cw_setup_defaults(&setup);
    setup.value[CW_P_COILS] = CW_COILS_SERIES;
    setup.value[CW_P_INDUCTANCE] = henry;
    setup.value[CW_P_CABLE_LENGTH] = cable;
    return setup;
}

/* Every kind, for a target, with or without a recorded-through setup. \return worst miss, dB */
static double check_promise(const struct recording *recording, double level, bool divided, float *out)
{
    static struct cw_split_answer answer;
    /* As loud as the recording, so that the gate at -70 LUFS drops the blocks that it drops there. */
    struct cw_setup candidate = pickup_setup(4.6, 5), through = pickup_setup(3.1, 3);
    candidate.value[CW_P_SENSITIVITY] = -6.5;
    through.value[CW_P_COILS] = CW_COILS_ONE;
    struct cw_transfer recorded = circuit_of(&through);
    struct cw_take take;
    assert_true(cw_take_load(&take, recording->path, 1, divided ? &recorded : NULL));
    struct cw_split_wish wish = {.level = level,
                                 .measure = {.kind = CW_MEASURE_TAKE, .take = &take},
                                 .kinds = (1u << CW_SPLIT_KINDS) - 1,
                                 .coils = 1,
                                 .mains = 50};
    cw_split_solve(&candidate, &wish, &answer);
    struct host *host = host_new(recording->rate);
    assert_non_null(host);
    host_set(host, "listen", CW_LISTEN_A);
    host_set(host, "undo_recording", divided);
    send_setup(host, "rec_", &through);
    double full = rendered(host, recording, &answer.full, out), worst = 0;
    assert_true(answer.count >= CW_SPLIT_KINDS);
    for (int i = 0; i < answer.count; i++) {
        double drop = rendered(host, recording, &answer.solution[i].rounded, out) - full;
        within(drop, answer.solution[i].after.level, 0.2, "loudness drop as rendered");
        worst = worse(worst, fabs(drop - answer.solution[i].after.level));
        assert_true(answer.solution[i].reached);
        drop = rendered(host, recording, &answer.solution[i].exact, out) - full;
        within(drop, level, 0.2, "loudness drop before rounding");
    }
    host_free(host);
    cw_take_free(&take);
    return worst;
}

static void real_guitar_keeps_the_promise(void **state)
{
    (void)state;
    static const char *const names[] = {"guit_e_slide.flac", "guit_harmonics.flac", "guit_e_fifths.flac",
                                        "guit_em9.flac"};
    int checked = 0;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        struct recording recording;
        if (!read_recording(names[i], &recording)) {
            print_message("SKIPPED: no %s/%s, so its loudness was not compared\n", folder, names[i]);
            continue;
        }
        float *out = malloc(recording.count * sizeof *out);
        assert_non_null(out);
        double worst = fmax(check_promise(&recording, -2.5, true, out), check_promise(&recording, -3.5, false, out));
        print_message("%s: promised and rendered loudness differ by at most %.3f dB\n", names[i], worst);
        free(out);
        free(recording.samples);
        checked++;
    }
    if (!checked) {
        skip();
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_libebur128),
        cmocka_unit_test(recorded_is_divided_out),
        cmocka_unit_test(real_guitar_keeps_the_promise),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
