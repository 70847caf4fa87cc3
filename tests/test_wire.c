/* SPDX-License-Identifier: ISC */
/* Wire against the standards' figures.
 *
 * Sources: diameter formula and rounding, ASTM B258-02; conductivity of annealed copper, IEC
 * 60028:1925; the overall diameters are single figures of NEMA MW 1000 as a vendor publishes
 * them (mm, three or four digits). Resistances were computed apart from this program from the
 * formula, the nominal inch sizes and 58 MS/m, and are given with the digits kept. */
#include "setup.h"
#include "wire.h"

#include "support/within.h"

static const double inch = 25.4e-3;

static void test_formula_diameter_and_resistance(void **state)
{
    (void)state;
    static const struct {
        double gauge, mm, ohm_per_m;
    } row[] = {{36, 0.12700, 1.3611}, {37, 0.11310, 1.7163},  {38, 0.10072, 2.1642}, {39, 0.08969, 2.7290},
               {40, 0.07987, 3.4411}, {41, 0.07113, 4.3392},  {42, 0.06334, 5.4716}, {43, 0.05641, 6.8996},
               {44, 0.05023, 8.7002}, {45, 0.04473, 10.9708}, {46, 0.03984, 13.8339}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        double d = cw_wire_formula(row[i].gauge);
        within(d * 1e3, row[i].mm, 0.5e-5, "diameter by formula, mm");
        within(cw_wire_ohm_per_metre(d), row[i].ohm_per_m, 0.5e-4, "ohm per metre by formula");
    }
    within(cw_wire_formula(41) / cw_wire_formula(42), 1.1229322, 0.5e-7, "step of a gauge number, 92^(1/39)");
}

static void test_nominal_diameter_and_resistance(void **state)
{
    (void)state;
    static const struct {
        double gauge, inches, mm, ohm_per_m, ohm_per_kft;
    } row[] = {{36, 0.0050, 0.12700, 1.3611, 414.8},   {37, 0.0045, 0.11430, 1.6803, 512.2},
               {38, 0.0040, 0.10160, 2.1266, 648.2},   {39, 0.0035, 0.08890, 2.7777, 846.6},
               {40, 0.0031, 0.07874, 3.5407, 1079.2},  {41, 0.0028, 0.07112, 4.3401, 1322.9},
               {42, 0.0025, 0.06350, 5.4442, 1659.4},  {43, 0.0022, 0.05588, 7.0302, 2142.8},
               {44, 0.0020, 0.05080, 8.5066, 2592.8},  {45, 0.00176, 0.04470, 10.9847, 3348.1},
               {46, 0.00157, 0.03988, 13.8043, 4207.6}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        double d = cw_wire_bare(row[i].gauge).nominal;
        within(d / inch, row[i].inches, 1e-9, "nominal diameter, in");
        within(d * 1e3, row[i].mm, 0.51e-5, "nominal diameter, mm");
        within(cw_wire_ohm_per_metre(d), row[i].ohm_per_m, 0.51e-4, "ohm per metre");
        within(cw_wire_ohm_per_metre(d) * 304.8, row[i].ohm_per_kft, 0.051, "ohm per 1000 ft");
        assert_true(cw_wire_is_standard(row[i].gauge));
    }
}

/* Half sizes have the formula's diameter within the rounding, and lie between their neighbours. */
static void test_half_sizes(void **state)
{
    (void)state;
    for (double gauge = 36.5; gauge < 46; gauge += 1) {
        double d = cw_wire_bare(gauge).nominal;
        assert_false(cw_wire_is_standard(gauge));
        within(d, cw_wire_formula(gauge), (gauge < 44 ? 0.05e-3 : 0.005e-3) * inch * 1.0001,
               "half size against formula");
        assert_true(d < cw_wire_bare(gauge - 0.5).nominal && d > cw_wire_bare(gauge + 0.5).nominal);
    }
}

/* Bare limits of AWG 42: .0024 to .0026 in, which is 1534 to 1801 ohm per 1000 ft; AWG 36 at its
 * thickest (minimum of a published copper magnet-wire table): 398.7. */
static void test_limits(void **state)
{
    (void)state;
    struct cw_diameter d = cw_wire_bare(42);
    within(d.minimum / inch, 0.0024, 1e-9, "AWG 42 thinnest, in");
    within(d.maximum / inch, 0.0026, 1e-9, "AWG 42 thickest, in");
    within(cw_wire_ohm_per_metre(d.maximum) * 304.8, 1534, 0.5, "AWG 42 least ohm per 1000 ft");
    within(cw_wire_ohm_per_metre(d.minimum) * 304.8, 1801, 0.5, "AWG 42 most ohm per 1000 ft");
    within(cw_wire_ohm_per_metre(cw_wire_bare(36).maximum) * 304.8, 398.7, 0.1, "AWG 36 least ohm per 1000 ft");
    within(cw_wire_bare(45).minimum * 1e3, 0.0429, 1e-4, "AWG 45 thinnest, mm");
    within(cw_wire_bare(45).maximum * 1e3, 0.0464, 1e-4, "AWG 45 thickest, mm");
    within(cw_wire_bare(46).minimum * 1e3, 0.0384, 4e-4, "AWG 46 thinnest, mm");
    within(cw_wire_bare(46).maximum * 1e3, 0.0417, 1e-4, "AWG 46 thickest, mm");
}

/* The stated tolerance of the fit: 3 % of the nominal figures; limits 4 % (they are given to 1 um). */
static void test_overall_diameter(void **state)
{
    (void)state;
    static const struct {
        double gauge, single[3], heavy[3];
    } row[] = {{40, {0.081, 0.088, 0.094}, {0.091, 0.097, 0.102}},
               {41, {0.074, 0.079, 0.084}, {0.081, 0.086, 0.091}},
               {42, {0.066, 0.071, 0.076}, {0.071, 0.076, 0.081}},
               {43, {0.058, 0.062, 0.066}, {0.064, 0.069, 0.074}},
               {44, {0.053, 0.057, 0.061}, {0.058, 0.064, 0.069}},
               {45, {0.0455, 0.0488, 0.0521}, {0.0505, 0.0545, 0.0584}},
               {46, {0.0409, 0.0439, 0.0470}, {0.0460, 0.0497, 0.0533}}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        for (int build = 0; build < 2; build++) {
            const double *mm = build ? row[i].heavy : row[i].single;
            struct cw_diameter d = cw_wire_overall(row[i].gauge, (enum cw_insulation)build);
            within_share(d.nominal * 1e3, mm[1], 0.03, "overall nominal, mm");
            within_share(d.minimum * 1e3, mm[0], 0.04, "overall minimum, mm");
            within_share(d.maximum * 1e3, mm[2], 0.04, "overall maximum, mm");
        }
    }
}

/* IEC 60317: limits of the overall diameter, mm, of metric sizes near AWG 44 to 40, grade 1 and 2, as a
 * vendor publishes them. Our builds on those bare wires lie within them. */
static void test_overall_within_iec(void **state)
{
    (void)state;
    static const struct {
        double bare, grade[2][2];
    } row[] = {{0.050, {{0.055, 0.060}, {0.061, 0.066}}}, {0.056, {{0.062, 0.067}, {0.068, 0.074}}},
               {0.060, {{0.066, 0.072}, {0.073, 0.079}}}, {0.063, {{0.069, 0.076}, {0.077, 0.083}}},
               {0.071, {{0.078, 0.084}, {0.085, 0.091}}}, {0.080, {{0.087, 0.094}, {0.095, 0.101}}}};
    for (int build = 0; build < 2; build++) {
        double ratio = cw_wire_overall(42, (enum cw_insulation)build).nominal / cw_wire_bare(42).nominal;
        for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
            double low = row[i].grade[build][0], high = row[i].grade[build][1];
            within(row[i].bare * ratio, (low + high) / 2, (high - low) / 2, "overall diameter of a metric size, mm");
        }
    }
}

/* R(T)/R(20) with 0.00393 /K (from memory for IEC 60028); mass of AWG 42: 28.15 g/km at 8.89 g/cm3. */
static void test_temperature_and_mass(void **state)
{
    (void)state;
    within(cw_wire_resistance_ratio(20), 1.0, 0, "20 degrees");
    within(cw_wire_resistance_ratio(15), 0.98035, 0.5e-5, "15 degrees");
    within(cw_wire_resistance_ratio(23), 1.01179, 0.5e-5, "23 degrees");
    within(cw_wire_resistance_ratio(25), 1.01965, 0.5e-5, "25 degrees");
    within(cw_wire_resistance_ratio(30), 1.03930, 0.5e-5, "30 degrees");
    within(cw_wire_mass_per_metre(cw_wire_bare(42).nominal) * 1e6, 28.15, 0.005, "AWG 42, g/km");
}

/* Thinner wire: less bare, less overall, more ohm; heavy over single; out of range stays finite. */
static void test_order(void **state)
{
    (void)state;
    for (double gauge = 36; gauge < 46; gauge += 0.5) {
        assert_true(cw_wire_bare(gauge + 0.5).nominal < cw_wire_bare(gauge).nominal);
        for (int build = 0; build < 2; build++) {
            assert_true(cw_wire_overall(gauge + 0.5, (enum cw_insulation)build).nominal <
                        cw_wire_overall(gauge, (enum cw_insulation)build).nominal);
        }
        assert_true(cw_wire_overall(gauge, CW_INSULATION_HEAVY).nominal >
                    cw_wire_overall(gauge, CW_INSULATION_SINGLE).nominal);
    }
    within(cw_wire_bare(20).nominal, cw_wire_bare(36).nominal, 0, "below the range");
    within(cw_wire_bare(60).nominal, cw_wire_bare(46).nominal, 0, "above the range");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_formula_diameter_and_resistance),
        cmocka_unit_test(test_nominal_diameter_and_resistance),
        cmocka_unit_test(test_half_sizes),
        cmocka_unit_test(test_limits),
        cmocka_unit_test(test_overall_diameter),
        cmocka_unit_test(test_overall_within_iec),
        cmocka_unit_test(test_temperature_and_mass),
        cmocka_unit_test(test_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
