/* SPDX-License-Identifier: ISC */
/* Inductance of thick coils against exact values.
 *
 * Sources: the exact integral L = CW_MU0 CW_PI N^2/c^2 int p(k)^2 2(kb - 1 + e^-kb)/(kb)^2 dk with
 * p(k) = int r J1(kr) dr, evaluated apart from this program; it gives the coil of H. B. Brooks
 * (b = c, a = 1.5 c), whose 0.025491 c[cm] N^2 uH is published, to 13 ppm. Nagaoka's coefficient
 * by L. Lorenz's elliptic form. The racetrack figures are sums of Neumann mutual inductances of
 * stadium filaments, self terms at a geometric mean distance of 0.2235 (w + t). */
#include "constants.h"
#include "inductance.h"

#include "support/setups.h"
#include "support/within.h"

/* A coil without a straight part. */
static double circular(double mean_radius, double height, double build)
{
    return cw_inductance_racetrack(0.0, mean_radius - build / 2, height, build);
}

static void test_thick_circular_coils(void **state)
{
    (void)state;
    static const struct {
        double a, b, c, henry;
    } row[] = {{1, 1, 0.2, 1.845072e-6},   {1, 2, 0.5, 1.089598e-6}, {1, 0.5, 0.5, 2.030381e-6}, {1, 1, 1, 1.266503e-6},
               {1, 0.2, 0.2, 3.143576e-6}, {1, 0.2, 1, 1.832354e-6}, {1.5, 1, 1, 2.549067e-6}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        within_share(circular(row[i].a, row[i].b, row[i].c), row[i].henry, 2e-5, "thick coil");
    }
    /* H. B. Brooks, Bureau of Standards J. Res. 7, 1931 (year from memory). */
    within_share(circular(1.5e-2, 1e-2, 1e-2), 0.025491e-6, 4e-5, "Brooks coil of c = 1 cm");
}

/* A thin coil is a current sheet: L = CW_MU0 CW_PI a^2 K/b. A build of 1/10000 of the radius moves L by about that
 * share. */
static void test_nagaoka(void **state)
{
    (void)state;
    static const double shape[] = {0.1, 0.2, 0.5, 1, 1.5, 2, 3, 4, 5, 10};
    static const double k[] = {0.958807, 0.920093, 0.818136, 0.688423, 0.595046,
                               0.525510, 0.429199, 0.365432, 0.319825, 0.203324};
    for (size_t i = 0; i < sizeof k / sizeof k[0]; i++) {
        double a = 1, b = 2 * a / shape[i];
        within_share(circular(a, b, 1e-4), CW_MU0 * CW_PI * a * a * k[i] / b, 2e-4, "current sheet");
    }
}

/* H. A. Wheeler, Proc. IRE 16, 1928: within about 1 % where its three terms are alike. A judge with
 * no integral in it. */
static void test_wheeler(void **state)
{
    (void)state;
    const double inch = 0.0254;
    double a = 1, b = 0.7, c = 0.6;
    double wheeler = 0.8 * a * a / (6 * a + 9 * b + 10 * c) * 1e-6;
    within_share(circular(a * inch, b * inch, c * inch), wheeler, 0.012, "Wheeler");
}

/* Thin round wire: CW_MU0 r (ln(8 r/d) - 2) with d = its geometric mean distance (Maxwell). */
static void test_mutual_circles(void **state)
{
    (void)state;
    within_share(cw_mutual_circles(1, 1, 1e-4), CW_MU0 * (log(8e4) - 2), 1e-6, "close circles");
    within_share(cw_mutual_circles(1, 1e-3, 0), CW_MU0 * CW_PI * 1e-6 / 2, 0.02, "small circle inside a large one");
    within_share(cw_mutual_circles(1, 1, 3), cw_mutual_circles(2, 2, 6) / 2, 1e-12, "scales with size");
}

/* Maxwell: the mean log distance of a square of side 1 is ln 0.44705, of a line ln e^-3/2. */
static void test_gmd(void **state)
{
    (void)state;
    within(exp(cw_log_gmd_rectangle(1, 1)), 0.44705, 0.5e-5, "square");
    within(cw_log_gmd_rectangle(1e-5, 1), -1.5, 1e-4, "line");
    within(cw_log_gmd_rectangle(2, 3), cw_log_gmd_rectangle(3, 2), 1e-14, "symmetrical");
}

static void test_racetrack_vectors(void **state)
{
    (void)state;
    within_share(5000.0 * 5000.0 * cw_inductance_racetrack(50e-3, 3.5e-3, 6.3e-3, 3.5e-3), 0.996, 0.02, "5000 turns");
    within_share(8000.0 * 8000.0 * cw_inductance_racetrack(52e-3, 3.0e-3, 11e-3, 3.5e-3), 1.878, 0.02, "8000 turns");
}

/* ---- the judge: Neumann's double integral over polygons, no closed form ---- */

enum { SEGMENTS = 480 };

struct loop {
    double x[SEGMENTS], y[SEGMENTS], dx[SEGMENTS], dy[SEGMENTS];
};

static void stadium_point(double straight, double r, double t, double *x, double *y)
{
    double length = 2 * straight + 2 * CW_PI * r, at = t * length;
    if (at < straight) {
        *x = at - straight / 2, *y = -r;
    } else if (at < straight + CW_PI * r) {
        double angle = (at - straight) / r - CW_PI / 2;
        *x = straight / 2 + r * cos(angle), *y = r * sin(angle);
    } else if (at < 2 * straight + CW_PI * r) {
        *x = straight / 2 - (at - straight - CW_PI * r), *y = r;
    } else {
        double angle = (at - 2 * straight - CW_PI * r) / r + CW_PI / 2;
        *x = -straight / 2 + r * cos(angle), *y = r * sin(angle);
    }
}

static void make_loop(double straight, double r, struct loop *loop)
{
    for (int i = 0; i < SEGMENTS; i++) {
        double x0, y0, x1, y1;
        stadium_point(straight, r, (double)i / SEGMENTS, &x0, &y0);
        stadium_point(straight, r, fmod((i + 1.0) / SEGMENTS, 1.0), &x1, &y1);
        loop->x[i] = (x0 + x1) / 2, loop->y[i] = (y0 + y1) / 2;
        loop->dx[i] = x1 - x0, loop->dy[i] = y1 - y0;
    }
}

static double neumann(const struct loop *p, const struct loop *q, double z)
{
    double sum = 0;
    for (int i = 0; i < SEGMENTS; i++) {
        for (int j = 0; j < SEGMENTS; j++) {
            double dx = p->x[i] - q->x[j], dy = p->y[i] - q->y[j];
            sum += (p->dx[i] * q->dx[j] + p->dy[i] * q->dy[j]) / sqrt(dx * dx + dy * dy + z * z);
        }
    }
    return CW_MU0 / (4 * CW_PI) * sum;
}

enum { ACROSS = 4, UP = 5 };

/* Mean of the mutual inductances of ACROSS x UP cells; a cell with itself at its own geometric mean
 * distance. */
static double judge(double straight, double inner, double height, double build)
{
    static struct loop loop[ACROSS];
    double w = build / ACROSS, t = height / UP, sum = 0;
    double self = exp(cw_log_gmd_rectangle(w, t));
    for (int i = 0; i < ACROSS; i++) {
        make_loop(straight, inner + (i + 0.5) * w, &loop[i]);
    }
    for (int i = 0; i < ACROSS; i++) {
        for (int j = 0; j <= i; j++) {
            for (int k = 0; k < UP; k++) {
                double z = i == j && k == 0 ? self : k * t;
                double pairs = (i == j ? 1.0 : 2.0) * (k == 0 ? 1.0 : 2.0) * (UP - k);
                sum += pairs * neumann(&loop[i], &loop[j], z);
            }
        }
    }
    return sum / (ACROSS * ACROSS * UP * UP);
}

/* 1 % of the method and 1 % of the judge's coarse cells. */
static void test_racetrack_against_neumann(void **state)
{
    (void)state;
    static const struct {
        double s, r, h, c;
    } mm[] = {{50, 3.5, 6.3, 3.5}, {52, 3, 11, 3.5}, {46, 4, 6, 12},   {42, 2.7, 8, 4},
              {92, 8, 12, 20},     {21, 1.35, 4, 2}, {26, 1.5, 22, 9}, {25, 5, 3.2, 2.5}};
    for (size_t i = 0; i < sizeof mm / sizeof mm[0]; i++) {
        double s = mm[i].s * 1e-3, r = mm[i].r * 1e-3, h = mm[i].h * 1e-3, c = mm[i].c * 1e-3;
        within_share(cw_inductance_racetrack(s, r, h, c), judge(s, r, h, c), 0.02, "racetrack");
    }
}

/* No straight part: the circular coil. */
static void test_racetrack_is_a_circle_at_last(void **state)
{
    (void)state;
    within_share(cw_inductance_racetrack(1e-9, 4e-3, 6e-3, 5e-3), circular(6.5e-3, 6e-3, 5e-3), 1e-6,
                 "straight part gone");
}

static void test_order_and_scale(void **state)
{
    (void)state;
    struct rng rng = {7};
    for (int i = 0; i < 20000; i++) {
        double s = rng_log(&rng, 20e-3, 110e-3), r = rng_log(&rng, 1.2e-3, 9e-3);
        double h = rng_log(&rng, 2.5e-3, 23e-3), c = rng_log(&rng, 2e-5, 25e-3);
        double l = cw_inductance_racetrack(s, r, h, c);
        assert_true(l > 0 && isfinite(l));
        assert_true(cw_inductance_racetrack(1.01 * s, r, h, c) > l);
        assert_true(cw_inductance_racetrack(s, 1.01 * r, h, c) > l);
        assert_true(cw_inductance_racetrack(s, r, 1.01 * h, c) < l);
        within_share(cw_inductance_racetrack(2 * s, 2 * r, 2 * h, 2 * c), 2 * l, 1e-9, "twice the size");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_thick_circular_coils),
        cmocka_unit_test(test_nagaoka),
        cmocka_unit_test(test_wheeler),
        cmocka_unit_test(test_mutual_circles),
        cmocka_unit_test(test_gmd),
        cmocka_unit_test(test_racetrack_vectors),
        cmocka_unit_test(test_racetrack_against_neumann),
        cmocka_unit_test(test_racetrack_is_a_circle_at_last),
        cmocka_unit_test(test_order_and_scale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
