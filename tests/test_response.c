/* SPDX-License-Identifier: ISC */
/* The sound against the circuit: the plugin's impulse response, through lilv, and the filter design
 * by itself, against the analogue H(s) of the same setups, for one setup and for the ratio of two.
 *
 * Measured at single frequencies from 20 Hz, wherever the analogue response lies within 60 dB of
 * its peak in the band. H(s) itself is judged by ngspice in tests/test_circuit_spice.c. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "digital.h"
#include "host.h"
#include "polynomial.h"
#include "setup.h"
#include "setups.h"
#include "spectrum.h"
#include "transfer.h"
#include "within.h"

enum { SETUPS = 6 * SETUPS_KINDS, POINTS = 72, DESIGNS = 1200 };

static const double DEPTH = 60;       /* dB below the peak that still counts */
static const double BOOST_LIMIT = 60; /* the most that can be set */
static const double SECONDS = 2.0;    /* the slowest pole that can be set, 2 Mohm and 220 nF, has 0.44 s */

/* What holds at a rate, for one setup and for the ratio of two: dB from 20 Hz to `to`, degrees to
 * 10 kHz once a pure delay below one sample is taken out; 0 degrees stands for no claim. */
static const struct claim {
    double rate, db, ratio_db, to, degree;
} claims[] = {
    {44100, 0.02, 0.02, 20000, 2},   {48000, 0.02, 0.02, 20000, 2},    {88200, 0.005, 0.005, 20000, 2},
    {96000, 0.005, 0.005, 20000, 2}, {192000, 0.005, 0.005, 20000, 2},
};

/* Low rates, where the band ends at 0.45 of the rate, and the highest. */
static const struct claim other_rates[] = {
    {8000, 0.01, 0.05, 3600, 0},   {16000, 0.01, 0.05, 7200, 0},     {22050, 0.01, 0.05, 9900, 0},
    {32000, 0.01, 0.05, 14400, 0}, {384000, 0.005, 0.005, 20000, 0},
};

/* What is expected: one setup, or the ratio of two. */
struct wanted {
    struct cw_transfer candidate, recorded;
    bool ratio;
};

static double wanted_db(const struct wanted *w, double hz)
{
    return cw_transfer_db(&w->candidate, hz) - (w->ratio ? cw_transfer_db(&w->recorded, hz) : 0);
}

static double angle(const struct cw_transfer *h, double hz)
{
    struct cw_complex v = cw_transfer_at(h, hz);
    return atan2(v.im, v.re);
}

static double wanted_angle(const struct wanted *w, double hz)
{
    return angle(&w->candidate, hz) - (w->ratio ? angle(&w->recorded, hz) : 0);
}

static struct cw_transfer circuit_of(const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    return h;
}

static double point_hz(const struct claim *claim, int i) { return 20 * pow(claim->to / 20, i / (POINTS - 1.0)); }

/* The peak in the audio band, and the highest level from 0 Hz to half the rate. */
static void levels_of(const struct wanted *w, const struct claim *claim, double *peak, double *highest)
{
    *peak = -INFINITY;
    *highest = wanted_db(w, 0);
    for (int i = 0; i < 1000; i++) {
        double hz = pow(claim->rate / 2, i / 999.0), db = wanted_db(w, hz);
        *highest = fmax(*highest, db);
        *peak = hz >= 20 && hz <= claim->to ? fmax(*peak, db) : *peak;
    }
}

/* ---- random cases ----------------------------------------------------------------------------- */

struct pair {
    struct cw_setup candidate, recorded;
};

static struct pair pairs[SETUPS];

static int make_pairs(void **state)
{
    (void)state;
    struct rng rng = {40};
    for (int i = 0; i < SETUPS; i++) {
        setups_random(&rng, i, &pairs[i].candidate);
        setups_random(&rng, rng_pick(&rng, SETUPS_KINDS), &pairs[i].recorded);
    }
    return 0;
}

static struct wanted wanted_of(const struct pair *pair, bool ratio)
{
    return (struct wanted){circuit_of(&pair->candidate), circuit_of(&pair->recorded), ratio};
}

/* Loudness is not the matter here: bring the candidate to where the boost limit has nothing to do,
 * as far as the sensitivity reaches. */
static void keep_below_limit(struct pair *pair, bool ratio, const struct claim *claim)
{
    struct wanted w = wanted_of(pair, ratio);
    double peak, highest, *db = &pair->candidate.value[CW_P_SENSITIVITY];
    levels_of(&w, claim, &peak, &highest);
    if (highest > BOOST_LIMIT - 6) {
        *db = (double)(float)fmax(-24, *db - (highest - (BOOST_LIMIT - 6)));
    }
}

/* ---- figures ---------------------------------------------------------------------------------- */

struct worst {
    double db, degree, hz, limit_over;
    int index, values, phases, limited, mirrored;
};

static void keep_worst(struct worst *worst, double error, double hz, int index)
{
    if (!(error <= worst->db)) {
        worst->db = error;
        worst->hz = hz;
        worst->index = index;
    }
}

static void report(const char *what, const struct claim *claim, const struct worst *w)
{
    print_message("%s at %6.0f Hz: worst %.4f dB (case %d at %.0f Hz) of %d values; left out: %d at the boost limit\n",
                  what, claim->rate, w->db, w->index, w->hz, w->values, w->limited);
    if (w->phases > 0) {
        print_message("  phase to 10 kHz: worst %.2f degree of %d cases; left out: %d mirrored\n", w->degree, w->phases,
                      w->mirrored);
    }
}

/* The pure delay (samples, either sign, below one) that leaves the least phase error, and that. */
static double phase_error(const double *hz, const double *radian, int n, double rate)
{
    double best = INFINITY;
    for (double delay = -1; delay <= 1; delay += 0.005) {
        double most = 0;
        for (int i = 0; i < n; i++) {
            most = fmax(most, fabs(remainder(radian[i] + CW_TAU * hz[i] / rate * delay, CW_TAU)));
        }
        best = fmin(best, most);
    }
    return best * 360 / CW_TAU;
}

/* Samples that matter: what is cut off adds up to less than 3e-6 of the lowest level compared. */
static size_t length_that_matters(const float *response, size_t n, double peak_db)
{
    double rest = 0, most = 3e-6 * pow(10, (peak_db - DEPTH) / 20);
    while (n > 0 && rest + fabs((double)response[n - 1]) < most) {
        rest += fabs((double)response[--n]);
    }
    return n;
}

static void compare_magnitude(struct worst *worst, const struct claim *claim, const struct wanted *w, int index,
                              const float *response, size_t n)
{
    double peak, highest;
    levels_of(w, claim, &peak, &highest);
    bool limited = highest > BOOST_LIMIT - 3;
    worst->limited += limited;
    for (int i = 0; i < POINTS; i++) {
        double hz = point_hz(claim, i), expected = wanted_db(w, hz);
        if (expected < peak - DEPTH) {
            continue;
        }
        double got = spectrum_db(response, n, hz, claim->rate);
        worst->limit_over = worse(worst->limit_over, got - BOOST_LIMIT);
        if (!limited) {
            keep_worst(worst, fabs(got - expected), hz, index);
            worst->values++;
        }
    }
}

static bool in_right_half(const struct cw_transfer *h)
{
    struct cw_roots roots;
    bool found = false;
    if (cw_transfer_roots(h, &roots)) {
        for (int i = 0; i < roots.zeros; i++) {
            found = found || roots.zero[i].re > 0;
        }
    }
    return found;
}

static void compare_phase(struct worst *worst, const struct claim *claim, const struct wanted *w, const float *response,
                          size_t n)
{
    double hz[POINTS], radian[POINTS], peak, highest;
    int count = 0;
    levels_of(w, claim, &peak, &highest);
    if (w->ratio && in_right_half(&w->recorded)) { /* mirrored: its magnitude is all that is promised */
        worst->mirrored++;
        return;
    }
    if (highest > BOOST_LIMIT - 3) {
        return;
    }
    for (int i = 0; i < POINTS && point_hz(claim, i) <= 10000; i++) {
        if (wanted_db(w, point_hz(claim, i)) >= peak - DEPTH) {
            hz[count] = point_hz(claim, i);
            radian[count] = spectrum_phase(response, n, hz[count], claim->rate) - wanted_angle(w, hz[count]);
            count++;
        }
    }
    worst->degree = worse(worst->degree, phase_error(hz, radian, count, claim->rate));
    worst->phases++;
}

/* ---- through the plugin ----------------------------------------------------------------------- */

static void send_setup(struct host *host, enum cw_which which, const struct cw_setup *setup)
{
    char symbol[64];
    for (int i = 0; i < CW_PARAMS; i++) {
        snprintf(symbol, sizeof symbol, "%s%s", cw_setup_prefix[which], cw_param_info[i].symbol);
        host_set(host, symbol, (float)setup->value[i]);
    }
}

static struct host *open_host(double rate, bool ratio)
{
    struct host *host = host_new(rate);
    assert_non_null(host);
    host_set(host, "listen", CW_LISTEN_A);
    host_set(host, "undo_recording", ratio);
    host_set(host, "boost_limit", (float)BOOST_LIMIT);
    return host;
}

static void check_plugin(const struct claim *claim, bool ratio)
{
    struct worst worst = {0};
    size_t n = (size_t)(claim->rate * SECONDS);
    float *response = malloc(n * sizeof *response);
    struct host *host = open_host(claim->rate, ratio);
    assert_non_null(response);
    for (int i = 0; i < SETUPS; i++) {
        struct pair pair = pairs[i];
        keep_below_limit(&pair, ratio, claim);
        struct wanted w = wanted_of(&pair, ratio);
        send_setup(host, CW_A, &pair.candidate);
        send_setup(host, CW_REC, &pair.recorded);
        host_impulse(host, response, n);
        double peak, highest;
        levels_of(&w, claim, &peak, &highest);
        size_t length = length_that_matters(response, n, peak);
        compare_magnitude(&worst, claim, &w, i, response, length);
        if (claim->degree > 0) {
            compare_phase(&worst, claim, &w, response, length);
        }
    }
    host_free(host);
    free(response);
    double allowed = ratio ? claim->ratio_db : claim->db;
    report(ratio ? "plugin, ratio of two" : "plugin, one setup", claim, &worst);
    if (!(worst.db <= allowed)) {
        print_error("  case %d: %s\n", worst.index, setups_describe(&pairs[worst.index].candidate));
        print_error("  recorded: %s\n", setups_describe(&pairs[worst.index].recorded));
    }
    assert_true(SETUPS - worst.limited >= 40);
    assert_true(worst.values >= 40 * POINTS / 2);
    assert_true(worst.db <= allowed);
    assert_true(worst.limit_over <= 0.01);
    assert_true(claim->degree == 0 || (worst.degree <= claim->degree && worst.phases >= 40));
}

static void one_setup(void **state) { check_plugin(*state, false); }

static void ratio_of_two(void **state) { check_plugin(*state, true); }

/* A known tone comes out at the level that the circuit predicts: 997 Hz at -18 dBFS, 0.01 dB. */
static void test_tone_level(void **state)
{
    (void)state;
    enum { RATE = 48000, LENGTH = 2 * RATE };
    static float in[LENGTH], out[LENGTH];
    for (int i = 0; i < LENGTH; i++) {
        in[i] = (float)(pow(10, -18.0 / 20) * sin(CW_TAU * 997 * i / RATE));
    }
    struct host *host = open_host(RATE, false);
    double worst = 0;
    int judged = 0;
    for (int i = 0; i < SETUPS; i++) {
        struct wanted w = wanted_of(&pairs[i], false);
        send_setup(host, CW_A, &pairs[i].candidate);
        host_restart(host);
        host_run(host, in, out, LENGTH, 1024);
        double db = 20 * log10(spectrum_amplitude(out + RATE, RATE, 997, RATE));
        double expected = wanted_db(&w, 997) - 18;
        double peak, highest;
        levels_of(&w, &claims[1], &peak, &highest);
        if (highest < BOOST_LIMIT - 3) {
            within(db, expected, 0.01, setups_describe(&pairs[i].candidate));
            worst = worse(worst, fabs(db - expected));
            judged++;
        }
    }
    host_free(host);
    print_message("997 Hz at -18 dBFS: worst %.5f dB of the predicted level, %d setups\n", worst, judged);
    assert_true(judged >= 40);
}

/* A candidate that is equal to the recorded-through setup is flat. */
static void equal_setups_are_flat(void **state)
{
    (void)state;
    enum { RATE = 48000, LENGTH = 2 * RATE };
    static float response[LENGTH];
    struct host *host = open_host(RATE, true);
    double worst = 0;
    for (int i = 0; i < SETUPS; i++) {
        send_setup(host, CW_A, &pairs[i].candidate);
        send_setup(host, CW_REC, &pairs[i].candidate);
        host_impulse(host, response, LENGTH);
        for (double hz = 20; hz <= 20000; hz *= 1.5) {
            double db = spectrum_db(response, LENGTH, hz, RATE);
            within(db, 0, 0.001, setups_describe(&pairs[i].candidate));
            worst = worse(worst, fabs(db));
        }
    }
    host_free(host);
    print_message("candidate equal to recorded-through: flat within %.2g dB\n", worst);
}

/* ---- the design by itself --------------------------------------------------------------------- */

/* Many more setups and every rate, without a host: cheap, and what the plots call. */
static void check_design(const struct claim *claim, bool ratio)
{
    struct worst worst = {0};
    struct rng rng = {41};
    struct pair bad = pairs[0];
    int designs = getenv("CW_BRIEF") ? DESIGNS / 4 : DESIGNS;
    for (int i = 0; i < designs; i++) {
        struct pair pair;
        setups_random(&rng, i, &pair.candidate);
        setups_random(&rng, rng_pick(&rng, SETUPS_KINDS), &pair.recorded);
        keep_below_limit(&pair, ratio, claim);
        struct wanted w = wanted_of(&pair, ratio);
        struct cw_sections sections;
        cw_digital_design(&w.candidate, ratio ? &w.recorded : NULL, claim->rate, BOOST_LIMIT, &sections);
        assert_in_range(sections.count, 0, CW_SECTIONS_MAX);
        for (int k = 0; k < sections.count; k++) { /* stable: inside the triangle of a1 and a2 */
            const struct cw_biquad *s = &sections.section[k];
            assert_true(fabs(s->a2) < 1 && fabs(s->a1) < 1 + s->a2);
        }
        double peak, highest;
        levels_of(&w, claim, &peak, &highest);
        bool limited = highest > BOOST_LIMIT - 3;
        worst.limited += limited;
        for (int k = 0; k < POINTS; k++) {
            double hz = point_hz(claim, k), expected = wanted_db(&w, hz);
            double got = 10 * log10(cw_sections_power(&sections, hz, claim->rate));
            worst.limit_over = fmax(worst.limit_over, got - BOOST_LIMIT);
            if (expected >= peak - DEPTH && !limited) {
                double before = worst.db;
                keep_worst(&worst, fabs(got - expected), hz, i);
                bad = worst.db > before ? pair : bad;
                worst.values++;
            }
        }
    }
    double allowed = ratio ? claim->ratio_db : claim->db;
    report(ratio ? "design, ratio of two" : "design, one setup", claim, &worst);
    if (!(worst.db <= allowed)) {
        print_error("  case %d: %s\n", worst.index, setups_describe(&bad.candidate));
        print_error("  recorded: %s\n", setups_describe(&bad.recorded));
    }
    assert_true(worst.values > designs * POINTS / 4);
    assert_true(worst.db <= allowed);
    assert_true(worst.limit_over <= 0.01);
}

static void design_one(void **state) { check_design(*state, false); }

static void design_ratio(void **state) { check_design(*state, true); }

/* No frequency is raised by more than the limit, whatever the pair, rate and limit. */
static void limit_is_kept(void **state)
{
    (void)state;
    const double rate[] = {8000, 22050, 44100, 48000, 96000, 192000, 384000};
    struct rng rng = {42};
    double worst = 0, worst_rate = 0, worst_hz = 0;
    int at_work = 0, cases = 2100;
    for (int i = 0; i < cases; i++) {
        struct pair pair;
        struct cw_sections sections;
        setups_random(&rng, i, &pair.candidate);
        setups_random(&rng, rng_pick(&rng, SETUPS_KINDS), &pair.recorded);
        struct wanted w = wanted_of(&pair, true);
        double fs = rate[i % 7], limit = rng_between(&rng, 0, BOOST_LIMIT);
        cw_digital_design(&w.candidate, &w.recorded, fs, limit, &sections);
        at_work += sections.limited;
        for (double hz = 5; hz < fs / 2; hz *= 1.02) {
            double over = 10 * log10(cw_sections_power(&sections, hz, fs)) - limit;
            if (!(over <= worst)) {
                worst = over;
                worst_rate = fs;
                worst_hz = hz;
            }
        }
    }
    print_message("boost limit: at work in %d of %d designs, exceeded by at most %.3f dB (at %.0f Hz, rate %.0f)\n",
                  at_work, cases, worst, worst_hz, worst_rate);
    assert_true(at_work > cases / 10);
    assert_true(worst <= 0.05);
}

/* No random setup has such a zero, but the interface takes any transfer function: the magnitude is
 * kept, and it is said that the phase is not. */
static void right_half_zeros_are_mirrored(void **state)
{
    (void)state;
    const struct claim *claim = &claims[1];
    struct wanted w = {.ratio = true};
    w.candidate.num = cw_poly_constant(40);
    w.candidate.den = (struct cw_poly){2, {16, 2, 1}}; /* resonant at 4 kHz */
    w.recorded.num = (struct cw_poly){2, {9, -2, 1}};  /* a pair at 3 kHz, right of the axis */
    w.recorded.den = (struct cw_poly){3, {30, 31, 11, 1}};
    struct cw_sections sections;
    cw_digital_design(&w.candidate, &w.recorded, claim->rate, BOOST_LIMIT, &sections);
    assert_true(sections.mirrored);
    for (int i = 0; i < POINTS; i++) {
        double hz = point_hz(claim, i);
        assert_true(fabs(10 * log10(cw_sections_power(&sections, hz, claim->rate)) - wanted_db(&w, hz)) <=
                    claim->ratio_db);
    }
    /* Where both have them they cancel: nothing is left to be mirrored, or to be done. */
    cw_digital_design(&w.recorded, &w.recorded, claim->rate, BOOST_LIMIT, &sections);
    assert_true(!sections.mirrored && sections.count == 0 && sections.gain == 1);
    w.recorded.num.c[1] = 2;
    cw_digital_design(&w.candidate, &w.recorded, claim->rate, BOOST_LIMIT, &sections);
    assert_false(sections.mirrored);
}

static void silence_is_silent(void **state)
{
    (void)state;
    struct cw_transfer sounding = circuit_of(&pairs[0].candidate), silent = {cw_poly_constant(0), cw_poly_constant(1)};
    struct cw_sections muted, plain, undone;
    cw_digital_design(&silent, &sounding, 48000, BOOST_LIMIT, &muted);
    assert_true(muted.silent && muted.gain == 0 && cw_sections_power(&muted, 1000, 48000) == 0);
    cw_digital_design(&sounding, &silent, 48000, BOOST_LIMIT, &undone); /* nothing there to divide out */
    cw_digital_design(&sounding, NULL, 48000, BOOST_LIMIT, &plain);
    for (double hz = 20; hz < 20000; hz *= 2) {
        assert_true(cw_sections_power(&undone, hz, 48000) == cw_sections_power(&plain, hz, 48000));
    }
}

#define AT(function, claim, name)                                                                                      \
    {                                                                                                                  \
#function " " name, function, NULL, NULL, (void *)(uintptr_t)(claim)                                           \
    }

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT(design_one, &other_rates[0], "8000"),
        AT(design_one, &other_rates[1], "16000"),
        AT(design_one, &other_rates[2], "22050"),
        AT(design_one, &other_rates[3], "32000"),
        AT(design_one, &claims[0], "44100"),
        AT(design_one, &claims[1], "48000"),
        AT(design_one, &claims[2], "88200"),
        AT(design_one, &claims[3], "96000"),
        AT(design_one, &claims[4], "192000"),
        AT(design_one, &other_rates[4], "384000"),
        AT(design_ratio, &other_rates[0], "8000"),
        AT(design_ratio, &other_rates[1], "16000"),
        AT(design_ratio, &other_rates[2], "22050"),
        AT(design_ratio, &other_rates[3], "32000"),
        AT(design_ratio, &claims[0], "44100"),
        AT(design_ratio, &claims[1], "48000"),
        AT(design_ratio, &claims[2], "88200"),
        AT(design_ratio, &claims[3], "96000"),
        AT(design_ratio, &claims[4], "192000"),
        AT(design_ratio, &other_rates[4], "384000"),
        AT(one_setup, &claims[0], "44100"),
        AT(one_setup, &claims[1], "48000"),
        AT(one_setup, &claims[2], "88200"),
        AT(one_setup, &claims[3], "96000"),
        AT(one_setup, &claims[4], "192000"),
        AT(one_setup, &other_rates[1], "16000"),
        AT(ratio_of_two, &claims[0], "44100"),
        AT(ratio_of_two, &claims[1], "48000"),
        AT(ratio_of_two, &claims[2], "88200"),
        AT(ratio_of_two, &claims[3], "96000"),
        AT(ratio_of_two, &claims[4], "192000"),
        AT(ratio_of_two, &other_rates[1], "16000"),
        cmocka_unit_test(limit_is_kept),
        cmocka_unit_test(right_half_zeros_are_mirrored),
        cmocka_unit_test(silence_is_silent),
        cmocka_unit_test(test_tone_level),
        cmocka_unit_test(equal_setups_are_flat),
    };
    return cmocka_run_group_tests(tests, make_pairs, NULL);
}
