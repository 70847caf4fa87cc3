/* SPDX-License-Identifier: ISC */
/* response and impulse, run as a person runs them: the numbers of the table against ngspice and
 * against a loaded second-order circuit in closed form; the spectrum of the exported impulse
 * against the table. */
#include <ctype.h>
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
#include "candidate.h"
#include "circuit.h"
#include "coil.h"
#include "digital.h"
#include "input.h"
#include "preset_save.h"
#include "scratch.h"
#include "setup.h"
#include "setups.h"
#include "spectrum.h"
#include "spice.h"
#include "transfer.h"
#include "within.h"

static const char *program(void)
{
    const char *named = getenv("CW_PROGRAM");
    return named ? named : "build/coilwright";
}

/* Run the program; "@" in the arguments stands for the scratch directory. */
static void run(const char *format, ...)
{
    char arguments[1500], command[4000];
    va_list list;
    va_start(list, format);
    vsnprintf(arguments, sizeof arguments, format, list);
    va_end(list);
    size_t used = (size_t)snprintf(command, sizeof command, "'%s' ", program());
    for (const char *c = arguments; *c && used < sizeof command - 100; c++) {
        used +=
            (size_t)snprintf(command + used, sizeof command - used, *c == '@' ? "%s" : "%.1s", *c == '@' ? scratch : c);
    }
    strcat(command, " >/dev/null");
    if (system(command) != 0) {
        fail_msg("failed: %s", command);
    }
}

enum { ROWS = 512, COLUMNS = 8 };

struct csv {
    int rows;
    double value[ROWS][COLUMNS];
};

static void read_csv(const char *name, int columns, struct csv *csv)
{
    char path[200], line[2000];
    snprintf(path, sizeof path, "%s/%s", scratch, name);
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    csv->rows = 0;
    assert_non_null(fgets(line, sizeof line, file)); /* the heading */
    while (fgets(line, sizeof line, file)) {
        char *at = line;
        assert_true(csv->rows < ROWS);
        for (int c = 0; c < columns; c++) {
            char *end;
            csv->value[csv->rows][c] = strtod(at, &end);
            assert_true(end != at && (c + 1 < columns ? *end == ',' : isspace((unsigned char)*end)));
            at = end + 1;
        }
        csv->rows++;
    }
    fclose(file);
}

static void save(const char *name, const struct cw_setup *rec, const struct cw_setup *a, const struct cw_setup *b)
{
    char path[200];
    const struct cw_setup *given[CW_SETUPS] = {rec, a, b};
    snprintf(path, sizeof path, "%s/%s", scratch, name);
    cw_input_forget(); /* as a command begins, so that the file may be written again */
    assert_true(cw_candidate_save(path, name, NULL, given, true));
}

static double db(const double complex_parts[2]) { return 20.0 * log10(hypot(complex_parts[0], complex_parts[1])); }

static double degrees(const double parts[2]) { return atan2(parts[1], parts[0]) * 180.0 / acos(-1.0); }

/* Level, phase, ratio, difference and impedance of random setups as ngspice gives them. */
static void tables_judged_by_ngspice(void **state)
{
    (void)state;
    if (!spice_available()) {
        skip();
    }
    static struct spice_point point_a[SPICE_POINTS_MAX], point_rec[SPICE_POINTS_MAX];
    struct rng rng = {2024};
    struct csv csv;
    for (int i = 0; i < SETUPS_KINDS; i++) {
        struct cw_setup a, rec;
        setups_random(&rng, i, &a);
        setups_random(&rng, i + 3, &rec);
        int points = spice_analyse(&a, point_a);
        assert_true(points > 20 && points == spice_analyse(&rec, point_rec));
        save("case.ttl", &rec, &a, NULL);
        char to[64];
        snprintf(to, sizeof to, "--from %.12g --to %.12g", point_a[0].hz, point_a[points - 1].hz);
        run("response @/case.ttl --csv --phase --points %d %s -f -o @/level.csv", points, to);
        read_csv("level.csv", 3, &csv);
        assert_int_equal(csv.rows, points);
        for (int k = 0; k < points; k++) {
            within_share(csv.value[k][0], point_a[k].hz, 1e-6, "frequency");
            within(csv.value[k][1], db(point_a[k].string), 0.01, setups_describe(&a));
            within(remainder(csv.value[k][2] - degrees(point_a[k].string), 360.0), 0.0, 0.1, setups_describe(&a));
        }
        run("response @/case.ttl --csv --recorded @/case.ttl --points %d %s -f -o @/ratio.csv", points, to);
        read_csv("ratio.csv", 2, &csv);
        for (int k = 0; k < points; k++) {
            within(csv.value[k][1], db(point_a[k].string) - db(point_rec[k].string), 0.02, setups_describe(&a));
        }
        run("response @/case.ttl#rec @/case.ttl#a --csv --difference --points %d %s -f -o @/difference.csv", points,
            to);
        read_csv("difference.csv", 3, &csv);
        for (int k = 0; k < points; k++) {
            within(csv.value[k][1], 0.0, 0.0, "the first candidate against itself");
            within(csv.value[k][2], db(point_a[k].string) - db(point_rec[k].string), 0.02, setups_describe(&a));
        }
        run("response @/case.ttl --csv --impedance --points %d %s -f -o @/ohm.csv", points, to);
        read_csv("ohm.csv", 3, &csv);
        for (int k = 0; k < points; k++) {
            within_share(csv.value[k][1], hypot(point_a[k].ohm[0], point_a[k].ohm[1]), 1e-3, setups_describe(&a));
            within(remainder(csv.value[k][2] - degrees(point_a[k].ohm), 360.0), 0.0, 0.1, setups_describe(&a));
        }
    }
}

/* A coil on a resistive and capacitive load: V/E = Z/(R + sL + Z), textbook second-order low-pass,
 * with the parameters of the command line. The parallel loss is put out of the way (10 Mohm, counted
 * in) and the tone control with it (its pot at 2 Mohm with 0.1 nF is counted in, too). */
static void closed_form(void **state)
{
    struct cw_setup setup;
    struct csv csv;
    (void)state;
    cw_setup_defaults(&setup);
    save("plain.ttl", NULL, &setup, NULL);
    run("response @/plain.ttl --csv --at 100,1k,3k,4k,10k -f -o @/plain.csv --set resistance=6k --set inductance=2.5H "
        "--set capacitance=120p --set loss=10M --set volume_pot=250k --set tone_pot=2M --set tone_cap=0.1n "
        "--set cable_length=5 --set cable_capacitance=100pF/m --set input_resistance=1M --set input_capacitance=0");
    read_csv("plain.csv", 2, &csv);
    assert_int_equal(csv.rows, 5);
    for (int k = 0; k < csv.rows; k++) {
        double w = 2 * acos(-1.0) * csv.value[k][0];
        /* Admittance of the load: coil and cable capacitance, volume, input, tone branch. */
        double tone = 1 / (w * 0.1e-9), tone2 = 2e6 * 2e6 + tone * tone;
        double g = 1 / 250e3 + 1 / 1e6 + 2e6 / tone2, b = w * 620e-12 + tone / tone2;
        /* Series impedance: R + jwL with 10 Mohm across L. */
        double x = w * 2.5, r = 6e3 + 1e7 * x * x / (1e14 + x * x), reactance = x * 1e14 / (1e14 + x * x);
        double re = 1 + r * g - reactance * b, im = reactance * g + r * b;
        double emf = 10 * log10(2.5 / setups_reference_henry()); /* the EMF of a coil known by its inductance */
        within(csv.value[k][1], emf - 10 * log10(re * re + im * im), 2e-5, "closed form");
    }
}

static float *read_wav(const char *name, size_t *length, double *rate)
{
    char path[200];
    SF_INFO info = {0};
    snprintf(path, sizeof path, "%s/%s", scratch, name);
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.channels, 1);
    assert_int_equal(info.format, SF_FORMAT_WAV | SF_FORMAT_FLOAT);
    float *samples = calloc((size_t)info.frames, sizeof *samples);
    assert_non_null(samples);
    assert_int_equal(sf_readf_float(file, samples, info.frames), info.frames);
    sf_close(file);
    *length = (size_t)info.frames;
    *rate = info.samplerate;
    return samples;
}

/* The designed filter's boost limit at work is another matter: such a case is not compared. */
static bool is_limited(const struct cw_setup *setup, const struct cw_setup *recorded, double rate)
{
    struct cw_pickup pickup;
    struct cw_transfer h, g;
    struct cw_sections sections;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    if (recorded) {
        cw_coil_solve(recorded, &pickup);
        cw_circuit_transfer(recorded, &pickup, CW_DRIVE_STRING, &g);
    }
    cw_digital_design(&h, recorded ? &g : NULL, rate, 60.0, &sections);
    return sections.limited;
}

/* Largest difference in dB between the impulse's spectrum and the table, within 60 dB of the peak. */
static double compare(const char *wav, const char *table)
{
    struct csv csv;
    size_t length;
    double rate, highest = -INFINITY, worst = 0.0;
    float *samples = read_wav(wav, &length, &rate);
    read_csv(table, 2, &csv);
    for (int k = 0; k < csv.rows; k++) {
        highest = fmax(highest, csv.value[k][1]);
    }
    for (int k = 0; k < csv.rows; k++) {
        if (csv.value[k][1] > highest - 60.0) {
            worst = worse(worst, fabs(spectrum_db(samples, length, csv.value[k][0], rate) - csv.value[k][1]));
        }
    }
    free(samples);
    return worst;
}

static void impulse_has_the_response(void **state)
{
    static const int rates[] = {44100, 48000, 96000};
    struct rng rng = {31};
    double worst[2] = {0, 0};
    int compared = 0;
    (void)state;
    for (int i = 0; i < 2 * SETUPS_KINDS; i++) {
        struct cw_setup a, rec;
        setups_random(&rng, i, &a);
        setups_random(&rng, i + 5, &rec);
        save("case.ttl", &rec, &a, NULL);
        int rate = rates[i % 3];
        run("response @/case.ttl --csv --points 60 -f -o @/level.csv");
        run("impulse @/case.ttl --rate %d --boost-limit 60 -f -o @/level.wav", rate);
        if (!is_limited(&a, NULL, rate)) {
            worst[0] = worse(worst[0], compare("level.wav", "level.csv"));
            compared++;
        }
        run("response @/case.ttl --recorded @/case.ttl --csv --points 60 -f -o @/ratio.csv");
        run("impulse @/case.ttl --recorded @/case.ttl --rate %d --boost-limit 60 -f -o @/ratio.wav", rate);
        if (!is_limited(&a, &rec, rate)) {
            worst[1] = worse(worst[1], compare("ratio.wav", "ratio.csv"));
            compared++;
        }
    }
    print_message("impulse against response: worst %.4f dB alone, %.4f dB as a ratio, %d compared\n", worst[0],
                  worst[1], compared);
    assert_true(compared >= 3 * SETUPS_KINDS);
    within(worst[0], 0.0, 0.02, "one setup, dB");
    within(worst[1], 0.0, 0.02, "ratio of two, dB");
}

/* The same command twice makes the same bytes; another boost limit makes a lower response. */
static void impulse_repeats_and_limits(void **state)
{
    struct cw_setup open_coil, dull;
    size_t n, m;
    double rate;
    (void)state;
    cw_setup_defaults(&open_coil);
    dull = open_coil;
    open_coil.value[CW_P_CABLE_LENGTH] = open_coil.value[CW_P_INPUT_CAPACITANCE] = 0;
    open_coil.value[CW_P_LOSS] = 10000;
    open_coil.value[CW_P_VOLUME_POT] = open_coil.value[CW_P_TONE_POT] = 2000;
    dull.value[CW_P_CABLE_LENGTH] = 30;
    save("case.ttl", &dull, &open_coil, NULL);
    run("impulse @/case.ttl --recorded @/case.ttl --length 4096 -o @/one.wav");
    run("impulse @/case.ttl --recorded @/case.ttl --length 4096 -o @/two.wav");
    float *one = read_wav("one.wav", &n, &rate), *two = read_wav("two.wav", &m, &rate);
    assert_true(n == 4096 && m == 4096 && rate == 48000);
    assert_memory_equal(one, two, n * sizeof *one);
    run("impulse @/case.ttl --recorded @/case.ttl --length 4096 --boost-limit 6 -f -o @/two.wav");
    free(two);
    two = read_wav("two.wav", &m, &rate);
    double highest[2] = {-INFINITY, -INFINITY};
    for (double hz = 20; hz < 22000; hz *= 1.05) {
        highest[0] = fmax(highest[0], spectrum_db(one, n, hz, rate));
        highest[1] = fmax(highest[1], spectrum_db(two, m, hz, rate));
    }
    assert_true(highest[0] > 12.0 && highest[0] < 24.1);
    assert_true(highest[1] > 4.0 && highest[1] < 6.1);
    free(one);
    free(two);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tables_judged_by_ngspice),
        cmocka_unit_test(closed_form),
        cmocka_unit_test(impulse_has_the_response),
        cmocka_unit_test(impulse_repeats_and_limits),
    };
    return cmocka_run_group_tests(tests, make_scratch, remove_scratch);
}
