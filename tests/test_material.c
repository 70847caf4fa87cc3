/* SPDX-License-Identifier: ISC */
/* Magnets and the table of materials.
 *
 * Sources: demagnetising factors of prolate spheroids, J. A. Osborn 1945, computed apart from this program in
 * double precision, given with the digits kept. Br, HcB: single figures of the FEMM material library. */
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
        cmocka_unit_test(test_demagnetising_factors),
        cmocka_unit_test(test_working_points),
        cmocka_unit_test(test_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
