/* SPDX-License-Identifier: ISC */
/* The plugin as a host sees it: faults that plugins are reported for, one test each, and the
 * plain promises: nothing changes until a control is turned, and the level is the circuit's. */
#include <fcntl.h>
#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "denormals.h"
#include "figures.h"
#include "host.h"
#include "setup.h"
#include "spectrum.h"
#include "transfer.h"
#include "voice.h"
#include "within.h"

/* The least common multiple of 1152 and 8192: a whole number of blocks of every size tried. */
enum { N = 73728 };

static float noise[N], out[N], other[N];

static int make_noise(void **state)
{
    uint32_t seed = 20240;
    (void)state;
    for (int i = 0; i < N; i++) {
        noise[i] = (float)(host_random_unit(&seed) - 0.5);
    }
    return 0;
}

static void assert_same(const float *a, const float *b, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (memcmp(&a[i], &b[i], sizeof *a) != 0) {
            fail_msg("sample %zu: %.9g and %.9g", i, (double)a[i], (double)b[i]);
        }
    }
}

static void assert_finite(const float *x, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(x[i])) {
            fail_msg("sample %zu is %g", i, (double)x[i]);
        }
    }
}

/* Two coils, a resistor split, the tone down a little, a long cable; the recording through another. */
static void set_busy(struct host *host)
{
    static const struct {
        const char *symbol;
        float value;
    } values[] = {{"a_coils", 1},        {"a_split", 1},          {"a_split_by", 1},     {"a_split_resistor", 10},
                  {"a_inductance", 5.5}, {"a_tone", 7},           {"a_cable_length", 9}, {"rec_inductance", 2.5},
                  {"rec_resistance", 6}, {"rec_volume_pot", 250}, {"b_loss", 150},       {"b_coils", 2}};
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        host_set(host, values[i].symbol, values[i].value);
    }
}

static struct host *busy_host(double rate)
{
    struct host *host = host_new(rate);
    assert_non_null(host);
    set_busy(host);
    return host;
}

/* H of a setup by the circuit, in dB: the figure that the sound must have. */
static double setup_db(const struct host *host, enum cw_which which, double hz)
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    struct cw_transfer h;
    char symbol[64];
    for (int i = 0; i < CW_PARAMS; i++) {
        snprintf(symbol, sizeof symbol, "%s%s", cw_setup_prefix[which], cw_param_info[i].symbol);
        setup.value[i] = cw_param_clean(&cw_param_info[i], (double)host_get(host, symbol), cw_param_info[i].preset);
    }
    cw_coil_solve(&setup, &pickup);
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &h);
    return cw_transfer_db(&h, hz);
}

/* --- What a player expects ------------------------------------------------------------------ */

static void test_defaults_change_nothing(void **state)
{
    (void)state;
    struct host *host = host_new(48000);
    host_run(host, noise, out, N, 256);
    assert_same(noise, out, N);
    host_free(host);
}

static void test_as_recorded_is_bit_exact(void **state)
{
    (void)state;
    for (int undo = 0; undo < 2; undo++) {
        struct host *host = busy_host(44100);
        host_set(host, "listen", 0);
        host_set(host, "undo_recording", (float)undo);
        host_run(host, noise, out, N, 256);
        assert_same(noise, out, N);
        host_free(host);
    }
}

static void test_disabled_passes_through(void **state)
{
    (void)state;
    struct host *host = busy_host(48000);
    host_set(host, "enabled", 0);
    host_set(host, "trim", -6);
    host_run(host, noise, out, N, 256);
    assert_same(noise, out, N);
    host_free(host);
}

static void test_candidate_as_recorded_is_flat(void **state)
{
    (void)state;
    static const double rates[] = {44100, 48000, 96000};
    uint32_t seed = 77;
    for (int trial = 0; trial < 24; trial++) {
        const double rate = rates[trial % 3];
        struct host *host = host_new(rate);
        char symbol[64];
        for (int i = 0; i < CW_PARAMS; i++) {
            const struct cw_param_info *info = &cw_param_info[i];
            double value = info->minimum + (info->maximum - info->minimum) * host_random_unit(&seed);
            if (i == CW_P_VOLUME) {
                value = 1.0 + 0.9 * value; /* at 0 there is nothing to hear */
            }
            for (int which = CW_REC; which <= CW_A; which++) {
                snprintf(symbol, sizeof symbol, "%s%s", cw_setup_prefix[which], info->symbol);
                host_set(host, symbol, (float)value);
            }
        }
        host_impulse(host, out, 32768);
        for (double hz = 20; hz <= 20000; hz *= 1.3) {
            const double db = spectrum_db(out, 32768, hz, rate);
            if (!(fabs(db) < 0.001)) {
                fail_msg("trial %d: %.5f dB at %.0f Hz", trial, db, hz);
            }
        }
        host_free(host);
    }
}

/* The reference is the circuit's own transfer function, itself checked against ngspice. */
static void test_tone_at_the_level_of_the_circuit(void **state)
{
    (void)state;
    static const double rates[] = {44100, 48000, 96000, 192000};
    for (int trial = 0; trial < 8; trial++) {
        const double rate = rates[trial % 4];
        const bool undo = trial < 4;
        const size_t second = (size_t)rate, n = 2 * second;
        float *tone = calloc(n, sizeof *tone), *heard = calloc(n, sizeof *heard);
        const double amplitude = pow(10.0, -18.0 / 20.0);
        for (size_t i = 0; i < n; i++) {
            tone[i] = (float)(amplitude * sin(2.0 * CW_PI * 997.0 * (double)i / rate));
        }
        struct host *host = busy_host(rate);
        host_set(host, "undo_recording", undo);
        host_run(host, tone, heard, n, 512);
        const double db = 20.0 * log10(spectrum_amplitude(heard + second, second, 997.0, rate));
        const double expected = -18.0 + setup_db(host, CW_A, 997.0) - (undo ? setup_db(host, CW_REC, 997.0) : 0.0);
        if (!(fabs(db - expected) < 0.01)) {
            fail_msg("at %.0f Hz, undo %d: %.4f dB, expected %.4f", rate, undo, db, expected);
        }
        host_free(host);
        free(tone);
        free(heard);
    }
}

static void test_response_at_every_rate(void **state)
{
    (void)state;
    static const double rates[] = {8000,  11025, 16000, 22050,  32000,  44100,
                                   48000, 88200, 96000, 176400, 192000, 384000};
    for (size_t r = 0; r < sizeof rates / sizeof rates[0]; r++) {
        const double rate = rates[r];
        const size_t n = rate > 100000 ? 2 * N : N;
        const double top = fmin(20000.0, 0.45 * rate);
        float *response = calloc(n, sizeof *response);
        struct host *host = busy_host(rate);
        host_impulse(host, response, n);
        for (double hz = 20; hz < top; hz *= 1.1) {
            const double db = spectrum_db(response, n, hz, rate);
            const double expected = setup_db(host, CW_A, hz) - setup_db(host, CW_REC, hz);
            if (!(fabs(db - expected) < (rate < 44100 ? 0.1 : 0.02))) {
                fail_msg("at %.0f Hz: %.4f dB at %.0f Hz, expected %.4f", rate, db, hz, expected);
            }
        }
        host_free(host);
        free(response);
    }
}

static void test_first_values_hold_from_the_first_sample(void **state)
{
    (void)state;
    struct host *fresh = busy_host(48000);
    host_run(fresh, noise, out, N, 64);
    struct host *used = host_new(48000);
    host_run(used, noise, other, N, 64); /* at the defaults, which are something else */
    host_deactivate(used);
    set_busy(used);
    host_activate(used);
    host_run(used, noise, other, N, 64);
    assert_same(out, other, N);
    /* and the response is the candidate's from the very start, not a fade towards it */
    host_impulse(fresh, out, N);
    assert_true(fabs(spectrum_db(out, N, 3000, 48000) - setup_db(fresh, CW_A, 3000) + setup_db(fresh, CW_REC, 3000)) <
                0.02);
    host_free(fresh);
    host_free(used);
}

/* Every meter shows the figure of the setup that stands in the controls. */
static void assert_meters(const struct host *host)
{
    char symbol[64];
    for (int which = 0; which < CW_SETUPS; which++) {
        struct cw_setup setup;
        struct cw_figures figures;
        for (int i = 0; i < CW_PARAMS; i++) {
            snprintf(symbol, sizeof symbol, "%s%s", cw_setup_prefix[which], cw_param_info[i].symbol);
            setup.value[i] = (double)host_get(host, symbol);
        }
        cw_figures_of(&setup, 50.0, &figures);
        for (int i = 0; i < CW_METERS; i++) {
            snprintf(symbol, sizeof symbol, "%s%s", cw_setup_prefix[which], cw_meter_info[i].symbol);
            const double shown = (double)host_get(host, symbol);
            if (!(fabs(shown - figures.value[i]) <= 1e-6 * fmax(1.0, fabs(figures.value[i])))) {
                fail_msg("%s: %g, expected %g", symbol, shown, figures.value[i]);
            }
        }
    }
    assert_true(host_get(host, "rec_resonance") > 1000.0f);
    assert_true(host_get(host, "a_level") < -0.5f);
}

static void test_meters_are_the_figures(void **state)
{
    (void)state;
    struct host *host = busy_host(48000);
    host_run(host, noise, out, 64, 64);
    assert_meters(host);
    host_free(host);
    host = busy_host(48000);
    host_run(host, noise, out, 0, 0); /* a host may ask for them before there is any audio */
    assert_meters(host);
    host_free(host);
}

/* --- Blocks and buffers --------------------------------------------------------------------- */

/* The controls change in the middle, so that fades are cut by block borders as well. */
/* A winding with the factors of one real coil, and with turns that do not fit: what the meters say is
 * what a winding of the turns that fit has, times the factors. */
static void test_calibration_and_full_former(void **state)
{
    (void)state;
    struct host *host = host_new(48000);
    host_set(host, "a_coil_from", CW_FROM_WINDING);
    host_set(host, "a_turns", 9000);
    host_run(host, noise, out, 2048, 256);
    double fill = (double)host_get(host, "a_fill"), henry = (double)host_get(host, "a_lead_inductance");
    double kohm = (double)host_get(host, "a_dc_resistance");
    assert_true(fill > 105);
    struct cw_setup setup;
    struct cw_winding w;
    cw_setup_defaults(&setup);
    setup.value[CW_P_TURNS] = 9000;
    cw_coil_winding(&setup, 0, &w);
    within(fill, 100 * w.fill, 0.01, "fill asked for, %");
    host_set(host, "a_turns", (float)w.fits);
    host_run(host, noise, out, 2048, 256);
    assert_true((double)host_get(host, "a_fill") <= 100);
    within((double)host_get(host, "a_lead_inductance"), henry, 1e-6, "clamped alike, H");
    within((double)host_get(host, "a_dc_resistance"), kohm, 1e-6, "clamped alike, kohm");
    host_set(host, "a_resistance_cal", 104);
    host_set(host, "a_inductance_cal", 93);
    host_run(host, noise, out, 2048, 256);
    within((double)host_get(host, "a_dc_resistance") / kohm, 1.04, 1e-5, "calibrated resistance");
    within((double)host_get(host, "a_lead_inductance") / henry, 0.93, 1e-5, "calibrated inductance");
    host_free(host);
}

static void run_with_change(struct host *host, const float *in, float *to, size_t block, uint32_t seed)
{
    const size_t half = N / 2;
    host_set(host, "a_cable_length", 9);
    host_set(host, "listen", 1);
    for (int part = 0; part < 2; part++) {
        if (part) {
            host_set(host, "a_cable_length", 2);
            host_set(host, "listen", 2);
        }
        if (seed) {
            host_run_random(host, in + (size_t)part * half, to + (size_t)part * half, half, 3000, seed);
        } else {
            host_run(host, in + (size_t)part * half, to + (size_t)part * half, half, block);
        }
    }
}

static void test_block_size_does_not_matter(void **state)
{
    (void)state;
    static const size_t blocks[] = {1, 7, 64, 1152, 8192};
    struct host *host = busy_host(48000);
    run_with_change(host, noise, out, 0, 0);
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++) {
        host_restart(host);
        run_with_change(host, noise, other, blocks[i], 0);
        assert_same(out, other, N);
    }
    for (uint32_t seed = 1; seed <= 5; seed++) {
        host_restart(host);
        run_with_change(host, noise, other, 0, seed);
        assert_same(out, other, N);
    }
    host_free(host);
}

/* A change that comes between two looks at the controls, in calls that cut there and elsewhere. */
static void test_a_change_between_looks_counts_alike(void **state)
{
    (void)state;
    static const size_t blocks[] = {1, 7, 11, 13, 77, 91, 143};
    const size_t from = 1001; /* a multiple of each */
    struct host *host = busy_host(48000);
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++) {
        float *to = i == 0 ? out : other;
        host_restart(host);
        host_set(host, "a_cable_length", 9);
        host_run(host, noise, to, from, blocks[i]);
        host_set(host, "a_cable_length", 2);
        host_run(host, noise + from, to + from, N - from, i % 2 ? 0 : blocks[i]);
        host_set(host, "a_cable_length", 9);
        assert_same(out, to, N);
    }
    host_free(host);
}

/* The noise at 48 kHz, with a longer cable from a sample on, in calls that are cut there. */
static void play_with_change_at(size_t from, float *played)
{
    struct host *host = busy_host(48000);
    host_run(host, noise, played, from, 7);
    host_set(host, "a_cable_length", 2);
    host_run(host, noise + from, played + from, N - from, 7);
    host_free(host);
}

/* A change waits for the next look, whose place is counted from the activation on. */
static void test_looks_are_64_samples_apart(void **state)
{
    (void)state;
    play_with_change_at(1024, out);
    play_with_change_at(961, other);
    assert_same(out, other, N);
    play_with_change_at(1025, other);
    assert_memory_not_equal(out, other, sizeof other);
}

/* What is activated anew between two looks begins with its controls as they are. */
static void test_restart_between_looks(void **state)
{
    (void)state;
    struct host *host = busy_host(48000), *fresh = busy_host(48000);
    host_run(host, noise, other, 1001, 7);
    host_set(host, "a_cable_length", 2);
    host_set(fresh, "a_cable_length", 2);
    host_restart(host);
    host_run(host, noise, other, N, 7);
    host_run(fresh, noise, out, N, 7);
    assert_same(out, other, N);
    host_free(fresh);
    host_free(host);
}

/* Plays the noise, with a longer cable and coils further apart from a sample on where there is one. */
static void play_with_longer_cable(double rate, int from, float *played)
{
    struct host *host = busy_host(rate);
    host_set(host, "string_places", 1);
    host_set(host, "boost_limit", 0);
    host_set(host, "a_coils", CW_COILS_SERIES);
    host_run(host, noise, played, (size_t)from, 16);
    host_set(host, "a_coil_distance", 25);
    host_set(host, "a_cable_length", 9.5f);
    host_run(host, noise + from, played + from, (size_t)(N - from), 16);
    host_free(host);
}

/* From a change to the first sample that tells of it, with all the work that there can be. */
static void test_a_change_is_heard_soon(void **state)
{
    (void)state;
    static const double rates[] = {8000, 22050, 44100, 48000, 96000, 192000, 384000};
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        const int from = 8193; /* just after the plugin has looked at its controls */
        int first = from;
        play_with_longer_cable(rates[i], from, out);
        play_with_longer_cable(rates[i], N, other);
        assert_same(out, other, (size_t)from);
        while (first < N && out[first] == other[first]) {
            first++;
        }
        double ms = 1e3 * (first - from) / rates[i];
        print_message("%.0f Hz: a change is heard after %.1f ms\n", rates[i], ms);
        assert_true(ms > 0.0 && ms <= 10.0);
    }
}

static void test_run_of_nothing(void **state)
{
    (void)state;
    struct host *plain = busy_host(48000), *host = host_new(48000);
    host_run(plain, noise, out, N, 512);
    host_run(host, noise, other, 0, 0); /* first of all, with other values */
    set_busy(host);
    host_run(host, noise, other, 0, 0);
    for (size_t at = 0; at < N; at += 512) {
        host_run(host, noise + at, other + at, 512, 512);
        host_run(host, noise, other, 0, 0);
    }
    assert_same(out, other, N);
    host_free(plain);
    host_free(host);
}

static void test_in_place(void **state)
{
    (void)state;
    struct host *host = busy_host(48000);
    run_with_change(host, noise, out, 480, 0);
    host_restart(host);
    memcpy(other, noise, sizeof other);
    run_with_change(host, other, other, 480, 0);
    assert_same(out, other, N);
    host_free(host);
}

static void test_activation_repeats(void **state)
{
    (void)state;
    struct host *host = busy_host(48000);
    host_run(host, noise, out, N, 256);
    for (int i = 0; i < 5; i++) {
        host_restart(host);
        host_run(host, noise, other, N, 256);
        assert_same(out, other, N);
    }
    host_free(host);
}

static void test_instances_are_separate(void **state)
{
    (void)state;
    static float out_two[N], solo[N];
    struct host *one = busy_host(48000), *two = host_new(48000);
    host_set(two, "a_resistance", 3);
    for (size_t at = 0; at < N; at += 1024) {
        host_run(one, noise + at, out + at, 1024, 256);
        host_run(two, noise + at, out_two + at, 1024, 128);
    }
    host_restart(one);
    host_run(one, noise, solo, N, 256);
    assert_same(out, solo, N);
    host_restart(two);
    host_run(two, noise, solo, N, 128);
    assert_same(out_two, solo, N);
    host_free(one);
    host_free(two);
}

/* --- Bad input ------------------------------------------------------------------------------ */

static void test_bad_audio_counts_as_silence(void **state)
{
    (void)state;
    static float bad[N], silent[N];
    static const float values[] = {NAN, INFINITY, -INFINITY};
    memcpy(bad, noise, sizeof bad);
    memcpy(silent, noise, sizeof silent);
    for (int i = 0; i < 300; i++) {
        const size_t at = 5000 + (size_t)(i * 7);
        bad[at] = values[i % 3];
        silent[at] = 0.0f;
    }
    for (int listen = 0; listen < 3; listen++) {
        struct host *host = busy_host(48000);
        host_set(host, "listen", (float)listen);
        host_run(host, bad, out, N, 256);
        host_restart(host);
        host_run(host, silent, other, N, 256);
        assert_finite(out, N);
        assert_same(out, other, N);
        host_free(host);
    }
}

static void test_loudest_audio_leaves_no_trace(void **state)
{
    (void)state;
    static float loud[N];
    struct host *host = busy_host(48000);
    for (int i = 0; i < N; i++) {
        loud[i] = i < 64 ? (i & 1 ? -FLT_MAX : FLT_MAX) : 0.0f;
    }
    host_run(host, loud, out, N, 256);
    for (int i = 0; i < N; i++) {
        assert_true(isnan(out[i]) == 0);
    }
    host_restart(host);
    host_run(host, noise, other, N, 256);
    assert_finite(other, N);
    host_free(host);
}

/* Every control input, one after the other: out of range is the end of the range, NaN is the
 * value before. */
static void test_bad_control_values(void **state)
{
    (void)state;
    enum { SHORT = 2048 };
    struct host *bad = busy_host(48000), *good = busy_host(48000);
    for (size_t port = 0; port < host_ports(bad); port++) {
        if (!host_is_control_input(bad, port)) {
            continue;
        }
        const char *symbol = host_symbol(bad, port);
        float minimum, maximum, preset;
        host_range(bad, port, &minimum, &maximum, &preset);
        const float before = host_get(bad, symbol);
        const struct {
            float sent, meant;
        } cases[] = {{NAN, before},        {1e38f, maximum}, {-1e38f, minimum}, {INFINITY, maximum},
                     {-INFINITY, minimum}, {NAN, minimum},   {before, before}};
        for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
            host_set(bad, symbol, cases[i].sent);
            host_set(good, symbol, cases[i].meant);
            host_run(bad, noise, out, SHORT, 512);
            host_run(good, noise, other, SHORT, 512);
            assert_finite(out, SHORT);
            if (memcmp(out, other, SHORT * sizeof *out) != 0) {
                fail_msg("%s: %g does not sound like %g", symbol, (double)cases[i].sent, (double)cases[i].meant);
            }
        }
    }
    host_free(bad);
    host_free(good);
}

static void test_everything_bad_at_once(void **state)
{
    (void)state;
    static const float values[] = {NAN, 1e38f, -1e38f, FLT_MIN / 4, INFINITY, 0.0f};
    struct host *host = host_new(48000);
    uint32_t seed = 5;
    for (int round = 0; round < 60; round++) {
        for (size_t port = 0; port < host_ports(host); port++) {
            if (host_is_control_input(host, port)) {
                host_set(host, host_symbol(host, port), values[host_random(&seed) % 6]);
            }
        }
        host_run(host, noise, out, 1024, 100);
        assert_finite(out, 1024);
    }
    host_defaults(host);
    host_run(host, noise, out, N, 256);
    assert_same(noise + N / 2, out + N / 2, N / 2);
    host_free(host);
}

static void test_ports_connected_to_nothing(void **state)
{
    (void)state;
    struct host *host = busy_host(48000);
    LilvInstance *instance = host_instance(host);
    for (uint32_t port = 0; port < host_ports(host) + 3; port++) {
        lilv_instance_connect_port(instance, port, NULL);
    }
    lilv_instance_run(instance, 64); /* no input, no output, no control: nothing to do, no fall */
    lilv_instance_connect_port(instance, CW_PORT_OUT, out);
    memset(out, 0x7f, sizeof out);
    lilv_instance_run(instance, 64); /* no input is silence */
    for (int i = 0; i < 64; i++) {
        assert_true(out[i] == 0.0f);
    }
    host_run(host, noise, other, 1024, 256); /* audio again, controls still nothing: the values stay */
    assert_finite(other, 1024);
    assert_true(spectrum_amplitude(other, 1024, 1000, 48000) > 0.0);
    host_free(host);
}

/* One control input after the other leaves the row that a host keeps them in, after the first run; what it
 * holds in its new place counts from then on. */
static void test_inputs_that_move(void **state)
{
    (void)state;
    size_t heard = 0;
    struct host *still = host_new(48000);
    for (uint32_t port = 0; port < host_ports(still); port++) {
        if (!host_is_control_input(still, port)) {
            continue;
        }
        float low, high, preset, alone;
        host_range(still, port, &low, &high, &preset);
        struct host *there = busy_host(48000), *moved = busy_host(48000);
        alone = host_get(there, host_symbol(there, port)) == low ? high : low;
        host_run(there, noise, out, 64, 64);
        host_run(moved, noise, out, 64, 64);
        host_set(there, host_symbol(there, port), alone);
        lilv_instance_connect_port(host_instance(moved), port, &alone);
        host_run(there, noise, out, 2048, 64);
        heard += memcmp(out, noise, 2048 * sizeof *out) != 0;
        host_run(moved, noise, other, 2048, 64);
        assert_same(out, other, 2048);
        host_free(there);
        host_free(moved);
    }
    host_free(still);
    assert_true(heard > 50);
}

static void test_meters_that_move(void **state)
{
    (void)state;
    struct host *host = busy_host(48000);
    host_run(host, noise, out, 64, 64);
    for (uint32_t port = 0; port < host_ports(host); port++) {
        if (host_is_control_output(host, port)) {
            float alone = NAN;
            lilv_instance_connect_port(host_instance(host), port, &alone);
            host_run(host, noise, out, 64, 64);
            assert_true(alone == host_get(host, host_symbol(host, port))); /* the figure, as written there before */
            lilv_instance_connect_port(host_instance(host), port, NULL);
        }
    }
    host_free(host);
}

static void test_activate_touches_no_port(void **state)
{
    (void)state;
    const int zero = open("/dev/zero", O_RDWR);
    void *forbidden = mmap(NULL, 4096, PROT_NONE, MAP_PRIVATE, zero, 0);
    assert_true(forbidden != MAP_FAILED);
    struct host *host = host_new_inactive(48000);
    for (uint32_t port = 0; port < host_ports(host); port++) {
        lilv_instance_connect_port(host_instance(host), port, forbidden);
    }
    host_activate(host);
    host_deactivate(host);
    host_activate(host);
    host_free(host); /* deactivates and cleans up, still without a look at the ports */
    munmap(forbidden, 4096);
    close(zero);
}

static void test_rates_that_are_none(void **state)
{
    (void)state;
    static const double bad[] = {0.0, 1.0, 7999.0, 384001.0, 768000.0, -48000.0, NAN, INFINITY, -INFINITY};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct host *host = host_new(bad[i]);
        assert_null(host);
    }
    static const double odd[] = {8000.0, 8000.5, 383999.0, 384000.0};
    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
        struct host *host = busy_host(odd[i]);
        host_run(host, noise, out, 4096, 64);
        assert_finite(out, 4096);
        host_free(host);
    }
}

/* --- Denormal numbers ----------------------------------------------------------------------- */

static double seconds_for(struct host *host, const float *in, int repeats)
{
    struct timespec start, end;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &start);
    for (int i = 0; i < repeats; i++) {
        host_run(host, in, out, N, 64);
    }
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &end);
    return (double)(end.tv_sec - start.tv_sec) + 1e-9 * (double)(end.tv_nsec - start.tv_nsec);
}

/* The host's mode as a processor starts: denormals are numbers. */
static void denormals_on(void)
{
#if defined(__SSE2__)
    _mm_setcsr(_mm_getcsr() & ~0x8040u);
#endif
}

static void test_silence_after_sound_is_not_slow(void **state)
{
    (void)state;
    static float silence[N];
    struct host *host = busy_host(48000);
    denormals_on();
    const double sound = seconds_for(host, noise, 10);
    host_run(host, silence, out, N, 64); /* the decay itself */
    for (int i = 0; i < N; i++) {
        if (out[i] != 0.0f && !isnormal(out[i])) {
            fail_msg("sample %d of the decay is %g", i, (double)out[i]);
        }
    }
    host_run(host, noise, out, N, 64);
    const double after = seconds_for(host, silence, 10);
    if (!(after < 3.0 * sound + 0.01)) {
        fail_msg("%g s in silence, %g s with sound", after, sound);
    }
    host_free(host);
}

/* Only where the mode can be read here; elsewhere it is the wrapper's own business. */
static void test_control_word_is_restored(void **state)
{
    (void)state;
#if defined(__SSE2__)
    static const uint32_t modes[] = {0x1f80, 0x1fc0, 0x9f80, 0x9fc0, 0x3f80}; /* the last rounds down */
    struct host *host = busy_host(48000);
    const uint32_t ours = _mm_getcsr();
    for (size_t i = 0; i < sizeof modes / sizeof modes[0]; i++) {
        _mm_setcsr(modes[i]);
        host_run(host, noise, out, 4096, 64);
        host_run(host, noise, out, 0, 0);
        const uint32_t left = _mm_getcsr();
        _mm_setcsr(ours);
        assert_int_equal(left & ~0x3fu, modes[i]); /* bits 0 to 5 are flags of past operations, not a mode */
    }
    host_free(host);
#else
    skip();
#endif
}

/* Whatever the host's mode is, and however its calls cut: sound, its decay down to nothing, samples that are hardly
 * any. */
static void test_denormals_sound_alike(void **state)
{
    (void)state;
#if defined(__SSE2__)
    static float fading[N];
    static const size_t blocks[] = {16, 64, 100, 1024};
    struct host *host = busy_host(48000);
    const uint32_t ours = _mm_getcsr();
    for (int i = 0; i < N; i++) {
        fading[i] = (float)(pow(10.0, -i / 600.0) * (double)noise[i]);
    }
    for (int i = 0; i < 8; i++) {
        _mm_setcsr(i % 2 ? 0x9fc0 : 0x1f80);
        host_restart(host);
        host_run(host, fading, i == 0 ? out : other, N, blocks[i / 2]);
        _mm_setcsr(ours);
        assert_same(out, i == 0 ? out : other, N);
    }
    host_free(host);
#else
    skip();
#endif
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_defaults_change_nothing),
        cmocka_unit_test(test_as_recorded_is_bit_exact),
        cmocka_unit_test(test_disabled_passes_through),
        cmocka_unit_test(test_candidate_as_recorded_is_flat),
        cmocka_unit_test(test_tone_at_the_level_of_the_circuit),
        cmocka_unit_test(test_response_at_every_rate),
        cmocka_unit_test(test_first_values_hold_from_the_first_sample),
        cmocka_unit_test(test_meters_are_the_figures),
        cmocka_unit_test(test_calibration_and_full_former),
        cmocka_unit_test(test_block_size_does_not_matter),
        cmocka_unit_test(test_a_change_between_looks_counts_alike),
        cmocka_unit_test(test_looks_are_64_samples_apart),
        cmocka_unit_test(test_restart_between_looks),
        cmocka_unit_test(test_a_change_is_heard_soon),
        cmocka_unit_test(test_run_of_nothing),
        cmocka_unit_test(test_in_place),
        cmocka_unit_test(test_activation_repeats),
        cmocka_unit_test(test_instances_are_separate),
        cmocka_unit_test(test_bad_audio_counts_as_silence),
        cmocka_unit_test(test_loudest_audio_leaves_no_trace),
        cmocka_unit_test(test_bad_control_values),
        cmocka_unit_test(test_everything_bad_at_once),
        cmocka_unit_test(test_ports_connected_to_nothing),
        cmocka_unit_test(test_inputs_that_move),
        cmocka_unit_test(test_meters_that_move),
        cmocka_unit_test(test_activate_touches_no_port),
        cmocka_unit_test(test_rates_that_are_none),
        cmocka_unit_test(test_silence_after_sound_is_not_slow),
        cmocka_unit_test(test_control_word_is_restored),
        cmocka_unit_test(test_denormals_sound_alike),
    };
    return cmocka_run_group_tests(tests, make_noise, NULL);
}
