/* SPDX-License-Identifier: ISC */
/* Magnetised rods in a coil: the coil's field, the energies of the table, what the rods add.
 *
 * Judges: Biot and Savart's law summed over polygons, which shares no formula with the model; Nagaoka's coefficient
 * for a solenoid (H. Nagaoka, 1909; the values were computed apart from this program by the elliptic form of
 * L. Lorenz); demagnetising factors of spheroids and published ones of cylinders. tests/test_tables.sh makes the
 * tables anew. */
#include "rods.h"

#include "constants.h"
#include "inductance.h"
#include "support/within.h"

static const double pi = CW_PI, mu0 = CW_MU0;

static const struct cw_rods slugs = {13.2e-3, 4.8e-3, 1e-3};
static const struct cw_rods_coil dual = {50e-3, 5.3e-3, 6.3e-3, 3.6e-3};

/* ---- the coil's field -------------------------------------------------------------------------- */

enum { ARC = 64, ROWS = 40, DEPTHS = 12 };

/* Field along the axis of one racetrack turn of an ampere as a polygon: for each straight piece
 * (1/4 pi r)(cos + cos) by its distance, which is exact. */
static double of_piece(const double from[2], const double to[2], double height, double x, double y)
{
    double ex = to[0] - from[0], ey = to[1] - from[1], length = hypot(ex, ey);
    ex /= length, ey /= length;
    double along = (x - from[0]) * ex + (y - from[1]) * ey, side = ex * (y - from[1]) - ey * (x - from[0]);
    double far2 = side * side + height * height;
    double seen =
        along / sqrt(along * along + far2) + (length - along) / sqrt((length - along) * (length - along) + far2);
    return side / (4 * pi * far2) * seen;
}

static double of_turn(double straight, double radius, double height, double x, double y)
{
    double sum = 0, last[2] = {0, 0}, point[2];
    for (int i = 0; i <= 2 * ARC + 2; i++) {
        int at = i % (2 * ARC + 2), half = at / (ARC + 1);
        double angle = pi * (at % (ARC + 1)) / ARC - pi / 2 + pi * half;
        point[0] = (half ? -1 : 1) * straight / 2 + radius * cos(angle);
        point[1] = radius * sin(angle);
        sum += i ? of_piece(last, point, height, x, y) : 0;
        last[0] = point[0], last[1] = point[1];
    }
    return sum;
}

static double of_coil(const struct cw_rods_coil *coil, double x, double y, double z)
{
    double sum = 0;
    for (int i = 0; i < ROWS; i++) {
        for (int k = 0; k < DEPTHS; k++) {
            double height = coil->height * ((i + 0.5) / ROWS - 0.5);
            double radius = coil->mean_radius + coil->build * ((k + 0.5) / DEPTHS - 0.5);
            sum += of_turn(coil->straight, radius, z - height, x, y);
        }
    }
    return sum / (ROWS * DEPTHS);
}

/* Mean field in all rods, and its first moments, by sums over places in them. */
static void test_field_in_the_rods(void **state)
{
    (void)state;
    struct cw_rods_in_coil placed;
    cw_rods_place(&slugs, &dual, &placed);
    enum { LAYERS = 24, AROUND = 6 };
    double moment[2] = {0, 0}, middle = dual.height / 2 + slugs.above - slugs.length / 2;
    for (int rod = 0; rod < 3; rod++) {
        for (int layer = 0; layer < LAYERS; layer++) {
            double u = 2 * (layer + 0.5) / LAYERS - 1;
            for (int i = 0; i < AROUND; i++) { /* at the radius that stands for the section's mean */
                double angle = 2 * pi * i / AROUND, r = slugs.diameter / 2 * sqrt(0.5);
                double h = of_coil(&dual, (rod + 0.5) * placed.spacing + r * cos(angle), r * sin(angle),
                                   middle + slugs.length / 2 * u);
                moment[0] += h / (3 * LAYERS * AROUND);
                moment[1] += 3 * u * h / (3 * LAYERS * AROUND);
            }
        }
    }
    within_share(placed.field[0], moment[0], 0.01, "mean field, 1/m");
    within_share(placed.field[1], moment[1], 0.06, "how it leans, 1/m");
}

/* Over all distances that a string may be set to. */
static void test_field_at_the_string(void **state)
{
    (void)state;
    static const double distances[] = {1e-3, 2e-3, 3e-3, 5e-3, 8e-3}, none[CW_RODS_TERMS] = {0};
    struct cw_rods_in_coil placed;
    double m[CW_RODS_TERMS], slope, unused;
    cw_rods_place(&slugs, &dual, &placed);
    cw_rods_magnetise(&placed, 200, m);
    for (size_t i = 0; i < sizeof distances / sizeof distances[0]; i++) {
        double d = distances[i], z = dual.height / 2 + slugs.above + d, mean = 0;
        for (int rod = 0; rod < 3; rod++) {
            mean += of_coil(&dual, (rod + 0.5) * placed.spacing, 0, z) / 3;
        }
        within_share(cw_rods_field_above(&placed, &dual, none, d, &slope), mean, 0.01, "field of the coil alone, 1/m");
        /* Its slope is that of the field, with magnetised rods too. */
        cw_rods_field_above(&placed, &dual, m, d, &slope);
        double up = cw_rods_field_above(&placed, &dual, m, d + 0.1e-3, &unused);
        double down = cw_rods_field_above(&placed, &dual, m, d - 0.1e-3, &unused);
        within_share(slope, (up - down) / 0.2e-3, 0.01, "slope, 1/m^2");
    }
}

/* ---- the rods ---------------------------------------------------------------------------------- */

/* A rod that is magnetised alike throughout is a solenoid: N = 1 - K (Nagaoka). Far apart, so that the others'
 * fields do not count. */
static void test_uniform_rod(void **state)
{
    (void)state;
    static const struct {
        double aspect, nagaoka;
    } row[] = {{2, 0.818136}, {5, 0.920093}, {10, 0.958807}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct cw_rods rods = {2.4e-3 * row[i].aspect, 2.4e-3, 1e-3};
        struct cw_rods_coil wide = dual;
        wide.straight = 5 * 2.4 * rods.length;
        struct cw_rods_in_coil placed;
        cw_rods_place(&rods, &wide, &placed);
        double others = pi / 4 / (row[i].aspect * row[i].aspect) * 0.0097160537; /* dipoles: below */
        within(placed.even[0][0], 1 - row[i].nagaoka + others, 1e-4, "demagnetising factor");
    }
}

/* Two rods far apart are dipoles: A l/(4 pi p^3) each on the other (textbook); six of them by their number. */
static void test_rods_beside_each_other(void **state)
{
    (void)state;
    double spacing = 2.4, sum = 0;
    for (int n = 1; n < CW_RODS; n++) {
        double p = n * spacing; /* two ends against two ends, lengths of a rod */
        sum += 2.0 * (CW_RODS - n) / CW_RODS * 2 / (4 * pi) * (1 / p - 1 / sqrt(p * p + 1));
    }
    within(sum, 0.0097160537, 1e-9, "ends of charge against the table's row for 2.4 lengths");
}

/* What the rods add is a passive thing: it grows with the permeability, towards a limit; the one-pole form is within
 * 2 % from alnico to ferrite wherever it was made exact. */
static void test_added(void **state)
{
    (void)state;
    struct cw_rods_in_coil placed;
    cw_rods_place(&slugs, &dual, &placed);
    struct cw_rods_share share = cw_rods_added(&placed, 199, 10), wide = cw_rods_added(&placed, 199, 5);
    double last = 0;
    for (double chi = 3; chi < 1e5; chi *= 1.5) {
        double one = share.henry * chi / (1 + share.demagnetising * chi);
        double other = wide.henry * chi / (1 + wide.demagnetising * chi);
        assert_true(one > last);
        within_share(one, other, 0.02, "whichever points it is exact at");
        last = one;
    }
    double air = cw_inductance_racetrack(dual.straight, dual.mean_radius - dual.build / 2, dual.height, dual.build);
    assert_true(last > 0.5 * air && last < air);
}

/* Long rods, far apart, are near spheroids of the same slenderness, whose factor is exact (J. A. Osborn, Phys. Rev. 67,
 * 1945); a cylinder of permeability without limit has 3 to 8 % less than that at 10 diameters by the tables of
 * R. M. Bozorth and D. M. Chapin (J. Appl. Phys. 13, 1942, 320, from memory: 0.0172 against 0.0203 for the middle
 * of the rod). At 2.854 diameters a finer set of rings than the table's gives 0.0975 (computed apart). */
static void test_permeable_rod(void **state)
{
    (void)state;
    static const struct {
        double aspect, factor, share;
    } row[] = {{10, 0.0190, 0.12}, {2.854, 0.0975, 0.02}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct cw_rods rods = {4.8e-3 * row[i].aspect, 4.8e-3, 1e-3};
        struct cw_rods_coil wide = dual;
        wide.straight = 5 * 2.4 * rods.length; /* as good as alone */
        struct cw_rods_in_coil placed;
        cw_rods_place(&rods, &wide, &placed);
        for (int j = 0; j < CW_RODS_TERMS; j++) {
            placed.field[j] = j == 0;
        }
        struct cw_rods_share share = cw_rods_added(&placed, 1e6, 1e5);
        within_share(share.demagnetising * mu0 * placed.volume / share.henry, row[i].factor, row[i].share,
                     "demagnetising factor");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_field_in_the_rods),
        cmocka_unit_test(test_field_at_the_string),
        cmocka_unit_test(test_uniform_rod),
        cmocka_unit_test(test_rods_beside_each_other),
        cmocka_unit_test(test_added),
        cmocka_unit_test(test_permeable_rod),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
