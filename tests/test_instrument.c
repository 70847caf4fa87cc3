/* SPDX-License-Identifier: ISC */
/* The circuit of a closed instrument and the fit of it: arithmetic against check values and against the core's own
 * network, what curves cannot tell, what is told right, a circuit that is none of this kind. The population is judged
 * in tests/test_fit.sh by a program that shares no code with this. */
#include "instrument.h"

#include <complex.h>
#include <stdlib.h>
#include <string.h>

#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "fit_figures.h"
#include "fit_request.h"
#include "instrument_fit.h"
#include "instrument_preset.h"
#include "one_port.h"
#include "polynomial.h"
#include "setup.h"
#include "support/rod.h"
#include "support/setups.h"
#include "support/within.h"
#include "transfer.h"

static const struct cw_standing leads = {.leads = true}, full = {false, 1, 1};

static struct cw_instrument steel(void)
{
    return (struct cw_instrument){.resistance = 8e3,
                                  .la = 2.46,
                                  .le = 2.126,
                                  .per_k = 1 / 781.0,
                                  .metal_corner = 1e3,
                                  .capacitance = 120e-12,
                                  .volume_pot = 500e3,
                                  .tone_pot = 500e3,
                                  .tone_cap = 22e-9};
}

/* Values worked out apart from this program, by a table calculator's complex arithmetic. */
static void test_check_values(void **state)
{
    (void)state;
    static const double check[][3] = {{100, 8061.95220, 2812.98930},
                                      {1000, 9904.20293, 27328.95941},
                                      {3000, 20976.51160, 92035.32628},
                                      {20000, 1883.83171, -77597.50198}};
    struct cw_instrument i = steel();
    for (size_t k = 0; k < sizeof check / sizeof check[0]; k++) {
        struct cw_complex z = cw_instrument_impedance(&i, leads, check[k][0]);
        within(z.re, check[k][1], 6e-6, "resistance");
        within(z.im, check[k][2], 6e-6, "reactance");
    }
}

/* The form of a core with skin effect against the exact rod: no parameter is fitted. The fraction that it ends early is
 * right to 0.6 %, of which the core's part of the inductance is left. */
static void test_skin_of_a_rod(void **state)
{
    (void)state;
    static const double mu0 = 2e-7 * CW_TAU;
    struct rod_coil coil = rod_check_coil();
    struct rod_semi semi = rod_semi_of(&coil);
    const struct rod *rod = &coil.rod;
    double time = rod->radius * rod->radius * rod->permeability * mu0 * rod->conductivity;
    struct cw_instrument i = {
        .la = semi.la, .le = 4.5 - semi.la, .per_k = 1 / semi.k, .skin_time = time, .metal_corner = 1};
    for (double hz = 1; hz < 100e3; hz *= 1.3) {
        struct cw_complex form = cw_instrument_inductance(&i, hz);
        double complex exact = rod_inductance(&coil, hz);
        within(cabs(form.re + I * form.im - exact), 0, 8e-4 * cabs(exact), "inductance");
    }
    i.skin_time = 1e6; /* a rod of a kilometre has skin effect everywhere */
    struct cw_instrument root = i;
    root.skin_time = 0;
    for (double hz = 20; hz < 20e3; hz *= 3) {
        struct cw_complex a = cw_instrument_inductance(&i, hz), b = cw_instrument_inductance(&root, hz);
        within(hypot(a.re - b.re, a.im - b.im), 0, 1e-3, "without a beginning");
    }
}

/* With branches only, the circuit is one that the core has too: all controls, with bleed, either place of the tone. */
static void test_against_the_core(void **state)
{
    (void)state;
    for (int after = 0; after < 2; after++) {
        struct cw_setup s;
        cw_setup_defaults(&s);
        s.value[CW_P_BLEED_CAP] = 680;
        s.value[CW_P_BLEED_RESISTOR] = 150;
        s.value[CW_P_TONE_AFTER_VOLUME] = after;
        s.value[CW_P_TAPER] = 30; /* at half rotation, where volume and tone stand */
        s.value[CW_P_VOLUME] = s.value[CW_P_TONE] = 5;
        struct cw_pickup pickup = {.coils = CW_COILS_ONE,
                                   .coil = {{.emf = 1,
                                             .resistance = 7e3,
                                             .inductance = 3,
                                             .capacitance = 130e-12,
                                             .loss = 2e6,
                                             .branch = {{0.7, 0.7 * CW_TAU * 4e3}}}},
                                   .constant_emf = true};
        struct cw_instrument i = {.resistance = 7e3,
                                  .la = 3,
                                  .metal = 0.7,
                                  .metal_corner = 4e3,
                                  .leak = 5e-7,
                                  .capacitance = 130e-12,
                                  .volume_pot = 500e3,
                                  .tone_pot = 500e3,
                                  .tone_cap = 22e-9,
                                  .bleed_cap = 680e-12,
                                  .bleed_resistor = 150e3,
                                  .tone_after_volume = after};
        struct cw_transfer h, z;
        struct cw_standing at = {false, 0.3, 0.3};
        cw_circuit_transfer(&s, &pickup, CW_DRIVE_STRING, &h);
        cw_circuit_impedance(&s, &pickup, &z);
        for (double hz = 30; hz < 20e3; hz *= 1.7) {
            struct cw_complex a = cw_transfer_at(&h, hz), c = cw_transfer_at(&z, hz);
            struct cw_complex b = cw_instrument_response(&i, at, (struct cw_jack_load){600e-12, 1e6}, hz);
            struct cw_complex d = cw_instrument_impedance(&i, leads, hz);
            within(hypot(a.re - b.re, a.im - b.im), 0, 1e-9 * hypot(a.re, a.im), "response");
            within(hypot(c.re - d.re, c.im - d.im), 0, 1e-9 * hypot(c.re, c.im), "impedance");
        }
    }
}

/* ---- curves ------------------------------------------------------------------------------------- */

enum { POINTS = 160 };

typedef double complex impedance_of(const void *of, struct cw_standing at, double hz);

/* A curve with noise that is \p noise of the voltage behind 100 kohm; it says its errors. */
static struct cw_one_port measured(impedance_of *impedance, const void *of, struct cw_standing at, double noise,
                                   struct rng *rng)
{
    struct cw_one_port curve = {.point = calloc(POINTS, sizeof *curve.point), .count = POINTS, .reference = 1};
    assert_non_null(curve.point);
    for (int i = 0; i < POINTS; i++) {
        double hz = 50 * pow(400, i / (POINTS - 1.0)), angle = CW_TAU * rng_unit(rng);
        double complex z = impedance(of, at, hz), m = z / (z + 1e5);
        m += noise * sqrt(-log(1 - rng_unit(rng))) * cexp(I * angle);
        z = 1e5 * m / (1 - m);
        curve.point[i] = (struct cw_one_port_point){hz, creal(z), cimag(z), hypot(noise * cabs(1 / m / (1 - m)), 3e-4)};
    }
    return curve;
}

static double complex of_instrument(const void *of, struct cw_standing at, double hz)
{
    struct cw_complex z = cw_instrument_impedance(of, at, hz);
    return z.re + I * z.im;
}

/* The coil of exact rods behind the usual controls. */
static double complex of_rod(const void *of, struct cw_standing at, double hz)
{
    const struct rod_coil *coil = of;
    double complex y = 1 / rod_impedance(rod_inductance(coil, hz), coil->ohm, coil->farad, hz);
    double complex tone = 1 / (at.tone * 480e3 + 1 / (I * CW_TAU * hz * 23e-9));
    double complex z = 1 / (y + tone) + (1 - at.volume) * 530e3;
    return at.leads ? 1 / y : 1 / (1 / z + 1 / (at.volume * 530e3));
}

/* The same with another pickup and its own pot beside it. */
static double complex of_two(const void *of, struct cw_standing at, double hz)
{
    const struct rod_coil *coil = of;
    struct rod_coil other = *coil;
    other.air *= 0.8;
    other.ohm *= 0.9;
    double complex z = 1 / rod_impedance(rod_inductance(&other, hz), other.ohm, other.farad, hz) + 1 / 500e3;
    return 1 / (1 / of_rod(of, at, hz) + z);
}

enum { TAKES = 3 };

struct bench {
    struct cw_one_port curve[TAKES];
    struct cw_instrument_take take[TAKES];
    struct cw_instrument_request request;
    struct cw_instrument_fit fit;
};

/* Volume and tone at 10; tone at 0; volume somewhere at half. */
static struct bench *take_all(impedance_of *impedance, const void *of, double noise, uint64_t seed)
{
    struct rng rng = {seed};
    const struct cw_standing at[TAKES] = {full, {false, 1, 0}, {false, 0.12, 1}};
    struct bench *b = calloc(1, sizeof *b);
    assert_non_null(b);
    for (int i = 0; i < TAKES; i++) {
        b->curve[i] = measured(impedance, of, at[i], noise, &rng);
        b->take[i] = (struct cw_instrument_take){&b->curve[i], false, i == 2 ? 5 : 10, i == 1 ? 0 : 10};
    }
    b->request = (struct cw_instrument_request){.take = b->take,
                                                .takes = TAKES,
                                                .volume_pot = {500e3, 0.2},
                                                .tone_pot = {500e3, 0.2},
                                                .tone_cap = {22e-9, 0.1}};
    return b;
}

static void drop(struct bench *b)
{
    for (int i = 0; i < TAKES; i++) {
        cw_one_port_free(&b->curve[i]);
    }
    free(b);
}

static struct cw_told told(const struct bench *b, enum cw_told_id id)
{
    struct cw_told t;
    assert_true(cw_instrument_told(&b->request, &b->fit, id, &t));
    return t;
}

/* With half as much again on either side: of eight figures one may lie just outside by chance. */
static void holds(const struct bench *b, enum cw_told_id id, double truth, const char *what)
{
    struct cw_told t = told(b, id);
    if (!(t.low - 0.5 * (t.value - t.low) <= truth && truth <= t.high + 0.5 * (t.high - t.value))) {
        fail_msg("%s: %g to %g does not hold %g", what, t.low, t.high, truth);
    }
}

/* An exact rod, 60 dB: what is told of it, and its response. */
static void test_a_steel_coil(void **state)
{
    (void)state;
    struct rod_coil coil = rod_check_coil();
    struct bench *b = take_all(of_rod, &coil, 1e-3, 4);
    assert_true(cw_instrument_fit_of(&b->request, &b->fit));
    assert_true(b->fit.chi_square > 0.85 && b->fit.chi_square < 1.15);
    holds(b, CW_TOLD_RESISTANCE, 8e3, "resistance");
    holds(b, CW_TOLD_L_120, creal(rod_inductance(&coil, 120)), "inductance at 120 Hz");
    holds(b, CW_TOLD_L_3K, creal(rod_inductance(&coil, 3e3)), "inductance at 3 kHz");
    holds(b, CW_TOLD_LOSS, 1 / creal(1 / (I * CW_TAU * 3e3 * rod_inductance(&coil, 3e3))), "loss");
    holds(b, CW_TOLD_CAPACITANCE, 120e-12, "capacitance");
    holds(b, CW_TOLD_VOLUME_POT, 530e3, "volume pot");
    holds(b, CW_TOLD_TONE_POT, 480e3, "tone pot");
    holds(b, CW_TOLD_TONE_CAP, 23e-9, "tone capacitor");
    assert_false(told(b, CW_TOLD_VOLUME_POT).marked_only);
    struct cw_jack_load load = {600e-12, 1e6};
    for (double hz = 100; hz < 8e3; hz *= 1.5) {
        double complex s = I * CW_TAU * hz, y = s * (load.farad + coil.farad) + 1 / load.ohm + 1 / 530e3;
        y += 1 / (480e3 + 1 / (s * 23e-9));
        double truth = 20 * log10(cabs(1 / (1 + (coil.ohm + s * rod_inductance(&coil, hz)) * y)));
        struct cw_told t = cw_instrument_told_response(&b->request, &b->fit, false, load, hz);
        within(t.value, truth, 0.05, "response, dB");
    }
    drop(b);
}

/* A plain inductor with a resistor across it, volume at 10: these five give one impedance, by
 * 1/R' = 1/R + g, 1/(R' + P') = 1/(R + P) + g, g = 1/500k - 1/pot. */
static const struct {
    double pot, ohm, henry, loss;
} family[] = {{400e3, 8032.1285, 4.536217, 2024225.9},
              {450e3, 8014.2476, 4.516043, 1290954.8},
              {500e3, 8000, 4.5, 1000000},
              {550e3, 7988.3805, 4.486938, 843886.2},
              {600e3, 7978.7234, 4.476096, 746512.3}};

static struct cw_instrument member(int i)
{
    return (struct cw_instrument){.resistance = family[i].ohm,
                                  .le = family[i].henry,
                                  .metal = family[i].henry,
                                  .metal_corner = family[i].loss / (CW_TAU * family[i].henry),
                                  .la = -family[i].henry, /* the metal's branch alone is the inductor */
                                  .capacitance = 120e-12,
                                  .volume_pot = family[i].pot,
                                  .tone_pot = 500e3,
                                  .tone_cap = 22e-9};
}

static void test_what_no_curve_tells(void **state)
{
    (void)state;
    struct cw_instrument middle = member(2);
    for (int i = 0; i < 5; i++) {
        struct cw_instrument other = member(i);
        for (double hz = 50; hz < 20e3; hz *= 1.3) {
            double complex a = of_instrument(&middle, full, hz), c = of_instrument(&other, full, hz);
            within(cabs(a / c - 1), 0, 1e-7, "one impedance"); /* the family's own digits */
        }
    }
    struct bench *b = take_all(of_instrument, &middle, 1e-3, 6);
    b->request.takes = 1;
    assert_true(cw_instrument_fit_of(&b->request, &b->fit));
    struct cw_told pot = told(b, CW_TOLD_VOLUME_POT), loss = told(b, CW_TOLD_LOSS);
    assert_true(pot.marked_only && loss.marked_only && loss.by_form);
    for (int i = 0; i < 5; i++) {
        assert_true(pot.low < family[i].pot * 1.03 && pot.high > family[i].pot * 0.97);
        assert_true(loss.low < family[i].loss && loss.high > family[i].loss);
    }
    /* It is known which take would tell, and it does. */
    struct cw_instrument_take half = {NULL, false, 5, 10}, dark = {NULL, false, 10, 0};
    double by_half = cw_instrument_after(&b->request, &b->fit, &half, CW_TOLD_VOLUME_POT);
    double by_dark = cw_instrument_after(&b->request, &b->fit, &dark, CW_TOLD_VOLUME_POT);
    assert_true(by_half < 0.05 && by_dark > 0.1);
    b->request.takes = TAKES;
    assert_true(cw_instrument_fit_of(&b->request, &b->fit));
    pot = told(b, CW_TOLD_VOLUME_POT);
    assert_true(!pot.marked_only && pot.low < 500e3 && pot.high > 500e3);
    drop(b);
}

static void test_another_circuit(void **state)
{
    (void)state;
    struct rod_coil coil = rod_check_coil();
    struct bench *b = take_all(of_two, &coil, 1e-3, 8);
    assert_true(cw_instrument_fit_of(&b->request, &b->fit));
    assert_true(b->fit.chi_square > 2);
    drop(b);
}

/* Curves that do not state their errors: the scatter tells them. An ohmmeter's reading counts. */
static void test_silent_errors(void **state)
{
    (void)state;
    struct rod_coil coil = rod_check_coil();
    struct bench *b = take_all(of_rod, &coil, 3e-3, 9);
    for (int t = 0; t < TAKES; t++) {
        for (int i = 0; i < POINTS; i++) {
            b->curve[t].point[i].error = 0;
        }
    }
    assert_true(cw_instrument_fit_of(&b->request, &b->fit));
    assert_true(b->fit.noise_guessed && b->fit.chi_square > 0.3 && b->fit.chi_square < 3);
    holds(b, CW_TOLD_CAPACITANCE, 120e-12, "capacitance");
    struct cw_told before = told(b, CW_TOLD_RESISTANCE);
    b->request.dc_ohm = 1 / (1 / 8e3 + 1 / 530e3);
    b->request.dc_error = 0.002;
    assert_true(cw_instrument_fit_of(&b->request, &b->fit));
    struct cw_told after = told(b, CW_TOLD_RESISTANCE);
    assert_true(after.high / after.low - 1 < 0.7 * (before.high / before.low - 1));
    holds(b, CW_TOLD_RESISTANCE, 8e3, "resistance");
    drop(b);
}

/* ---- the preset --------------------------------------------------------------------------------- */

static void test_preset(void **state)
{
    (void)state;
    struct cw_instrument i = steel();
    struct cw_setup s;
    cw_setup_defaults(&s);
    struct cw_reduced reduced = cw_instrument_preset(&i, &s);
    assert_true(reduced.impedance < 0.08 && reduced.response < 0.06);
    struct cw_pickup pickup;
    struct cw_transfer z;
    cw_coil_solve(&s, &pickup);
    cw_circuit_impedance(&s, &pickup, &z);
    for (double hz = 100; hz < 20e3; hz *= 1.2) {
        double off = cw_transfer_db(&z, hz) - 20 * log10(cabs(of_instrument(&i, leads, hz)));
        within(off, 0, reduced.impedance + 0.01, "what is told of the reduction, dB");
    }
    within_share(s.value[CW_P_VOLUME_POT], 500, 1e-9, "volume pot");
    /* What a setup cannot hold is told. */
    i.tone_cap = 0;
    reduced = cw_instrument_preset(&i, &s);
    assert_true(reduced.response > 0.1);
    for (int id = 0; id < CW_PARAMS; id++) {
        assert_true(s.value[id] >= cw_param_info[id].minimum && s.value[id] <= cw_param_info[id].maximum);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_check_values),        cmocka_unit_test(test_skin_of_a_rod),
        cmocka_unit_test(test_against_the_core),    cmocka_unit_test(test_a_steel_coil),
        cmocka_unit_test(test_what_no_curve_tells), cmocka_unit_test(test_another_circuit),
        cmocka_unit_test(test_silent_errors),       cmocka_unit_test(test_preset),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
