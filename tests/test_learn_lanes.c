/* SPDX-License-Identifier: ISC */
/* The learner's steps give the same bits in vectors of either width: what is learned, and so the gain of level
 * match, does not depend on the processor. Against a plain sum of sines it is right. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "constants.h"
#include "lanes.h"
#include "learn.h"

/* Both widths are private to the learner. */
#include "learn.c"

static struct cw_learn narrow, wide;

static void fill(struct cw_learn *l, double rate)
{
    uint32_t random = 7;
    cw_learn_init(l, rate);
    for (int i = 0; i < 2 * N; i++) {
        random = random * 1664525u + 1013904223u;
        l->next[i] = l->window[i % N] * (float)((double)random / UINT32_MAX - 0.5);
    }
}

static void both_widths_give_the_same_bits(void **state)
{
    (void)state;
    if (!cw_has_four_lanes()) {
        print_message("this processor has the narrow vectors only\n");
        skip();
    }
    static const double rates[] = {48000, 96000};
    for (int r = 0; r < 2; r++) {
        fill(&narrow, rates[r]);
        fill(&wide, rates[r]);
        for (int stage = 0; stage <= STAGES; stage++) { /* every stage, the sum, and the samples that each step takes */
            narrow.stage = wide.stage = stage;
            work(&narrow, narrow.cosine + stage);
            work_wide(&wide, wide.cosine + stage);
            assert_memory_equal(&narrow, &wide, sizeof wide);
        }
        assert_true(narrow.part[10] > 0.0 && narrow.taken == (STAGES + 1) * CW_LEARN_STEP / narrow.thinning);
    }
}

/* Power of a bin by its definition. */
static double bin_power(const float *x, int bin)
{
    double re = 0.0, im = 0.0;
    for (int i = 0; i < N; i++) {
        const double turn = CW_TAU * (double)(bin * i % N) / N;
        re += (double)x[i] * cos(turn);
        im -= (double)x[i] * sin(turn);
    }
    return re * re + im * im;
}

static void bins_are_those_of_the_definition(void **state)
{
    (void)state;
    fill(&narrow, 48000);
    for (narrow.stage = 0; narrow.stage < STAGES; narrow.stage++) {
        transform_4(&narrow);
    }
    for (int bin = 1; bin < N / 2; bin++) {
        /* of both frames, twice: the transform of the two as one has them in two bins */
        const double expected =
            2.0 * (double)narrow.weight[bin] * (bin_power(narrow.next, bin) + bin_power(narrow.next + N, bin));
        assert_true(fabs((double)narrow.power[bin] - expected) < 1e-4 * expected + 1e-12);
    }
    assert_true(narrow.power[0] == 0.0f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_widths_give_the_same_bits),
        cmocka_unit_test(bins_are_those_of_the_definition),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
