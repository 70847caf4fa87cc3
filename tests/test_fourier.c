/* SPDX-License-Identifier: ISC */
/* The transform against a direct sum, and against itself and back. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <complex.h>
#include <math.h>
#include <stdlib.h>

#include "constants.h"
#include "fourier.h"
#include "polynomial.h"
#include "setups.h"

static double off(struct cw_complex a, double complex b) { return hypot(a.re - creal(b), a.im - cimag(b)); }

/* By its definition, angles by the remainder of k n, which is exact. */
static double complex summed(const struct cw_complex *x, size_t size, size_t k)
{
    double complex sum = 0;
    for (size_t n = 0; n < size; n++) {
        sum += (x[n].re + I * x[n].im) * cexp(-I * CW_TAU * (double)(k * n % size) / (double)size);
    }
    return sum;
}

static void it_is_the_sum(void **state)
{
    static struct cw_complex x[1024], y[1024];
    struct rng rng = {5};
    for (size_t size = 2; size <= 1024; size *= 2) {
        struct cw_fourier fourier;
        assert_true(cw_fourier_init(&fourier, size));
        for (size_t i = 0; i < size; i++) {
            x[i] = y[i] = (struct cw_complex){rng_between(&rng, -1, 1), rng_between(&rng, -1, 1)};
        }
        cw_fourier_forward(&fourier, y);
        for (size_t k = 0; k < size; k++) {
            assert_true(off(y[k], summed(x, size, k)) < 1e-12 * sqrt((double)size));
        }
        cw_fourier_back(&fourier, y);
        for (size_t i = 0; i < size; i++) {
            assert_true(off(y[i], (x[i].re + I * x[i].im) * (double)size) < 1e-13 * (double)size);
        }
        cw_fourier_free(&fourier);
        assert_null(fourier.turn);
    }
    (void)state;
}

static void sizes_are_powers_of_two(void **state)
{
    static const size_t asked[] = {0, 1, 2, 3, 4, 5, 1024, 1025, 350000}, is[] = {2, 2, 2, 4, 4, 8, 1024, 2048, 524288};
    for (size_t i = 0; i < sizeof asked / sizeof asked[0]; i++) {
        assert_int_equal(cw_fourier_size(asked[i]), is[i]);
    }
    (void)state;
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(it_is_the_sum), cmocka_unit_test(sizes_are_powers_of_two)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
