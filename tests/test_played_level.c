/* SPDX-License-Identifier: ISC */
/* The level of a split by what was played: of one tone it is what the network does to that tone; of real sound it is
 * the gain that level match takes away in the same plugin; off, and until enough was heard, it is by the assumed
 * spectrum. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "host.h"
#include "learn.h"
#include "loudness.h"
#include "played_level.h"
#include "setup.h"
#include "setups.h"
#include "split_kind.h"
#include "transfer.h"
#include "within.h"

enum { RATE = 48000, SECOND = RATE };

static double played_level(const struct cw_setup *setup, const struct cw_setup *recorded, bool undoes,
                           const struct cw_learned *learned)
{
    struct cw_played_work work;
    int steps = 1;
    cw_played_start(&work, setup, recorded, undoes, learned);
    for (; !cw_played_step(&work); steps++) {
        assert_true(steps < 10);
    }
    return work.level;
}

/* All that was played lies at the middle of one band. */
static void of_one_tone(void **state)
{
    (void)state;
    static struct cw_learned learned;
    struct rng rng = {1211};
    for (int round = 0; round < 200; round++) {
        struct cw_setup setup, recorded;
        struct cw_pickup pickup;
        struct cw_transfer split, full;
        const int band = round % CW_LOUDNESS_BANDS;
        learned = (struct cw_learned){.count = CW_LEARN_PARTS};
        for (int k = 0; k < CW_LEARN_PARTS; k++) {
            learned.power[band][k] = 1e-3f;
        }
        setups_random(&rng, SETUPS_KINDS - CW_SPLIT_KINDS + round % CW_SPLIT_KINDS, &setup);
        setups_random(&rng, round, &recorded);
        cw_coil_solve(&setup, &pickup);
        cw_circuit_transfer(&setup, &pickup, CW_DRIVE_STRING, &split);
        cw_circuit_transfer(&setup, &pickup, CW_DRIVE_UNSPLIT, &full);
        const double hz = cw_loudness_centre(band),
                     expected = fmin(fmax(cw_transfer_db(&split, hz) - cw_transfer_db(&full, hz), -80.0), 20.0);
        within(played_level(&setup, &recorded, round & 1, &learned), expected, 1e-4, "a tone");
    }
}

static void of_no_split(void **state)
{
    (void)state;
    static const struct cw_learned learned = {.count = CW_LEARN_PARTS};
    struct cw_controls controls;
    cw_controls_defaults(&controls);
    within(played_level(&controls.setup[CW_A], &controls.setup[CW_REC], true, &learned), 0.0, 0.0, "unsplit");
}

/* ---- the plugin -------------------------------------------------------------------------------- */

static float x[2 * SECOND], y[2 * SECOND];

/* White noise, far brighter than what is assumed, in bursts; the same each time. */
static void make_noise(void)
{
    uint32_t random = 7;
    for (int i = 0; i < 2 * SECOND; i++) {
        x[i] = (float)(0.2 * (host_random_unit(&random) - 0.5) * (1.2 + sin(2e-4 * i)));
    }
}

/* Mean power of the second half of a second through what is heard, dB. */
static double level_now(struct host *host)
{
    double sum = 0.0;
    host_run(host, x, y, SECOND, 256);
    for (int i = SECOND / 2; i < SECOND; i++) {
        sum += (double)y[i] * (double)y[i];
    }
    return 10.0 * log10(sum);
}

/* The gain of level match for B as it stands, dB: what it adds to the same sound. */
static double match_gain(struct host *host)
{
    host_set(host, "level_match", 0);
    const double plain = level_now(host);
    host_set(host, "level_match", 1);
    return level_now(host) - plain;
}

static double meter(struct host *host) { return (double)host_get(host, "b_level"); }

static struct host *opened(void)
{
    struct host *host = host_new(RATE);
    assert_non_null(host);
    host_set(host, "listen", 2);
    host_set(host, "b_coils", CW_COILS_SERIES);
    host_set(host, "b_cable_length", 8);
    return host;
}

static void is_what_level_match_takes_away(void **state)
{
    (void)state;
    struct host *host = opened();
    host_run(host, x, y, 2 * SECOND, 256);
    host_set(host, "b_split", 1);
    host_set(host, "level_by_played", 1);
    level_now(host);
    const double assumed = meter(host);
    for (int i = 0; i < 3; i++) {
        host_run(host, x, y, 2 * SECOND, 256);
    }
    assert_true(fabs(meter(host) - assumed) > 0.3); /* it was learned, and tells another level */
    double farthest = 0.0;
    for (int by = 0; by < CW_SPLIT_KINDS; by++) {
        host_set(host, "b_split_by", (float)by);
        host_set(host, "b_split", 0);
        const double full = match_gain(host);
        within(meter(host), 0.0, 0.0, "unsplit");
        host_set(host, "b_split", 1);
        const double split = match_gain(host), told = meter(host);
        farthest = fmax(farthest, fabs(told - (full - split)));
        within(told, full - split, 0.02, cw_split_kind[by].brief);
    }
    print_message("farthest from level match: %.4f dB\n", farthest);
    /* Off, it is by the assumed spectrum again. */
    host_set(host, "b_split_by", 0);
    host_set(host, "level_by_played", 0);
    level_now(host);
    within(meter(host), assumed, 1e-5, "off");
    host_free(host);
}

/* Another recorded-through setup is another string: the level follows, with nothing else touched. */
static void follows_the_recording(void **state)
{
    (void)state;
    struct host *host = opened();
    host_set(host, "b_split", 1);
    host_set(host, "b_split_by", CW_SPLIT_C);
    for (int i = 0; i < 4; i++) {
        host_run(host, x, y, 2 * SECOND, 256);
    }
    host_set(host, "level_by_played", 1);
    level_now(host);
    const double before = meter(host);
    host_set(host, "rec_cable_length", 25);
    level_now(host);
    assert_true(fabs(meter(host) - before) > 0.05);
    host_set(host, "undo_recording", 0);
    level_now(host);
    const double as_it_is = meter(host);
    host_set(host, "rec_cable_length", 0);
    level_now(host);
    within(meter(host), as_it_is, 0.0, "not undone");
    host_free(host);
}

static void is_assumed_at_first(void **state)
{
    (void)state;
    struct host *host = opened();
    host_set(host, "b_split", 1);
    level_now(host);
    const double off = meter(host);
    host_set(host, "level_by_played", 1);
    level_now(host);
    within(meter(host), off, 0.0, "too little was heard");
    host_free(host);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(of_one_tone),
        cmocka_unit_test(of_no_split),
        cmocka_unit_test(is_what_level_match_takes_away),
        cmocka_unit_test(follows_the_recording),
        cmocka_unit_test(is_assumed_at_first),
    };
    make_noise();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
