/* SPDX-License-Identifier: ISC */
/* Audio files: every usual kind read right, every bad one refused in one line, what is written is
 * what was given. Files are made and judged by libsndfile, or byte by byte here. */
#define _XOPEN_SOURCE 700 /* mkdtemp() */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>
#include <sndfile.h>

#include "audio.h"

enum { FRAMES = 10007 }; /* no multiple of the block */

static char directory[] = "/tmp/coilwright-audio-XXXXXX";
static char path[256], message[1024];

static const char *named(const char *name)
{
    snprintf(path, sizeof path, "%s/%s", directory, name);
    return path;
}

static int set_up(void **state)
{
    (void)state;
    return mkdtemp(directory) ? 0 : 1;
}

static int tear_down(void **state)
{
    (void)state;
    char command[300];
    snprintf(command, sizeof command, "rm -rf '%s'", directory);
    return system(command);
}

/* What is written to standard error meanwhile goes to `message`. */
static int saved_error;
static FILE *caught;
static void catch_error(void)
{
    fflush(stderr);
    saved_error = dup(2);
    caught = tmpfile();
    assert_non_null(caught);
    dup2(fileno(caught), 2);
}
static void release_error(void)
{
    fflush(stderr);
    dup2(saved_error, 2);
    close(saved_error);
    rewind(caught);
    message[fread(message, 1, sizeof message - 1, caught)] = '\0';
    fclose(caught);
}

/* One line that names the file and holds the words. */
static void assert_said(const char *words)
{
    size_t length = strlen(message);
    if (length == 0 || strchr(message, '\n') != message + length - 1 || !strstr(message, path) ||
        !strstr(message, words)) {
        fail_msg("expected one line with '%s' and '%s', found '%s'", path, words, message);
    }
}

/* Sample of a channel: whole steps of 16 bits, so that every kind of file holds it exactly. */
static float sample(long i, int channel) { return (float)(((i * 37 + channel * 1001) % 20000) - 10000) / 32768.0f; }

static void make(const char *name, int format, int rate, int channels)
{
    SF_INFO info = {.samplerate = rate, .channels = channels, .format = format};
    SNDFILE *file = sf_open(named(name), SFM_WRITE, &info);
    assert_non_null(file);
    for (long i = 0; i < FRAMES; i++) {
        float frame[8];
        for (int c = 0; c < channels; c++) {
            frame[c] = sample(i, c);
        }
        int whole[8];
        for (int c = 0; c < channels; c++) {
            whole[c] = (int)lrintf(frame[c] * 32768.0f) * 65536;
        }
        bool is_float =
            (format & SF_FORMAT_SUBMASK) == SF_FORMAT_FLOAT || (format & SF_FORMAT_SUBMASK) == SF_FORMAT_DOUBLE;
        assert_int_equal(is_float ? sf_writef_float(file, frame, 1) : sf_writef_int(file, whole, 1), 1);
    }
    sf_close(file);
}

static long read_all(struct cw_audio_in *in, float *out)
{
    long total = 0;
    for (long n; (n = cw_audio_read(in, out + total)) != 0; total += n) {
        if (n < 0) {
            return -1;
        }
    }
    return total;
}

static void every_kind_reads_exactly(void **state)
{
    (void)state;
    static const struct kind {
        int format, bits;
    } kinds[] = {
        {SF_FORMAT_WAV | SF_FORMAT_PCM_16, 16},  {SF_FORMAT_WAV | SF_FORMAT_PCM_24, 24},
        {SF_FORMAT_WAV | SF_FORMAT_PCM_32, 32},  {SF_FORMAT_WAV | SF_FORMAT_FLOAT, 0},
        {SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 0},   {SF_FORMAT_WAVEX | SF_FORMAT_PCM_24, 24},
        {SF_FORMAT_RF64 | SF_FORMAT_PCM_24, 24}, {SF_FORMAT_W64 | SF_FORMAT_FLOAT, 0},
        {SF_FORMAT_AIFF | SF_FORMAT_PCM_16, 16}, {SF_FORMAT_AIFF | SF_FORMAT_PCM_24, 24},
        {SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 16}, {SF_FORMAT_FLAC | SF_FORMAT_PCM_24, 24},
    };
    static const int rates[] = {8000, 44100, 48000, 96000, 192000, 384000};
    static float out[FRAMES + CW_AUDIO_BLOCK];
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        for (size_t r = 0; r < sizeof rates / sizeof rates[0]; r++) {
            make("kind", kinds[k].format, rates[r], 1);
            struct cw_audio_in in;
            assert_true(cw_audio_open(&in, path, 0));
            assert_int_equal(in.rate, rates[r]);
            assert_int_equal(in.bits, kinds[k].bits);
            assert_int_equal(read_all(&in, out), FRAMES);
            for (long i = 0; i < FRAMES; i++) {
                assert_true(out[i] == sample(i, 0));
            }
            cw_audio_close(&in);
        }
    }
}

static void stereo_needs_a_channel(void **state)
{
    (void)state;
    static float out[FRAMES + CW_AUDIO_BLOCK];
    struct cw_audio_in in;
    make("stereo.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16, 48000, 2);
    catch_error();
    bool opened = cw_audio_open(&in, path, 0);
    release_error();
    assert_false(opened);
    assert_said("found 2 channels (--channel chooses one)");
    catch_error();
    opened = cw_audio_open(&in, path, 3);
    release_error();
    assert_false(opened);
    assert_said("a channel from 1 to 2");
    for (int channel = 1; channel <= 2; channel++) {
        assert_true(cw_audio_open(&in, path, channel));
        assert_int_equal(read_all(&in, out), FRAMES);
        for (long i = 0; i < FRAMES; i++) {
            assert_true(out[i] == sample(i, channel - 1));
        }
        cw_audio_close(&in);
    }
}

/* A WAV file byte by byte. */
static void make_bytes(const char *name, uint32_t rate, uint16_t channels, uint16_t bits, uint16_t kind,
                       const void *data, size_t size, uint32_t claimed)
{
    FILE *file = fopen(named(name), "wb");
    assert_non_null(file);
    uint32_t width = (uint32_t)channels * bits / 8, riff = 36 + claimed, head = 16, bytes = rate * width;
    uint16_t align = (uint16_t)width;
    fwrite("RIFF", 1, 4, file);
    fwrite(&riff, 4, 1, file);
    fwrite("WAVEfmt ", 1, 8, file);
    fwrite(&head, 4, 1, file);
    fwrite(&kind, 2, 1, file);
    fwrite(&channels, 2, 1, file);
    fwrite(&rate, 4, 1, file);
    fwrite(&bytes, 4, 1, file);
    fwrite(&align, 2, 1, file);
    fwrite(&bits, 2, 1, file);
    fwrite("data", 1, 4, file);
    fwrite(&claimed, 4, 1, file);
    fwrite(data, 1, size, file);
    fclose(file);
}

/* Open and read to the end; the message is caught. */
static bool readable(void)
{
    static float out[200000];
    struct cw_audio_in in;
    catch_error();
    bool good = cw_audio_open(&in, path, 0) && read_all(&in, out) >= 0;
    cw_audio_close(&in);
    release_error();
    return good;
}

/* Keep a share of a file. */
static void cut_to(double share)
{
    struct stat status;
    assert_int_equal(stat(path, &status), 0);
    assert_int_equal(truncate(path, (off_t)(share * (double)status.st_size)), 0);
}

static void bad_files_are_refused(void **state)
{
    (void)state;
    static const unsigned char zeros[4000];
    const uint16_t pcm = 1, alaw = 6;
    fclose(fopen(named("empty.wav"), "wb"));
    assert_false(readable());
    assert_said("found an empty file");
    named("missing.wav");
    assert_false(readable());
    assert_said("cannot read: No such file");
    snprintf(path, sizeof path, "%s", directory);
    assert_false(readable());
    assert_said("found a directory");
    snprintf(path, sizeof path, "/dev/zero");
    assert_false(readable());
    assert_said("expected an audio file");
    FILE *text = fopen(named("text.wav"), "w");
    fputs("not sound\n", text);
    fclose(text);
    assert_false(readable());
    assert_said("another kind of file");
    make_bytes("none.wav", 48000, 1, 16, pcm, zeros, 0, 0);
    assert_false(readable());
    assert_said("no samples");
    make_bytes("huge.wav", 48000, 1, 16, pcm, zeros, 1000, 4000000000u);
    assert_false(readable());
    assert_said("expected 4000000000 bytes of audio, found 1000");
    make_bytes("rate.wav", 4000000000u, 1, 16, pcm, zeros, 1000, 1000);
    assert_false(readable());
    assert_said("expected");
    make_bytes("slow.wav", 7999, 1, 16, pcm, zeros, 1000, 1000);
    assert_false(readable());
    assert_said("expected a sample rate from 8000 to 384000 Hz, found 7999");
    make_bytes("fast.wav", 768000, 1, 16, pcm, zeros, 1000, 1000);
    assert_false(readable());
    assert_said("found 768000");
    make_bytes("channels.wav", 48000, 60000, 16, pcm, zeros, 1000, 1000);
    assert_false(readable());
    assert_said("expected");
    make_bytes("law.wav", 48000, 1, 8, alaw, zeros, 1000, 1000);
    assert_false(readable());
    assert_said("whole-number or float samples");
}

static void files_cut_short_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int format;
    } kinds[] = {{"cut.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_24},
                 {"cut.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_16},
                 {"cut.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16}};
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        static const double shares[] = {0.99, 0.5, 0.1, 0.003};
        for (size_t s = 0; s < sizeof shares / sizeof shares[0]; s++) {
            make(kinds[k].name, kinds[k].format, 48000, 1);
            assert_true(readable());
            cut_to(shares[s]);
            assert_false(readable());
            assert_said("expected");
        }
    }
}

/* What a program writes into a pipe: it cannot know the size. */
static void unknown_size_is_read_to_the_end(void **state)
{
    (void)state;
    static const int16_t zeros[500];
    make_bytes("pipe.wav", 48000, 1, 16, 1, zeros, sizeof zeros, 0xffffffffu);
    assert_true(readable());
}

static void what_is_no_number_is_refused(void **state)
{
    (void)state;
    static float samples[9000];
    const float bad[] = {NAN, INFINITY, -INFINITY, 1.1e10f, -3e38f};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        memset(samples, 0, sizeof samples);
        samples[4000] = -2147483648.0f; /* 32 bits, written as they are */
        samples[5000] = bad[i];
        make_bytes("bad.wav", 48000, 1, 32, 3, samples, sizeof samples, sizeof samples);
        assert_false(readable());
        assert_said("at sample 5001");
    }
}

/* 24 bits go through the program without a change, and what would wrap is cut off. */
static void writes_what_was_given(void **state)
{
    (void)state;
    static const float edge[] = {0.0f, 1.0f / 8388608, -1.0f / 8388608, 8388607.0f / 8388608, -1.0f, 1.0f, 2.0f, -3.0f};
    static const int wanted[] = {0, 1, -1, 8388607, -8388608, 8388607, 8388607, -8388608};
    enum { N = sizeof edge / sizeof edge[0] };
    struct cw_audio_out out;
    assert_true(cw_audio_create(&out, named("edge.wav"), 44100, false, N));
    assert_true(cw_audio_write(&out, edge, N));
    assert_true(cw_audio_finish(&out));
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    int found[N];
    assert_non_null(file);
    assert_int_equal(info.samplerate, 44100);
    assert_int_equal(info.format, SF_FORMAT_WAV | SF_FORMAT_PCM_24);
    assert_int_equal(sf_read_int(file, found, N), N);
    sf_close(file);
    for (int i = 0; i < N; i++) {
        assert_int_equal(found[i], wanted[i] * 256);
    }
}

static void float_files_keep_what_passes_full_scale(void **state)
{
    (void)state;
    static const float given[] = {0.1f, 7.5f, -1e-30f};
    float found[3 + CW_AUDIO_BLOCK];
    struct cw_audio_out out;
    struct cw_audio_in in;
    assert_true(cw_audio_create(&out, named("float.wav"), 96000, true, 3));
    assert_true(cw_audio_write(&out, given, 3));
    assert_true(cw_audio_finish(&out));
    assert_true(cw_audio_open(&in, path, 0));
    assert_int_equal(read_all(&in, found), 3);
    cw_audio_close(&in);
    assert_memory_equal(given, found, sizeof given);
}

static void unwritable_place_is_said(void **state)
{
    (void)state;
    struct cw_audio_out out;
    named("none/there.wav");
    catch_error();
    bool made = cw_audio_create(&out, path, 48000, false, 1);
    release_error();
    assert_false(made);
    assert_said("cannot write");
}

static void full_disk_is_said(void **state)
{
    (void)state;
    static const float block[CW_AUDIO_BLOCK];
    struct cw_audio_out out;
    if (access("/dev/full", W_OK) != 0) {
        skip();
    }
    snprintf(path, sizeof path, "/dev/full");
    catch_error();
    bool good = cw_audio_create(&out, path, 48000, true, CW_AUDIO_BLOCK);
    for (int i = 0; good && i < 100; i++) {
        good = cw_audio_write(&out, block, CW_AUDIO_BLOCK);
    }
    good = good && cw_audio_finish(&out);
    cw_audio_drop(&out);
    release_error();
    assert_false(good);
    assert_said("cannot write");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_reads_exactly),        cmocka_unit_test(stereo_needs_a_channel),
        cmocka_unit_test(bad_files_are_refused),           cmocka_unit_test(files_cut_short_are_refused),
        cmocka_unit_test(unknown_size_is_read_to_the_end), cmocka_unit_test(what_is_no_number_is_refused),
        cmocka_unit_test(writes_what_was_given),           cmocka_unit_test(float_files_keep_what_passes_full_scale),
        cmocka_unit_test(unwritable_place_is_said),        cmocka_unit_test(full_disk_is_said),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
