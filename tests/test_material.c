/* SPDX-License-Identifier: ISC */
/* Magnets, rods and the table of materials.
 *
 * Sources: demagnetising factors of prolate spheroids, J. A. Osborn 1945, and the permeability of
 * a conducting rod, textbook skin effect: both computed apart from this program in double
 * precision, given with the digits kept. Br, HcB: single figures of the FEMM material library. */
#include "constants.h"
#include "magnetics.h"
#include "material.h"

#include "setup.h"
#include "support/within.h"

static void test_demagnetising_factors(void **state)
{
    (void)state;
    within(cw_demagnetising_spheroid(2), 0.17356, 0.5e-5, "spheroid 2");
    within(cw_demagnetising_spheroid(3), 0.10871, 0.5e-5, "spheroid 3");
    within(cw_demagnetising_spheroid(3.5), 0.08965, 0.5e-5, "spheroid 3.5");
    within(cw_demagnetising_spheroid(4), 0.07541, 0.5e-5, "spheroid 4");
    within(cw_demagnetising_spheroid(5), 0.05582, 0.5e-5, "spheroid 5");
    within(cw_demagnetising_spheroid(10), 0.02029, 0.5e-5, "spheroid 10");
    within(cw_demagnetising_bar(1, 1), 0.5, 1e-15, "round cylinder across");
}

static void test_apparent_permeability(void **state)
{
    (void)state;
    static const double mu[] = {4, 6, 100, 500}, app[] = {3.262, 4.357, 11.81, 12.94},
                        half_digit[] = {5e-4, 5e-4, 5e-3, 5e-3};
    double n = cw_demagnetising_spheroid(4);
    for (int i = 0; i < 4; i++) {
        struct cw_permeability m = cw_apparent_permeability((struct cw_permeability){mu[i], 0}, n);
        within(m.re, app[i], half_digit[i], "rod of L/d 4");
        within(m.im, 0, 0, "no loss");
    }
    struct cw_permeability steel = {39.0575, -35.0621};
    struct cw_permeability m = cw_apparent_permeability(steel, 0.0706);
    within(m.re, 11.7032, 0.5e-4, "steel rod, 1 kHz, N 0.0706: real part");
    within(m.im, -1.6524, 0.5e-4, "steel rod, 1 kHz, N 0.0706: imaginary part");
}

static void test_rod_permeability(void **state)
{
    (void)state;
    static const struct {
        double mu, sigma, hz, re, im, digit;
    } row[] = {{200, 5.8e6, 100, 136.342, -74.438, 5e-4},   {200, 5.8e6, 1000, 39.0575, -35.0621, 5e-5},
               {200, 5.8e6, 5000, 17.4241, -16.6487, 5e-5}, {4, 2.1e6, 100, 3.99988, -0.01910, 5e-6},
               {4, 2.1e6, 1000, 3.98789, -0.19022, 5e-6},   {4, 2.1e6, 5000, 3.72565, -0.86505, 5e-6}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct cw_permeability m = cw_rod_permeability(row[i].mu, row[i].sigma, 2.4e-3, row[i].hz);
        within(m.re, row[i].re, row[i].digit, "real part");
        within(m.im, row[i].im, row[i].digit, "imaginary part");
    }
    struct cw_permeability m = cw_rod_permeability(200, 5.8e6, 2.4e-3, 5000);
    m = cw_apparent_permeability(m, 0.0706);
    within(m.re, 9.4616, 0.5e-4, "steel rod, 5 kHz, N 0.0706: real part");
    within(m.im, -2.5596, 0.5e-4, "steel rod, 5 kHz, N 0.0706: imaginary part");
    m = cw_rod_permeability(200, 5.8e6, 2.4e-3, 0);
    within(m.re, 200, 1e-12, "at rest");
    within(m.im, 0, 0, "at rest");
}

/* Deep in the skin effect 2 J1/(ka J0) goes to 2j/(ka): size 2 mu/|ka|, angle -45 degrees (textbook);
 * the continued fraction must hold up to |ka| = 50. */
static void test_rod_permeability_far_out(void **state)
{
    (void)state;
    double delta = 2.4e-3 * sqrt(2.0) / 50.0; /* |ka| = 50 */
    double hz = 1.0 / (delta * delta * CW_PI * 188 * CW_MU0 * 5.8e6);
    struct cw_permeability m = cw_rod_permeability(188, 5.8e6, 2.4e-3, hz);
    within_share(hypot(m.re, m.im), 2.0 * 188 / 50, 0.01, "size");
    within(atan2(m.im, m.re), -CW_PI / 4, 0.01, "angle");
    m = cw_rod_permeability(188, 5.8e6, 2.4e-3, 1e12); /* far beyond: a number still */
    assert_true(isfinite(m.re) && isfinite(m.im) && m.re > 0 && m.im < 0);
}

/* The working point lies on the load line and on a curve from Br to HcB whose largest product of B
 * and H is the energy product of the table. */
static void test_working_points(void **state)
{
    (void)state;
    for (int i = 0; i < CW_MAGNETS; i++) {
        const struct cw_magnet_info *magnet = &cw_magnet_info[i];
        double best = 0, last = 0;
        for (double n = 0.999; n > 0.0005; n -= 0.0005) {
            double b = cw_magnet_working_point(magnet, n);
            double h = b / CW_MU0 * n / (1 - n);
            best = fmax(best, b * h);
            assert_true(b > last && b < magnet->remanence);
            assert_true(h < magnet->coercivity);
            last = b;
        }
        within_share(best, magnet->energy_product, 1e-4, "energy product");
        within_share(cw_magnet_working_point(magnet, 1e-6), magnet->remanence, 1e-3, "closed circuit: Br");
        double n = 0.99999; /* open: H goes to HcB */
        within_share(cw_magnet_working_point(magnet, n) / CW_MU0 * n / (1 - n), magnet->coercivity, 1e-3, "open: HcB");
    }
}

static void test_table(void **state)
{
    (void)state;
    static const struct {
        enum cw_magnet magnet;
        double br_low, br_high, hc_low, hc_high, sigma;
    } femm[] = {{CW_MAGNET_ALNICO_2, 0.720, 0.720, 45.1e3, 45.1e3, 1.5e6},
                {CW_MAGNET_ALNICO_3, 0.606, 0.606, 44.2e3, 44.2e3, 1.7e6},
                {CW_MAGNET_ALNICO_5, 1.204, 1.252, 48.6e3, 54.1e3, 2.1e6},
                {CW_MAGNET_ALNICO_8, 0.809, 0.857, 102.6e3, 116e3, 1.9e6},
                {CW_MAGNET_CERAMIC, 0.391, 0.391, 233.6e3, 233.6e3, 0}};
    for (size_t i = 0; i < sizeof femm / sizeof femm[0]; i++) {
        const struct cw_magnet_info *m = &cw_magnet_info[femm[i].magnet];
        assert_true(m->remanence >= femm[i].br_low && m->remanence <= femm[i].br_high);
        assert_true(m->coercivity >= femm[i].hc_low && m->coercivity <= femm[i].hc_high);
        within(m->conductivity, femm[i].sigma, 0, "conductivity");
    }
    for (int i = 0; i < CW_MAGNETS; i++) {
        assert_true(cw_magnet_info[i].source[0] != '\0');
        const struct cw_range *mu = &cw_magnet_info[i].recoil_permeability;
        assert_true(mu->low > 1 && mu->usual > mu->low && mu->high > mu->usual);
    }
    for (int i = 0; i < CW_CORES; i++) {
        assert_true(cw_core_info[i].source[0] != '\0');
    }
    /* Ranges of thelen.us: paraffin 2.1 to 2.5, beeswax 2.6 to 3.0; air 1.00059. */
    within(cw_potting_info[CW_POTTING_PARAFFIN].permittivity, 2.3, 0.2, "paraffin");
    within(cw_potting_info[CW_POTTING_BEESWAX].permittivity, 2.8, 0.2, "beeswax");
    within(cw_potting_info[CW_POTTING_NONE].permittivity, 1.00059, 1e-9, "air");
    within(cw_enamel_info.permittivity, 3.9, 0.2, "enamel films: 3.7 to 4.1");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_demagnetising_factors), cmocka_unit_test(test_apparent_permeability),
        cmocka_unit_test(test_rod_permeability),      cmocka_unit_test(test_rod_permeability_far_out),
        cmocka_unit_test(test_working_points),        cmocka_unit_test(test_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
