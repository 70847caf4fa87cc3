/* SPDX-License-Identifier: ISC */
/* The same audio and the same controls through hosts that no one here wrote: each agrees with the
 * test host, sample for sample, within float rounding. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>
#include <sndfile.h>

#include "host.h"
#include "plugin_uri.h"
#include "within.h"

enum { N = 96000, RATE = 48000, TEXT = 8192 };

static const struct {
    const char *symbol;
    float value;
} controls[] = {{"a_coils", 1},         {"a_split", 1},          {"a_split_by", 1},     {"a_split_resistor", 10},
                {"a_inductance", 5.5f}, {"a_tone", 7.25f},       {"a_cable_length", 9}, {"rec_inductance", 2.5f},
                {"rec_resistance", 6},  {"rec_volume_pot", 250}, {"trim", -1.5f}};
enum { CONTROLS = sizeof controls / sizeof controls[0] };

static float input[N], expected[N], heard[2 * N];
static char folder[] = "/tmp/coilwright-hosts-XXXXXX";

static bool write_input(const char *path)
{
    SF_INFO info = {.samplerate = RATE, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    const bool done = file && sf_write_float(file, input, N) == N;
    sf_close(file);
    return done;
}

static int make_input(void **state)
{
    char path[TEXT];
    uint32_t seed = 4711;
    (void)state;
    for (int i = 0; i < N; i++) {
        const double decay = exp(-(double)(i % 24000) / 6000.0);
        input[i] = (float)(0.4 * decay * (host_random_unit(&seed) - 0.5) + 0.3 * decay * sin(0.02 * (i % 24000)));
    }
    struct host *host = host_new(RATE);
    for (int i = 0; i < CONTROLS; i++) {
        host_set(host, controls[i].symbol, controls[i].value);
    }
    host_run(host, input, expected, N, 256);
    host_free(host);
    if (!mkdtemp(folder)) {
        return 1;
    }
    snprintf(path, sizeof path, "%s/in.wav", folder);
    return write_input(path) ? 0 : 1;
}

static int remove_files(void **state)
{
    char command[TEXT];
    (void)state;
    snprintf(command, sizeof command, "rm -rf %s", folder);
    return system(command);
}

static void require(const char *program)
{
    char command[TEXT];
    snprintf(command, sizeof command, "command -v %s >/dev/null 2>&1", program);
    if (system(command) != 0) {
        print_message("%s is not installed\n", program);
        skip();
    }
}

/* Appends to a text of TEXT bytes. */
static void append(char *text, const char *format, ...)
{
    va_list arguments;
    const size_t used = strlen(text);
    va_start(arguments, format);
    vsnprintf(text + used, TEXT - used, format, arguments);
    va_end(arguments);
}

static void run(const char *command)
{
    char whole[TEXT + 128];
    snprintf(whole, sizeof whole, "(%s) >%s/log 2>&1 </dev/null", command, folder);
    const int status = system(whole);
    if (status != 0) {
        snprintf(whole, sizeof whole, "tail -n 20 %s/log", folder);
        if (system(whole) != 0) {
            print_message("no log\n");
        }
        fail_msg("status %d from: %s", WEXITSTATUS(status), command);
    }
}

/* out.wav, first channel; every host writes at least the input's length. */
static void read_output(void)
{
    char path[TEXT];
    SF_INFO info = {0};
    snprintf(path, sizeof path, "%s/out.wav", folder);
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    if (!file) {
        fail_msg("%s: %s", path, sf_strerror(NULL));
    }
    assert_int_equal(info.samplerate, RATE);
    float *frames = calloc((size_t)(info.frames * info.channels), sizeof *frames);
    assert_int_equal(sf_readf_float(file, frames, info.frames), info.frames);
    sf_close(file);
    if (info.frames < N || info.frames > 2 * N) {
        fail_msg("%d samples came out, %d went in", (int)info.frames, N);
    }
    for (sf_count_t i = 0; i < info.frames; i++) {
        heard[i] = frames[i * info.channels];
    }
    free(frames);
    assert_int_equal(remove(path), 0);
}

/* \param step of the host's file format; 0 for float files, where rounding is all that may differ */
static void compare(double step)
{
    double worst = 0.0, peak = 0.0;
    read_output();
    for (int i = 0; i < N; i++) {
        assert_true(isfinite(heard[i]));
        worst = worse(worst, fabs((double)heard[i] - (double)expected[i]));
        peak = fmax(peak, fabs((double)expected[i]));
    }
    print_message("largest difference %.3g at a peak of %.3g\n", worst, peak);
    assert_true(peak > 0.05);
    assert_true(worst <= fmax(step, 1.2e-7 * peak));
}

static void test_lv2apply(void **state)
{
    (void)state;
    char command[TEXT] = "";
    require("lv2apply");
    append(command, "lv2apply -i %s/in.wav -o %s/out.wav", folder, folder);
    for (int i = 0; i < CONTROLS; i++) {
        append(command, " -c %s %.9g", controls[i].symbol, (double)controls[i].value);
    }
    append(command, " " CW_PLUGIN_URI);
    run(command);
    compare(0.0);
}

static void test_lv2file(void **state)
{
    (void)state;
    char command[TEXT] = "";
    require("lv2file");
    append(command, "lv2file -i %s/in.wav -o %s/out.wav", folder, folder);
    for (int i = 0; i < CONTROLS; i++) {
        append(command, " -p %s:%.9g", controls[i].symbol, (double)controls[i].value);
    }
    append(command, " " CW_PLUGIN_URI);
    run(command);
    compare(0.0);
}

static void test_ffmpeg(void **state)
{
    (void)state;
    char command[TEXT] = "";
    require("ffmpeg");
    append(command, "ffmpeg -v error -y -i %s/in.wav -af 'lv2=p=urn\\\\:coilwright\\\\:voicing:c=", folder);
    for (int i = 0; i < CONTROLS; i++) {
        append(command, "%s%s=%.9g", i ? "|" : "", controls[i].symbol, (double)controls[i].value);
    }
    append(command, "' -c:a pcm_f32le %s/out.wav", folder);
    run(command);
    compare(0.0);
}

/* All control inputs by position. */
static void test_ecasound(void **state)
{
    (void)state;
    char command[TEXT] = "";
    require("ecasound");
    struct host *host = host_new(RATE);
    for (int i = 0; i < CONTROLS; i++) {
        host_set(host, controls[i].symbol, controls[i].value);
    }
    append(command, "ecasound -q -b:256 -f:f32_le,1,%d -i %s/in.wav -o %s/out.wav -elv2:" CW_PLUGIN_URI, RATE, folder,
           folder);
    for (size_t port = 0; port < host_ports(host); port++) {
        if (host_is_control_input(host, port)) {
            append(command, ",%.9g", (double)host_get(host, host_symbol(host, port)));
        }
    }
    host_free(host);
    run(command);
    compare(0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_lv2apply),
        cmocka_unit_test(test_lv2file),
        cmocka_unit_test(test_ffmpeg),
        cmocka_unit_test(test_ecasound),
    };
    return cmocka_run_group_tests(tests, make_input, remove_files);
}
