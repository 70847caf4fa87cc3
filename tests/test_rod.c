/* SPDX-License-Identifier: ISC */
/* The judge of cores (support/rod.h) against check vectors that were computed apart from this program, by another
 * program's Bessel functions, and given with the digits that were kept; and the circuit's branches against it, in
 * a network with a load, with the EMF held constant as the vectors have it.
 *
 * The case: 2.636522 H in air, the rods' share 0.06148561480 of it, relative permeability 200, 5.8 MS/m, rods
 * of 19.2 x 4.8 mm; 8 kohm, 120 pF across the whole; 500k and 500k + 22 nF from hot to earth, 500 pF and 1 M. */
#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "core.h"
#include "polynomial.h"
#include "rod.h"
#include "rods.h"
#include "setup.h"
#include "transfer.h"
#include "within.h"

static const double tau_circle = 6.283185307179586476925;

static double decibel(double complex v) { return 20 * log10(cabs(v)); }

/* To the digits that are printed: half of the last one. */
static void printed(double complex value, double complex expected, int digits, const char *what)
{
    double half = 0.5001 * pow(10, -digits);
    within(creal(value), creal(expected), half, what);
    within(cimag(value), cimag(expected), half, what);
}

static void demagnetising_and_permeability(void **state)
{
    (void)state;
    static const struct {
        double hz;
        double complex own, apparent;
    } row[] = {
        {100, 136.3419605026 - 74.4380383954 * I, 12.3866100242 - 0.4381606545 * I},
        {1000, 39.0574687891 - 35.0620726682 * I, 11.1011963352 - 1.4758454642 * I},
        {3000, 22.5026616820 - 21.2015229844 * I, 9.8520736222 - 2.0792015013 * I},
        {10000, 12.3174105223 - 11.9322914052 * I, 7.9075806548 - 2.5990939756 * I},
        {20000, 8.7086062863 - 8.5169457385 * I, 6.6052686768 - 2.7033600334 * I},
    };
    struct rod rod = rod_check_coil().rod;
    within(rod.demagnetising, 0.0754072427338588, 1e-15, "demagnetising factor of a spheroid of 4:1");
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        printed(rod_permeability(&rod, row[i].hz), row[i].own, 10, "permeability");
        printed(rod_apparent(&rod, row[i].hz), row[i].apparent, 10, "apparent permeability");
    }
}

/* The same of rods of magnet alloy, and deep in the skin effect, where 2 J1/(ka J0) goes to 2j/(ka): size 2 mu/|ka|,
 * angle -45 degrees (textbook). */
static void permeability_of_others(void **state)
{
    (void)state;
    const struct rod alloy = {4, 2.1e6, 2.4e-3, rod_demagnetising(4)};
    printed(rod_permeability(&alloy, 100), 3.99988 - 0.01910 * I, 5, "alloy at 100 Hz");
    printed(rod_permeability(&alloy, 1000), 3.98789 - 0.19022 * I, 5, "alloy at 1 kHz");
    printed(rod_permeability(&alloy, 5000), 3.72565 - 0.86505 * I, 5, "alloy at 5 kHz");
    printed(rod_apparent(&alloy, 0), 3.262, 3, "alloy at rest, seen from outside");
    const struct rod steel = {188, 5.8e6, 2.4e-3, rod_demagnetising(4)};
    double delta = steel.radius * sqrt(2.0) / 50.0; /* |ka| = 50 */
    double complex deep = rod_permeability(&steel, 2 / (tau_circle * delta * delta * 188 * CW_MU0 * 5.8e6));
    within_share(cabs(deep), 2.0 * 188 / 50, 0.01, "size");
    within(carg(deep), -tau_circle / 8, 0.01, "angle");
}

/* 2 J1(z)/(z J0(z)) = sum 4/(alpha^2 - z^2), alpha the zeros of J0 (Watson, from memory): weights and corners. */
static void foster_terms(void **state)
{
    (void)state;
    static const double zero[] = {2.404825557695773, 5.520078110286311, 8.653727912911013, 11.79153443901428};
    static const double weight[] = {0.69166, 0.13127, 0.05341}, corner[] = {109.62, 577.59, 1419.5, 2635.5};
    struct rod rod = rod_check_coil().rod;
    for (int i = 0; i < 4; i++) {
        double alpha2 = zero[i] * zero[i];
        double tau = rod.radius * rod.radius * rod.permeability * 1.25663706212e-6 * rod.conductivity / alpha2;
        within_share(1 / (tau_circle * tau), corner[i], 5e-5, "corner");
        if (i < 3) {
            within(4 / alpha2, weight[i], 5e-6, "weight");
        }
        /* The ratio has its pole there: what is left beside it is small. */
        double z2 = alpha2 * (1 - 1e-6);
        within_share(creal(rod_bessel_ratio(csqrt(z2))), 4 / (alpha2 - z2), 1e-5, "pole");
    }
    /* All of them, as McMahon's expansion has the zeros, add up to the ratio. */
    double complex z = csqrt(-I * 37.0), sum = 0;
    for (int i = 0; i < 200000; i++) {
        double b = (i + 0.75) * acos(-1.0), alpha = i < 4 ? zero[i] : b + 1 / (8 * b) - 31 / (384 * b * b * b);
        sum += 4 / (alpha * alpha - z * z);
    }
    within(cabs(sum / rod_bessel_ratio(z) - 1), 0, 2e-5, "sum of the terms");
}

static double complex load_admittance(double hz)
{
    double complex s = I * tau_circle * hz;
    return 1 / 500e3 + 1 / (500e3 + 1 / (s * 22e-9)) + s * 500e-12 + 1 / 1e6;
}

static double complex loaded(const struct rod_coil *coil, double complex henry, double hz)
{
    double complex s = I * tau_circle * hz, z = coil->ohm + s * henry;
    return 1 / (1 + z * (s * coil->farad + load_admittance(hz)));
}

static const struct {
    double hz;
    double complex henry, ohm;
    double db, degree;
} vector[] = {
    {100, 4.482383 - 0.071029 * I, 8048.0438 + 2812.0801 * I, -0.325443, -1.0696},
    {1000, 4.274007 - 0.239247 * I, 9899.5504 + 27336.9587 * I, 0.376187, -10.3202},
    {3000, 4.071514 - 0.337055 * I, 20984.4913 + 92043.2824 * I, 4.754886, -72.4819},
    {5000, 3.948701 - 0.378834 * I, 68860.9126 + 223328.8567 * I, -4.396241, -142.5802},
    {10000, 3.756296 - 0.421334 * I, 51056.4697 - 285748.6153 * I, -18.495786, -162.5414},
    {20000, 3.545181 - 0.438237 * I, 1877.0983 - 77599.8687 * I, -30.667809, -167.9291},
};
enum { VECTORS = sizeof vector / sizeof vector[0] };

static void check_vectors(void **state)
{
    (void)state;
    struct rod_coil coil = rod_check_coil();
    for (int i = 0; i < VECTORS; i++) {
        double complex henry = rod_inductance(&coil, vector[i].hz), h = loaded(&coil, henry, vector[i].hz);
        printed(henry, vector[i].henry, 6, "inductance");
        printed(rod_impedance(henry, coil.ohm, coil.farad, vector[i].hz), vector[i].ohm, 4, "impedance");
        within(decibel(h), vector[i].db, 5.1e-7, "level");
        within(carg(h) * 360 / tau_circle, vector[i].degree, 5.1e-5, "phase");
    }
    within(creal(rod_inductance(&coil, 1e-6)), 4.5, 5e-7, "inductance at 0 Hz");
    within(creal(rod_inductance(&coil, 120)), 4.476, 5e-4, "inductance at 120 Hz");
}

/* A fitted set, for the arithmetic of the closed form alone. */
static void fitted_set(void **state)
{
    (void)state;
    const struct rod_semi semi = {2.46, 2.126, 781};
    static const struct {
        double hz;
        double complex ohm;
    } row[] = {{100, 8061.95220 + 2812.98930 * I},
               {1000, 9904.20293 + 27328.95941 * I},
               {3000, 20976.51160 + 92035.32628 * I},
               {20000, 1883.83171 - 77597.50198 * I}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        printed(rod_impedance(rod_semi_inductance(&semi, row[i].hz), 8e3, 120e-12, row[i].hz), row[i].ohm, 5,
                "impedance");
    }
}

/* La + (Le || K sqrt s), worked out from the rod without a fit. */
static void closed_form(void **state)
{
    (void)state;
    struct rod_coil of_the_vectors = rod_check_coil();
    struct rod_semi check = rod_semi_of(&of_the_vectors);
    within(check.la, 2.474413, 5.1e-7, "La");
    within(check.le, 2.117317, 5.1e-7, "Le");
    within(check.k, 765.366, 5.1e-4, "K");
    static const double permeability[] = {100, 200, 300, 500};
    for (int m = 0; m < 4; m++) {
        struct rod_coil coil = rod_check_coil();
        coil.rod.permeability = permeability[m];
        struct rod_semi semi = rod_semi_of(&coil);
        double worst_z = 0, worst_h = 0;
        for (double hz = 100; hz <= 20000; hz *= 1.05) {
            double complex exact = rod_inductance(&coil, hz), form = rod_semi_inductance(&semi, hz);
            double complex z = rod_impedance(form, coil.ohm, coil.farad, hz);
            worst_z = worse(worst_z, fabs(decibel(z / rod_impedance(exact, coil.ohm, coil.farad, hz))));
            worst_h = worse(worst_h, fabs(decibel(loaded(&coil, form, hz) / loaded(&coil, exact, hz))));
        }
        print_message("closed form, permeability %g: impedance within %.3f dB, response %.3f dB\n", permeability[m],
                      worst_z, worst_h);
        assert_true(worst_z <= 0.05 && worst_h <= 0.05);
    }
}

/* ---- the circuit ------------------------------------------------------------------------------ */

/* The network of the vectors, its coil in branches. */
static void network_of(const struct cw_inductor *inductor, struct cw_setup *setup, struct cw_pickup *pickup)
{
    cw_setup_defaults(setup);
    setup->value[CW_P_INPUT_CAPACITANCE] = 0;
    *pickup = (struct cw_pickup){.coils = CW_COILS_ONE, .constant_emf = true};
    pickup->coil[0] = (struct cw_coil){.emf = 1, .resistance = 8e3, .capacitance = 120e-12};
    pickup->coil[0].inductance = inductor->lossless;
    pickup->coil[0].tail = inductor->tail;
    for (int i = 0; i < CW_BRANCHES; i++) {
        pickup->coil[0].branch[i] = inductor->branch[i];
    }
}

static double complex of(struct cw_complex v) { return v.re + I * v.im; }

/* Steel by the program's own branches, in the whole network, against the exact rod; and the EMF behind the core
 * against the exact fall of the inductance, from the exact inductance at rest. */
static void circuit_against_the_rod(void **state)
{
    (void)state;
    struct rod_coil coil = rod_check_coil();
    double part = coil.air * coil.share * (1 - coil.rod.demagnetising);
    const struct cw_rods_share share = {part, coil.rod.demagnetising};
    const struct cw_core_material steel = {200, 5.8e6};
    struct cw_inductor inductor = cw_core_inductor(coil.air, share, steel, coil.rod.radius, (struct cw_metal){0, 1e3},
                                                   1 / (CW_TAU * sqrt(4.5 * coil.farad)));
    struct cw_setup setup;
    struct cw_pickup pickup;
    struct cw_transfer h, z, falling;
    network_of(&inductor, &setup, &pickup);
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &h);
    cw_circuit_impedance(&setup, &pickup, &z);
    pickup.constant_emf = false;
    pickup.coil[0].emf = cw_coil_inductance_dc(&pickup.coil[0]) / cw_core_at_rest(coil.air, share, steel);
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &falling);
    double worst_z = 0, worst_h = 0, worst_emf = 0, worst_all = 0;
    for (double hz = 20; hz <= 20000; hz *= 1.03) {
        double complex exact = rod_inductance(&coil, hz), response = of(cw_transfer_at(&h, hz));
        double complex ohm = rod_impedance(exact, coil.ohm, coil.farad, hz);
        worst_z = worse(worst_z, fabs(decibel(of(cw_transfer_at(&z, hz)) / ohm)));
        double complex emf = of(cw_transfer_at(&falling, hz)) / response, fall = exact / rod_inductance(&coil, 0);
        worst_emf = worse(worst_emf, fabs(decibel(emf / fall)));
        if (hz <= 10000) {
            double complex rod = loaded(&coil, exact, hz);
            worst_h = worse(worst_h, fabs(decibel(response / rod)));
            worst_all = worse(worst_all, fabs(decibel(emf * response / (fall * rod))));
        }
    }
    print_message("circuit against the rod: impedance %.3f dB, response to 10 kHz %.3f dB with a constant EMF and "
                  "%.3f dB with one that falls; EMF alone to 20 kHz %.3f dB\n",
                  worst_z, worst_h, worst_all, worst_emf);
    assert_true(worst_z <= 0.06 && worst_h <= 0.06 && worst_all <= 0.06 && worst_emf <= 0.31);
    /* How far the string's EMF falls behind steel: 0.98 dB at 4 kHz, 2.01 dB at 20 kHz. */
    within(-decibel(rod_inductance(&coil, 4000) / 4.5), 0.98, 0.02, "EMF at 4 kHz");
    within(-decibel(rod_inductance(&coil, 20000) / 4.5), 2.01, 0.02, "EMF at 20 kHz");
}

/* A plain inductance and a resistor across it, as coils were before, is no core: it is 1.5 dB away. */
static void the_judge_sees_a_plain_coil(void **state)
{
    (void)state;
    struct rod_coil coil = rod_check_coil();
    struct cw_inductor plain = {.lossless = 4.476};
    struct cw_setup setup;
    struct cw_pickup pickup;
    struct cw_transfer h;
    double worst = 0;
    network_of(&plain, &setup, &pickup);
    pickup.coil[0].loss = 737e3;
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &h);
    for (double hz = 20; hz <= 10000; hz *= 1.03) {
        worst = worse(worst, fabs(decibel(of(cw_transfer_at(&h, hz)) / loaded(&coil, rod_inductance(&coil, hz), hz))));
    }
    print_message("a plain inductance with a resistor across it is %.2f dB away\n", worst);
    assert_true(worst > 1.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(demagnetising_and_permeability),
        cmocka_unit_test(permeability_of_others),
        cmocka_unit_test(foster_terms),
        cmocka_unit_test(check_vectors),
        cmocka_unit_test(fitted_set),
        cmocka_unit_test(closed_form),
        cmocka_unit_test(circuit_against_the_rod),
        cmocka_unit_test(the_judge_sees_a_plain_coil),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
