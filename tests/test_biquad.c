/* SPDX-License-Identifier: ISC */
/* Cookbook sections against the formulas of the Audio EQ Cookbook (R. Bristow-Johnson, W3C Working
 * Group Note, 8 June 2021, https://www.w3.org/TR/audio-eq-cookbook/), evaluated here apart from
 * dsp/biquad.c in two ways (its coefficients; its analogue prototypes on the warped frequency
 * axis), against normalised coefficients worked out by hand, and against SoX. */
#include <complex.h>
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

#include "biquad.h"
#include "constants.h"
#include "cookbook.h"
#include "setups.h"
#include "spectrum.h"
#include "within.h"

typedef double complex cplx;

enum { KINDS = CW_HIGHSHELF + 1 };

/* Coefficients as the Note writes them: b0 b1 b2 a0 a1 a2. */
static struct cw_biquad note_coefficients(enum cookbook_kind kind, double hz, double q, double db, double rate)
{
    double w0 = CW_TAU * hz / rate, cw = cos(w0), sw = sin(w0);
    double alpha = sw / (2 * q), A = sqrt(pow(10, db / 20)), root = 2 * sqrt(A) * alpha;
    double b[3] = {0}, a[3] = {1 + alpha, -2 * cw, 1 - alpha};
    switch (kind) {
    case CW_LOWPASS: b[0] = (1 - cw) / 2, b[1] = 1 - cw, b[2] = (1 - cw) / 2; break;
    case CW_HIGHPASS: b[0] = (1 + cw) / 2, b[1] = -(1 + cw), b[2] = (1 + cw) / 2; break;
    case CW_BANDPASS: b[0] = alpha, b[1] = 0, b[2] = -alpha; break;
    case CW_NOTCH: b[0] = 1, b[1] = -2 * cw, b[2] = 1; break;
    case CW_ALLPASS: b[0] = 1 - alpha, b[1] = -2 * cw, b[2] = 1 + alpha; break;
    case CW_PEAKING:
        b[0] = 1 + alpha * A, b[1] = -2 * cw, b[2] = 1 - alpha * A;
        a[0] = 1 + alpha / A, a[2] = 1 - alpha / A;
        break;
    case CW_LOWSHELF:
        b[0] = A * ((A + 1) - (A - 1) * cw + root);
        b[1] = 2 * A * ((A - 1) - (A + 1) * cw);
        b[2] = A * ((A + 1) - (A - 1) * cw - root);
        a[0] = (A + 1) + (A - 1) * cw + root;
        a[1] = -2 * ((A - 1) + (A + 1) * cw);
        a[2] = (A + 1) + (A - 1) * cw - root;
        break;
    case CW_HIGHSHELF:
        b[0] = A * ((A + 1) + (A - 1) * cw + root);
        b[1] = -2 * A * ((A - 1) + (A + 1) * cw);
        b[2] = A * ((A + 1) + (A - 1) * cw - root);
        a[0] = (A + 1) - (A - 1) * cw + root;
        a[1] = 2 * ((A - 1) - (A + 1) * cw);
        a[2] = (A + 1) - (A - 1) * cw - root;
        break;
    }
    return (struct cw_biquad){b[0] / a[0], b[1] / a[0], b[2] / a[0], a[1] / a[0], a[2] / a[0]};
}

/* The Note's analogue prototypes, at s = j tan(w/2) / tan(w0/2). */
static cplx prototype(enum cookbook_kind kind, double hz, double centre, double q, double db, double rate)
{
    cplx s = I * tan(CW_TAU * hz / rate / 2) / tan(CW_TAU * centre / rate / 2);
    double A = pow(10, db / 40), r = sqrt(A) / q;
    cplx plain = s * s + s / q + 1;
    switch (kind) {
    case CW_LOWPASS: return 1 / plain;
    case CW_HIGHPASS: return s * s / plain;
    case CW_BANDPASS: return s / q / plain;
    case CW_NOTCH: return (s * s + 1) / plain;
    case CW_ALLPASS: return (s * s - s / q + 1) / plain;
    case CW_PEAKING: return (s * s + s * A / q + 1) / (s * s + s / (A * q) + 1);
    case CW_LOWSHELF: return A * (s * s + r * s + A) / (A * s * s + r * s + 1);
    default: return A * (A * s * s + r * s + 1) / (s * s + r * s + A);
    }
}

static cplx section_at(const struct cw_biquad *s, double hz, double rate)
{
    cplx z = cexp(-I * CW_TAU * hz / rate);
    return (s->b0 + z * (s->b1 + z * s->b2)) / (1 + z * (s->a1 + z * s->a2));
}

static double farthest(const struct cw_biquad *x, const struct cw_biquad *y)
{
    double d = fmax(fabs(x->b0 - y->b0), fmax(fabs(x->b1 - y->b1), fabs(x->b2 - y->b2)));
    return fmax(d, fmax(fabs(x->a1 - y->a1), fabs(x->a2 - y->a2)));
}

static void agrees_with_the_note(void **state)
{
    (void)state;
    struct rng rng = {1};
    double worst = 0;
    for (int i = 0; i < 4000; i++) {
        enum cookbook_kind kind = (enum cookbook_kind)(i % KINDS);
        double rate = rng_log(&rng, 8000, 384000), hz = rng_log(&rng, 10, 0.49 * rate);
        double q = rng_log(&rng, 0.1, 30), db = rng_between(&rng, -30, 30);
        struct cw_biquad ours = cookbook(kind, hz, q, db, rate);
        struct cw_biquad note = note_coefficients(kind, hz, q, db, rate);
        worst = worse(worst, farthest(&ours, &note));
        /* Rounding of the coefficients is magnified where the corner lies far below the rate. */
        double tolerance = 1e-13 * pow(rate / hz, 2) + 1e-11;
        for (double at = hz / 8; at < 0.499 * rate; at *= 1.9) {
            cplx expected = prototype(kind, at, hz, q, db, rate), got = section_at(&ours, at, rate);
            assert_true(cabs(got - expected) <= tolerance * fmax(1, cabs(expected)) * fmax(1, q));
            double power = cw_biquad_power(&ours, at, rate);
            assert_true(fabs(sqrt(power) - cabs(got)) <= tolerance * fmax(1, cabs(got)) * fmax(1, q));
        }
    }
    print_message("4000 designs: coefficients within %.2g of the Note's\n", worst);
    assert_true(worst < 1e-10);
}

/* Normalised coefficients, computed in double precision apart from this program. */
static void agrees_with_known_vectors(void **state)
{
    (void)state;
    const struct cw_biquad lowpass = {.06183442902257, .12366885804513, .06183442902257, -1.59881613006358,
                                      .84615384615385};
    const struct cw_biquad peak = {1.12735104968701, -1.58717900377087, .61673440844470, -1.58717900377087,
                                   .74408545813171};
    const struct cw_biquad shelf = {.58479915617790, -.56494392232475, .19980466359750, -1.23652092730656,
                                    .45618082475721};
    struct cw_biquad got = cookbook(CW_LOWPASS, 4000, 3, 0, 48000);
    assert_true(farthest(&got, &lowpass) < 1e-13);
    got = cookbook(CW_PEAKING, 3000, 1, 6, 44100);
    assert_true(farthest(&got, &peak) < 1e-13);
    got = cookbook(CW_HIGHSHELF, 5000, sqrt(0.5), -6, 48000);
    assert_true(farthest(&got, &shelf) < 1e-13);
}

static void gains_at_the_ends(void **state)
{
    (void)state;
    const double rate = 48000;
    for (double db = -18; db <= 18; db += 4.5) {
        struct cw_biquad low = cookbook(CW_LOWSHELF, 300, 0.7, db, rate);
        struct cw_biquad high = cookbook(CW_HIGHSHELF, 3000, 0.7, db, rate);
        struct cw_biquad peak = cookbook(CW_PEAKING, 1000, 2, db, rate);
        assert_true(fabs(10 * log10(cw_biquad_power(&low, 0, rate)) - db) < 1e-9);
        assert_true(fabs(10 * log10(cw_biquad_power(&low, rate / 2, rate))) < 1e-9);
        assert_true(fabs(10 * log10(cw_biquad_power(&high, 0, rate))) < 1e-9);
        assert_true(fabs(10 * log10(cw_biquad_power(&high, rate / 2, rate)) - db) < 1e-9);
        assert_true(fabs(10 * log10(cw_biquad_power(&peak, 1000, rate)) - db) < 1e-9);
    }
}

/* ---- running ---------------------------------------------------------------------------------- */

enum { LENGTH = 32768 };

static void runs_as_it_responds(void **state)
{
    (void)state;
    static float x[LENGTH], y[LENGTH], in_parts[LENGTH];
    const double rate = 44100;
    for (int kind = 0; kind < KINDS; kind++) {
        struct cw_biquad s = cookbook((enum cookbook_kind)kind, 1500, 2, 9, rate);
        memset(x, 0, sizeof x);
        x[0] = 1;
        struct cw_biquad_state memory = {0, 0};
        cw_biquad_process(&s, &memory, x, y, LENGTH);
        for (double hz = 100; hz < 20000; hz *= 1.3) {
            struct spectrum_value v = spectrum_at(y, LENGTH, hz, rate);
            assert_true(cabs(v.re + I * v.im - section_at(&s, hz, rate)) < 1e-6);
        }
        /* The same in place and in unequal pieces. */
        memory = (struct cw_biquad_state){0, 0};
        memcpy(in_parts, x, sizeof x);
        for (size_t at = 0, n = 0; at < LENGTH; at += n, n = (n * 7 + 1) % 501) {
            n = at + n > LENGTH ? LENGTH - at : n;
            cw_biquad_process(&s, &memory, in_parts + at, in_parts + at, n);
        }
        assert_memory_equal(in_parts, y, sizeof y);
    }
}

/* ---- SoX -------------------------------------------------------------------------------------- */

static void write_impulse(const char *path, int rate)
{
    static float x[LENGTH];
    x[0] = 1;
    SF_INFO info = {.samplerate = rate, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    assert_non_null(file);
    assert_int_equal(sf_write_float(file, x, LENGTH), LENGTH);
    sf_close(file);
}

static void read_back(const char *path, float *y)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    memset(y, 0, LENGTH * sizeof *y);
    assert_true(sf_read_float(file, y, LENGTH) > LENGTH / 2);
    sf_close(file);
}

static void agrees_with_sox(void **state)
{
    (void)state;
    if (system("sox --version >/dev/null 2>&1") != 0) {
        print_message("SKIPPED: sox is not installed, so the sections were not judged by it\n");
        skip();
    }
    const struct {
        const char *effect;
        enum cookbook_kind kind;
        double hz, q, db;
        int rate;
    } row[] = {
        {"lowpass -2 3000 4q", CW_LOWPASS, 3000, 4, 0, 48000},
        {"lowpass -2 9000 0.7q", CW_LOWPASS, 9000, 0.7, 0, 44100},
        {"highpass -2 250 2q", CW_HIGHPASS, 250, 2, 0, 44100},
        {"bandpass 1200 3q", CW_BANDPASS, 1200, 3, 0, 48000},
        {"bandreject 1200 3q", CW_NOTCH, 1200, 3, 0, 48000},
        {"allpass 1200 3q", CW_ALLPASS, 1200, 3, 0, 48000},
        {"equalizer 3000 1q 6", CW_PEAKING, 3000, 1, 6, 44100},
        {"equalizer 800 5q -15", CW_PEAKING, 800, 5, -15, 96000},
        {"treble -6 5000 0.707q", CW_HIGHSHELF, 5000, 0.707, -6, 48000},
        {"treble 9 2000 1.2q", CW_HIGHSHELF, 2000, 1.2, 9, 44100},
        {"bass 7 200 0.5q", CW_LOWSHELF, 200, 0.5, 7, 44100},
        {"bass -12 400 0.9q", CW_LOWSHELF, 400, 0.9, -12, 48000},
        {"biquad 0.06183442902257 0.12366885804513 0.06183442902257 1 -1.59881613006358 0.84615384615385", CW_LOWPASS,
         4000, 3, 0, 48000},
    };
    char directory[] = "/tmp/coilwright-sox-XXXXXX", in[64], out[64], command[400];
    assert_non_null(mkdtemp(directory));
    snprintf(in, sizeof in, "%s/in.wav", directory);
    snprintf(out, sizeof out, "%s/out.wav", directory);
    static float y[LENGTH];
    double worst = 0;
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        write_impulse(in, row[i].rate);
        /* Boosts need room: sox clips at full scale. */
        snprintf(command, sizeof command, "sox -V1 -D %s -e float -b 64 %s gain -12 %s 2>&1", in, out, row[i].effect);
        assert_int_equal(system(command), 0);
        read_back(out, y);
        double rate = row[i].rate, room = pow(10, -12.0 / 20);
        struct cw_biquad s = cookbook(row[i].kind, row[i].hz, row[i].q, row[i].db, rate);
        for (double hz = 20; hz < 0.49 * rate; hz *= 1.1) {
            double ours = 10 * log10(cw_biquad_power(&s, hz, rate));
            double theirs = spectrum_db(y, LENGTH, hz, rate) - 20 * log10(room);
            if (ours > -60) {
                if (!(fabs(ours - theirs) <= 1.3e-3)) {
                    print_error("%s at %g Hz: ours %.5f dB, sox %.5f dB\n", row[i].effect, hz, ours, theirs);
                    fail();
                }
                worst = worse(worst, fabs(ours - theirs));
            }
        }
    }
    unlink(in);
    unlink(out);
    rmdir(directory);
    print_message("sox, %d filters: within %.2g dB where above -60 dB\n", (int)(sizeof row / sizeof row[0]), worst);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_note), cmocka_unit_test(agrees_with_known_vectors),
        cmocka_unit_test(gains_at_the_ends),    cmocka_unit_test(runs_as_it_responds),
        cmocka_unit_test(agrees_with_sox),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
