/* SPDX-License-Identifier: ISC */
/* What level match learns: the spectrum itself, against signals whose spectrum is known; and that real
 * playing is then equally loud through all, by the ebur128 filter of ffmpeg (EBU R 128, ITU-R BS.1770).
 *
 * The playing: the guitars of the package sonic-pi-samples (CC0), each played over and over. */
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
#include <sndfile.h>

#include "constants.h"
#include "host.h"
#include "learn.h"
#include "loudness.h"
#include "split_kind.h"
#include "within.h"

static struct cw_learn learner;

/* Let it hear some seconds of what `make` makes of a sample's number. */
static void hear(double rate, double seconds, double (*make)(double t))
{
    float x[CW_LEARN_STEP];
    cw_learn_init(&learner, rate);
    for (long at = 0; (double)at < seconds * rate; at += CW_LEARN_STEP) {
        for (int i = 0; i < CW_LEARN_STEP; i++) {
            x[i] = (float)make((double)(at + i) / rate);
        }
        cw_learn_step(&learner, x);
    }
}

static double tone_hz, amplitude = 0.1;
static double tone(double t) { return amplitude * sin(CW_TAU * tone_hz * t); }

/* Share of a band in all that was heard, by how loud it is with the others silent. */
static double share_of(int band)
{
    double power[CW_LOUDNESS_BANDS] = {0};
    power[band] = 1;
    return cw_learned_ratio(&learner.learned, power);
}

/* A tone in the middle of a band is in that band, at every rate. The lowest bands are narrower than a bin. */
static void a_tone_is_in_its_band(void **state)
{
    (void)state;
    static const double rates[] = {44100, 48000, 96000, 192000, 384000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        for (int band = 6; band < CW_LOUDNESS_BANDS; band++) {
            tone_hz = cw_loudness_centre(band);
            hear(rates[r], 6, tone);
            assert_true(cw_learned_enough(&learner.learned));
            if (!(share_of(band) > (band < 10 ? 0.5 : 0.95))) {
                fail_msg("%g Hz at %g: %g of the weight", tone_hz, rates[r], share_of(band));
            }
        }
    }
}

static uint32_t seed = 1;
static double noise(double t)
{
    (void)t;
    return amplitude * (2 * host_random_unit(&seed) - 1);
}

/* White noise: the weight of a band is its width times K-weighting, here in the middle of the band. */
static void noise_has_the_weights_that_it_must(void **state)
{
    (void)state;
    double expected[CW_LOUDNESS_BANDS], sum = 0;
    hear(48000, 60, noise);
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        expected[i] = cw_loudness_centre(i) * cw_loudness_k_power(cw_loudness_centre(i));
        sum += expected[i];
    }
    for (int i = 8; i < CW_LOUDNESS_BANDS; i++) { /* below, bins are too wide */
        double db = 10 * log10(share_of(i) * sum / expected[i]);
        double bins = cw_loudness_centre(i) * 0.2307 / (48000.0 / CW_LEARN_POINTS); /* a band has whole ones */
        if (!(fabs(db) < 10 * log10(1 + 1 / bins) + 0.1)) {
            fail_msg("%g Hz: %+.2f dB", cw_loudness_centre(i), db);
        }
    }
}

static double two_tones(double t) { return 0.1 * (sin(CW_TAU * 7500 * t) + sin(CW_TAU * 8400 * t)); }

/* Two tones in one band lie at their own places: what is asked for there is the mean of a response at both. Noise lies
 * as wide as the deviation of an even spread, the band's width over the square root of 12. */
static void power_has_its_places_in_the_band(void **state)
{
    (void)state;
    double hz[2];
    hear(48000, 6, two_tones);
    cw_learned_hz(&learner.learned, 20, hz);
    within(hz[0], 7500, 15, "lower tone");
    within(hz[1], 8400, 15, "upper tone");
    hear(48000, 20, noise);
    within(learner.learned.spread[20], cw_loudness_centre(20) * 0.2308 / sqrt(12), 15, "spread of noise");
    cw_learn_init(&learner, 48000);
    cw_learned_hz(&learner.learned, 20, hz);
    assert_true(hz[0] == cw_loudness_centre(20) && hz[1] == hz[0]);
}

static double silence(double t)
{
    (void)t;
    return 0;
}

/* Neither silence nor the noise of a resting guitar is playing; and too little is not gone by. */
static void only_playing_counts(void **state)
{
    (void)state;
    hear(48000, 20, silence);
    assert_int_equal(learner.learned.count, 0);
    amplitude = 1e-4;
    hear(48000, 20, noise);
    assert_int_equal(learner.learned.count, 0);
    amplitude = 0.1;
    hear(48000, 3, noise);
    assert_true(learner.learned.count > 3 && !cw_learned_enough(&learner.learned));
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        assert_true(share_of(i) == cw_loudness_weight(i));
    }
}

static void what_was_kept_is_checked(void **state)
{
    (void)state;
    struct cw_learned learned = {.count = 1, .at = 1, .power = {{1}}};
    assert_true(cw_learned_valid(&learned));
    learned.power[3][0] = NAN;
    assert_false(cw_learned_valid(&learned));
    learned.power[3][0] = -1;
    assert_false(cw_learned_valid(&learned));
    learned.power[3][0] = INFINITY;
    assert_false(cw_learned_valid(&learned));
    learned = (struct cw_learned){.count = 1, .at = 1};
    assert_false(cw_learned_valid(&learned)); /* a part of nothing */
    learned = (struct cw_learned){.count = CW_LEARN_PARTS + 1};
    assert_false(cw_learned_valid(&learned));
    learned = (struct cw_learned){.count = 0, .at = -1};
    assert_false(cw_learned_valid(&learned));
}

/* ---- the plugin -------------------------------------------------------------------------------- */

enum { LEARN = 10 * 44100, JUDGE = 10 * 44100 }; /* samples */
static float in[LEARN + JUDGE], out[LEARN + JUDGE];

static bool read_take(const char *name, int *rate)
{
    char path[256];
    SF_INFO info = {0};
    snprintf(path, sizeof path, "/usr/share/sonic-pi/samples/%s.flac", name);
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    if (!file) {
        return false;
    }
    float *samples = calloc((size_t)(info.frames * info.channels), sizeof *samples);
    assert_int_equal(sf_readf_float(file, samples, info.frames), info.frames);
    sf_close(file);
    for (int i = 0; i < LEARN + JUDGE; i++) {
        in[i] = samples[(i % info.frames) * info.channels];
    }
    free(samples);
    *rate = info.samplerate;
    return true;
}

/* Integrated loudness by ffmpeg, LUFS. */
static double loudness(const float *x, int rate)
{
    char path[] = "/tmp/cw_learn_XXXXXX", command[512], line[256];
    double lufs = NAN;
    SF_INFO info = {.samplerate = rate, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
    int place = mkstemp(path);
    assert_true(place >= 0);
    SNDFILE *file = sf_open_fd(place, SFM_WRITE, &info, 1);
    assert_non_null(file);
    assert_int_equal(sf_write_float(file, x, JUDGE), JUDGE);
    sf_close(file);
    snprintf(command, sizeof command,
             "ffmpeg -nostats -v error -i %s -af ebur128=metadata=1,ametadata=print:key=lavfi.r128.I:file=- -f null - "
             "2>/dev/null | tail -n 1",
             path);
    FILE *text = popen(command, "r");
    assert_non_null(text);
    while (fgets(line, sizeof line, text)) {
        sscanf(line, "lavfi.r128.I=%lf", &lufs);
    }
    pclose(text);
    remove(path);
    return lufs;
}

static const struct judged {
    const char *name;
    struct {
        const char *symbol;
        float value;
    } set[4];
} judged[] = {
    {"no cable", {{"b_cable_length", 0}}},
    {"10 m", {{"b_cable_length", 10}}},
    {"25 m", {{"b_cable_length", 25}}},
    {"tone 5", {{"b_tone", 5}}},
    {"tone 2", {{"b_tone", 2}}},
    {"tone 0", {{"b_tone", 0}}},
    {"volume 5", {{"b_volume", 5}}},
    {"parallel", {{"b_coils", 2}}},
    {"tap", {{"b_split", 1}}},
    {"tap at 0", {{"b_split", 1}, {"b_split_keep", 0}}},
    {"resistor", {{"b_split", 1}, {"b_split_by", 1}}},
    {"capacitor 22", {{"b_split", 1}, {"b_split_by", 2}}},
    {"capacitor 120", {{"b_split", 1}, {"b_split_by", 2}, {"b_split_capacitor", 120}}},
    {"in series", {{"b_split", 1}, {"b_split_by", 3}}},
    {"in parallel", {{"b_split", 1}, {"b_split_by", 4}}},
    {"tap, resistor", {{"b_split", 1}, {"b_split_by", 5}}},
};

static struct host *playing(int rate)
{
    struct host *host = host_new(rate);
    for (int which = 0; which < 3; which++) {
        char symbol[16];
        snprintf(symbol, sizeof symbol, "%scoils", (const char *const[]){"rec_", "a_", "b_"}[which]);
        host_set(host, symbol, 1);
    }
    host_set(host, "level_match", 1);
    return host;
}

/* Ten seconds are learned from through A, the next ten judged through B. \return how much louder B is, LU */
static double excess(const struct judged *what, int rate, double as_recorded)
{
    struct host *host = playing(rate);
    host_run(host, in, out, LEARN, 256);
    for (int i = 0; i < 4 && what->set[i].symbol; i++) {
        host_set(host, what->set[i].symbol, what->set[i].value);
    }
    host_set(host, "listen", 2);
    host_run(host, in + LEARN, out + LEARN, JUDGE, 256);
    host_free(host);
    return loudness(out + LEARN, rate) - as_recorded;
}

static void real_playing_is_equally_loud(void **state)
{
    (void)state;
    static const char *const takes[] = {"guit_e_slide", "guit_harmonics", "guit_e_fifths", "guit_em9"};
    if (system("command -v ffmpeg >/dev/null") != 0) {
        print_message("no ffmpeg\n");
        skip();
    }
    double worst = 0;
    for (int t = 0; t < (getenv("CW_BRIEF") ? 1 : 4); t++) {
        int rate;
        if (!read_take(takes[t], &rate)) {
            print_message("no package sonic-pi-samples\n");
            skip();
        }
        double as_recorded = loudness(in + LEARN, rate);
        assert_true(as_recorded > -60 && as_recorded < 0);
        for (size_t i = 0; i < sizeof judged / sizeof *judged; i++) {
            double lu = excess(&judged[i], rate, as_recorded);
            worst = fmax(worst, fabs(lu));
            if (!(fabs(lu) < 0.3)) {
                fail_msg("%s, %s: %+.3f LU", takes[t], judged[i].name, lu);
            }
            if (getenv("CW_VERBOSE")) {
                print_message("%-16s %-14s %+.3f LU\n", takes[t], judged[i].name, lu);
            }
        }
    }
    print_message("worst %.3f LU\n", worst);
}

/* The gain, dB, over a span of the output through a path that is all but flat there: the power of out over in. */
static double level_of(const float *x, int n)
{
    double sum = 0;
    for (int i = 0; i < n; i++) {
        sum += (double)x[i] * (double)x[i];
    }
    return 10 * log10(sum / n);
}

/* A tone of one frequency, to which the assumed spectrum does not apply: through B it is 6 dB or so off at first.
 * Nothing is touched: the gain goes to where it should be, at 0.1 dB a second and not faster. Then B is left and taken
 * again: it is there at once. */
static void drifts_slowly_and_follows_at_once(void **state)
{
    (void)state;
    enum { RATE = 48000, SECOND = RATE };
    static float x[SECOND], y[SECOND];
    struct host *host = playing(RATE);
    host_set(host, "b_tone", 4);
    host_set(host, "listen", 2);
    for (int i = 0; i < SECOND; i++) {
        x[i] = (float)(0.2 * sin(CW_TAU * 2000 * i / RATE));
    }
    double before = 0, most = 0, first = 0;
    for (int s = 0; s < 20; s++) {
        host_run(host, x, y, SECOND, 64);
        double db = level_of(y + SECOND / 4, SECOND / 2) - level_of(x + SECOND / 4, SECOND / 2);
        first = s == 1 ? db : first;
        most = s > 1 ? fmax(most, fabs(db - before)) : 0;
        before = db;
    }
    assert_true(first < -6);          /* as assumed */
    assert_true(before > first + 1);  /* it went */
    assert_true(most < 0.1 + 0.0005); /* slowly */
    host_set(host, "listen", 1);
    host_run(host, x, y, SECOND, 64);
    host_set(host, "listen", 2);
    host_run(host, x, y, SECOND, 64);
    double there = level_of(y + SECOND / 4, SECOND / 2) - level_of(x + SECOND / 4, SECOND / 2);
    if (!(fabs(there) < 0.5)) {
        fail_msg("%+.2f dB off", there);
    }
    /* Flipped to and fro: B is the same each time. */
    for (int s = 0; s < 6; s++) {
        host_set(host, "listen", 1);
        host_run(host, x, y, SECOND, 64);
        host_set(host, "listen", 2);
        host_run(host, x, y, SECOND, 64);
        double again = level_of(y + SECOND / 4, SECOND / 2) - level_of(x + SECOND / 4, SECOND / 2);
        assert_true(fabs(again - there) < 1e-4);
    }
    host_free(host);
}

/* However the samples are cut, to the bit, while it learns and drifts. */
static void a_cut_does_not_show(void **state)
{
    (void)state;
    enum { LENGTH = 12 * 48000 };
    static float x[LENGTH], whole[LENGTH], cut[LENGTH];
    for (int i = 0; i < LENGTH; i++) {
        x[i] = (float)noise(0);
    }
    for (int k = 0; k < 2; k++) {
        struct host *host = playing(48000);
        host_set(host, "b_tone", 0);
        host_set(host, "listen", 2);
        if (k) {
            host_run_random(host, x, cut, LENGTH, 700, 5);
        } else {
            host_run(host, x, whole, LENGTH, 1024);
        }
        host_free(host);
    }
    assert_memory_equal(whole, cut, sizeof whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tone_is_in_its_band),
        cmocka_unit_test(noise_has_the_weights_that_it_must),
        cmocka_unit_test(power_has_its_places_in_the_band),
        cmocka_unit_test(only_playing_counts),
        cmocka_unit_test(what_was_kept_is_checked),
        cmocka_unit_test(real_playing_is_equally_loud),
        cmocka_unit_test(drifts_slowly_and_follows_at_once),
        cmocka_unit_test(a_cut_does_not_show),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
