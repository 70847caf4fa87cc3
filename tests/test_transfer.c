/* SPDX-License-Identifier: ISC */
/* Polynomials and their roots against polynomials built from known roots; response and resonance
 * against direct evaluation. The bound on a root is its condition number times the rounding of
 * the coefficients (textbook: J. H. Wilkinson, Rounding Errors in Algebraic Processes, 1963). */
#include <complex.h>
#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "poly_roots.h"
#include "polynomial.h"
#include "setup.h"
#include "setups.h"
#include "transfer.h"
#include "within.h"

typedef double complex cplx;
typedef long double complex wide;

static cplx of(struct cw_complex z) { return z.re + I * z.im; }

/* Of any degree that roots can be found for. */
struct long_poly {
    int degree;
    double c[CW_ROOTS_MAX + 1];
};

/* The polynomial with the given roots, multiplied out in extended precision. */
static struct long_poly from_roots(const cplx *root, int n, double lead)
{
    wide c[CW_ROOTS_MAX + 1] = {lead};
    for (int i = 0; i < n; i++) {
        for (int k = i + 1; k > 0; k--) {
            c[k] = c[k - 1] - (wide)root[i] * c[k];
        }
        c[0] *= -(wide)root[i];
    }
    struct long_poly p = {.degree = n};
    for (int k = 0; k <= n; k++) {
        p.c[k] = (double)creall(c[k]);
    }
    return p;
}

/* The same of a degree that a network has. */
static struct cw_poly short_poly(const cplx *root, int n, double lead)
{
    struct long_poly from = from_roots(root, n, lead);
    struct cw_poly p = {.degree = n};
    for (int k = 0; k <= n && k <= CW_DEGREE_MAX; k++) {
        p.c[k] = from.c[k];
    }
    return p;
}

/* What rounding of the coefficients may move a simple root by, relative to its size. */
static double sensitivity(const struct long_poly *p, cplx root)
{
    long double size = 0, power = 1, r = cabsl((wide)root);
    wide slope = 0, z = 1;
    for (int k = 0; k <= p->degree; k++) {
        size += fabsl((long double)p->c[k]) * power;
        power *= r;
        if (k < p->degree) {
            slope += (k + 1) * (long double)p->c[k + 1] * z;
            z *= (wide)root;
        }
    }
    return (double)(size / (cabsl(slope) * r)) * DBL_EPSILON;
}

static void check_order(const struct cw_complex *z, int n)
{
    for (int i = 0; i < n; i++) {
        if (z[i].im != 0) {
            assert_true(i + 1 < n && z[i].im > 0 && z[i + 1].re == z[i].re && z[i + 1].im == -z[i].im);
            i++;
        }
    }
}

static int random_roots(struct rng *rng, cplx *root, int n)
{
    for (int i = 0; i < n;) {
        double size = rng_log(rng, 1e-3, 1e6);
        if (i + 1 < n && rng_pick(rng, 2)) {
            double angle = rng_between(rng, 0.05, 3.09);
            root[i++] = size * (cos(angle) + I * sin(angle));
            root[i] = conj(root[i - 1]);
            i++;
        } else {
            root[i++] = rng_pick(rng, 3) ? -size : size;
        }
    }
    return n;
}

static void known_roots_are_found(void **state)
{
    (void)state;
    struct rng rng = {1};
    double worst = 0, worst_plain = 0;
    for (int round = 0; round < 4000; round++) {
        cplx root[CW_ROOTS_MAX];
        int n = random_roots(&rng, root, 1 + round % CW_ROOTS_MAX);
        struct long_poly p = from_roots(root, n, rng_log(&rng, 1e-6, 1e6));
        struct cw_complex z[CW_ROOTS_MAX];
        assert_int_equal(cw_poly_roots(p.c, p.degree, z), n);
        check_order(z, n);
        bool taken[CW_ROOTS_MAX] = {false};
        for (int i = 0; i < n; i++) {
            double bound = 8 * n * sensitivity(&p, root[i]), best = INFINITY;
            int at = 0;
            for (int k = 0; k < n; k++) {
                double gap = cabs(of(z[k]) - root[i]) / cabs(root[i]);
                if (!taken[k] && gap < best) {
                    best = gap;
                    at = k;
                }
            }
            taken[at] = true;
            if (!(best <= bound) && bound < 1e-2) {
                print_error("round %d: root %g%+gj of %d missed by %g, bound %g\n", round, creal(root[i]),
                            cimag(root[i]), n, best, bound);
                fail();
            }
            worst = bound < 1e-2 ? worse(worst, best / bound) : worst;
            worst_plain = bound < 1e-12 ? worse(worst_plain, best) : worst_plain;
        }
    }
    print_message("roots: worst error %.2g of its bound; well-conditioned roots within %.2g\n", worst, worst_plain);
}

/* Multiple roots are ill-conditioned; what must hold is that p is zero there within rounding. */
static void multiple_roots_stay_small(void **state)
{
    (void)state;
    struct rng rng = {2};
    for (int round = 0; round < 2000; round++) {
        cplx root[CW_ROOTS_MAX];
        int n = 0, times = 2 + rng_pick(&rng, 3);
        while (n + times <= 2 + round % (CW_ROOTS_MAX - 1)) {
            double at = -rng_log(&rng, 1e-3, 1e6);
            for (int i = 0; i < times; i++) {
                root[n++] = at;
            }
        }
        if (n == 0) {
            continue;
        }
        struct long_poly p = from_roots(root, n, 1);
        struct cw_complex z[CW_ROOTS_MAX];
        assert_int_equal(cw_poly_roots(p.c, p.degree, z), n);
        check_order(z, n);
        for (int i = 0; i < n; i++) {
            wide value = 0, x = (wide)of(z[i]);
            long double size = 0;
            for (int k = n; k >= 0; k--) {
                value = value * x + (long double)p.c[k];
                size = size * cabsl(x) + fabsl((long double)p.c[k]);
            }
            assert_true(cabsl(value) <= 1e4L * DBL_EPSILON * size);
        }
    }
}

static void zeros_at_the_ends(void **state)
{
    (void)state;
    struct cw_complex z[CW_ROOTS_MAX];
    struct cw_poly p = {5, {0, 0, 6, -5, 1, 0}}; /* p^2 (p - 2)(p - 3), a leading zero on top */
    assert_int_equal(cw_poly_roots(p.c, p.degree, z), 4);
    double sum = 0;
    int at_origin = 0;
    for (int i = 0; i < 4; i++) {
        assert_true(z[i].im == 0);
        at_origin += z[i].re == 0;
        sum += z[i].re;
    }
    assert_int_equal(at_origin, 2);
    assert_true(fabs(sum - 5) < 1e-12);
    struct cw_poly constant = cw_poly_constant(7);
    assert_int_equal(cw_poly_roots(constant.c, constant.degree, z), 0);
    struct cw_poly pair = {2, {4, 0, 1}};
    assert_int_equal(cw_poly_roots(pair.c, pair.degree, z), 2);
    assert_true(fabs(z[0].re) < 1e-15 && fabs(z[0].im - 2) < 1e-14 && z[1].im == -z[0].im);
}

/* Roots do not depend on the scale of the coefficients. */
static void any_scale(void **state)
{
    (void)state;
    static const double scales[] = {1e-290, 1e-170, 1e155, 1e290, -3e-200};
    for (size_t i = 0; i < sizeof scales / sizeof scales[0]; i++) {
        for (int n = 1; n <= 8; n++) {
            cplx root[8];
            for (int k = 0; k < n; k++) {
                root[k] = -1 - k;
            }
            struct long_poly p = from_roots(root, n, 1);
            for (int k = 0; k <= n; k++) {
                p.c[k] *= scales[i];
            }
            struct cw_complex z[CW_ROOTS_MAX];
            assert_int_equal(cw_poly_roots(p.c, n, z), n);
            double sum = 0;
            for (int k = 0; k < n; k++) {
                assert_true(z[k].im == 0);
                sum += z[k].re;
            }
            assert_true(fabs(sum + 0.5 * n * (n + 1)) < 1e-9);
        }
    }
}

static double value_at(const struct cw_poly *p, double x)
{
    double v = 0;
    for (int k = p->degree; k >= 0; k--) {
        v = v * x + p->c[k];
    }
    return v;
}

static void arithmetic(void **state)
{
    (void)state;
    struct rng rng = {3};
    for (int round = 0; round < 300; round++) {
        struct cw_poly a = {.degree = rng_pick(&rng, 8)}, b = {.degree = rng_pick(&rng, 8)};
        for (int k = 0; k <= a.degree; k++) {
            a.c[k] = rng_between(&rng, -1, 1);
        }
        for (int k = 0; k <= b.degree; k++) {
            b.c[k] = rng_between(&rng, -1, 1);
        }
        struct cw_poly sum = cw_poly_add(a, b), difference = cw_poly_sub(a, b), product = cw_poly_mul(a, b);
        struct cw_poly scaled = cw_poly_scale(a, -3), times_s = cw_poly_times_s(a, 2);
        for (double x = -1; x <= 1; x += 0.25) {
            double va = value_at(&a, x), vb = value_at(&b, x);
            assert_true(fabs(value_at(&sum, x) - (va + vb)) < 1e-14);
            assert_true(fabs(value_at(&difference, x) - (va - vb)) < 1e-14);
            assert_true(fabs(value_at(&product, x) - va * vb) < 1e-13);
            assert_true(fabs(value_at(&scaled, x) + 3 * va) < 1e-14);
            assert_true(fabs(value_at(&times_s, x) - 2 * CW_OMEGA_UNIT * x * va) < 1e-10);
        }
    }
    struct cw_poly line = cw_poly_linear(3, 1 / CW_OMEGA_UNIT); /* 3 + s over 2 pi 1 kHz */
    assert_true(line.degree == 1 && fabs(value_at(&line, 2) - 5) < 1e-15);
}

static struct cw_transfer random_circuit(struct rng *rng, int i)
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    struct cw_transfer h;
    setups_random(rng, i, &setup);
    cw_coil_solve(&setup, &pickup);
    cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &h);
    return h;
}

static wide directly(const struct cw_poly *p, double hz)
{
    wide v = 0, s = I * (long double)hz / 1000.0L;
    for (int k = p->degree; k >= 0; k--) {
        v = v * s + (long double)p->c[k];
    }
    return v;
}

static void response_is_the_ratio(void **state)
{
    (void)state;
    struct rng rng = {4};
    for (int i = 0; i < 80; i++) {
        struct cw_transfer h = random_circuit(&rng, i);
        for (double hz = 0; hz <= 200000; hz = hz * 1.7 + 1) {
            cplx expected = (cplx)(directly(&h.num, hz) / directly(&h.den, hz));
            assert_true(cabs(of(cw_transfer_at(&h, hz)) / expected - 1) < 1e-11);
            assert_true(fabs(cw_transfer_power(&h, hz) / pow(cabs(expected), 2) - 1) < 1e-11);
            assert_true(fabs(cw_transfer_db(&h, hz) - 20 * log10(cabs(expected))) < 1e-9);
        }
    }
}

static void factors_make_the_response(void **state)
{
    (void)state;
    struct rng rng = {5};
    double worst = 0;
    for (int i = 0; i < 800; i++) {
        struct cw_transfer h = random_circuit(&rng, i);
        struct cw_roots r;
        assert_true(cw_transfer_roots(&h, &r));
        check_order(r.zero, r.zeros);
        check_order(r.pole, r.poles);
        for (int k = 0; k < r.poles; k++) {
            assert_true(r.pole[k].re < 0); /* resistance everywhere: nothing rings for ever */
        }
        for (double hz = 20; hz <= 20000; hz *= 1.5) {
            wide value = r.gain, s = I * (long double)hz / 1000.0L;
            for (int k = 0; k < r.zeros; k++) {
                value *= s - (wide)of(r.zero[k]);
            }
            for (int k = 0; k < r.poles; k++) {
                value /= s - (wide)of(r.pole[k]);
            }
            worst = worse(worst, cabs((cplx)value / of(cw_transfer_at(&h, hz)) - 1));
        }
    }
    print_message("zeros, poles and gain of 800 circuits: worst relative error %.2g\n", worst);
    assert_true(worst < 1e-6); /* 1e-5 dB */
}

static void common_factors_go(void **state)
{
    (void)state;
    const cplx zero[] = {-3, -1 + 2 * I, -1 - 2 * I}, pole[] = {-1 + 2 * I, -1 - 2 * I, -3, -7, -0.5};
    struct cw_transfer h = {short_poly(zero, 3, 5), short_poly(pole, 5, 2)};
    struct cw_roots r;
    assert_true(cw_transfer_roots(&h, &r));
    assert_int_equal(r.zeros, 0);
    assert_int_equal(r.poles, 2);
    assert_true(fabs(r.gain - 2.5) < 1e-12);
    assert_true(fabs(r.pole[0].re * r.pole[1].re - 3.5) < 1e-9);
}

static void zero_everywhere(void **state)
{
    (void)state;
    struct cw_transfer h = {cw_poly_constant(0), cw_poly_linear(1, 1e-4)};
    struct cw_roots r;
    assert_false(cw_transfer_roots(&h, &r));
    assert_true(cw_transfer_power(&h, 1000) == 0);
    assert_true(isinf(cw_transfer_db(&h, 1000)) && cw_transfer_db(&h, 1000) < 0);
    assert_true(cw_transfer_peak(&h).hz == 0 && cw_transfer_peak(&h).db == 0);
}

enum { GRID = 20000 };

static double grid_hz(double i) { return 20 * pow(1e4, i / GRID); }

/* The finder against every point of a dense grid from 20 Hz to 200 kHz. */
static void peak_against_dense_grid(void **state)
{
    (void)state;
    struct rng rng = {6};
    double worst_db = 0, worst_share = 0;
    int found = 0, circuits = 400;
    for (int i = 0; i < circuits; i++) {
        struct cw_transfer h = random_circuit(&rng, i);
        static double power[GRID + 1];
        double lowest = INFINITY, rise = 0;
        int at = 0;
        for (int k = 0; k <= GRID; k++) {
            power[k] = cw_transfer_power(&h, grid_hz(k));
        }
        for (int k = 1; k < GRID; k++) {
            lowest = fmin(lowest, power[k - 1]);
            if (power[k] > power[k - 1] && power[k] >= power[k + 1] && (at == 0 || power[k] > power[at])) {
                at = k;
                rise = 10 * log10(power[k] / lowest);
            }
        }
        struct cw_peak peak = cw_transfer_peak(&h);
        double db = 10 * log10(power[at]) - cw_transfer_db(&h, 0);
        if (at == 0 || rise < 0.02 || db < -40) { /* too low to be sure to be seen, or to matter */
            assert_true(peak.hz != 0 || peak.db == 0);
            assert_true(at > 0 || peak.hz == 0);
            continue;
        }
        found++;
        /* Between two points of the grid a sharp peak may stand a little higher. */
        if (!(peak.db - db > -0.001 && peak.db - db < 0.01)) {
            print_error("circuit %d: peak %.5f dB at %.2f Hz, the grid has %.5f dB at %.2f Hz\n", i, peak.db, peak.hz,
                        db, grid_hz(at));
            fail();
        }
        worst_db = worse(worst_db, fabs(peak.db - db));
        /* A flat top leaves the frequency open; its level does not. */
        worst_share = worse(worst_share, db > 0.5 ? fabs(peak.hz / grid_hz(at) - 1) : 0);
    }
    print_message("%d peaks of %d circuits: within %.2g dB and %.2g %% of the grid\n", found, circuits, worst_db,
                  100 * worst_share);
    assert_true(found > circuits / 4);
    assert_true(worst_share < 0.001);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(known_roots_are_found),
        cmocka_unit_test(multiple_roots_stay_small),
        cmocka_unit_test(zeros_at_the_ends),
        cmocka_unit_test(any_scale),
        cmocka_unit_test(arithmetic),
        cmocka_unit_test(response_is_the_ratio),
        cmocka_unit_test(factors_make_the_response),
        cmocka_unit_test(common_factors_go),
        cmocka_unit_test(zero_everywhere),
        cmocka_unit_test(peak_against_dense_grid),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
