/* SPDX-License-Identifier: ISC */
/* Designs from random pairs of setups over the whole ranges, every kind of split, rate and boost limit: `designs COUNT
 * SEED`. What must hold of each: numbers that are finite, every section and every mode stable, no frequency of a grid
 * over the limit. Exit status 1 where one does not; its setups are printed. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "digital.h"
#include "modes.h"
#include "setup.h"
#include "setups.h"
#include "transfer.h"

static const double RATES[] = {8000, 22050, 44100, 48000, 88200, 96000, 192000, 384000};
enum { RATE_COUNT = sizeof RATES / sizeof RATES[0], POINTS = 61, SHOWN = 5 };
static const double OVER_MOST = 0.01; /* dB over the limit, as tests/test_response.c asks */

struct tally {
    long bad, limited;
    int sections;
    double over; /* dB over the limit, the most */
};

/* One setup in eight has some values at an end of their range; half are made from the winding. */
static void draw_setup(struct rng *rng, int i, struct cw_setup *setup)
{
    setups_random(rng, i, setup);
    if (rng_pick(rng, 2)) {
        setup->value[CW_P_COIL_FROM] = CW_FROM_WINDING;
    }
    for (int k = rng_pick(rng, 8) ? 5 : 0; k < 5; k++) {
        const int id = rng_pick(rng, CW_PARAMS);
        const struct cw_param_info *info = &cw_param_info[id];
        setup->value[id] = cw_param_clean(info, rng_pick(rng, 2) ? info->minimum : info->maximum, info->preset);
    }
}

static void transfer_of(const struct cw_setup *setup, struct cw_transfer *h)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, h);
}

static bool stable(double a1, double a2) { return fabs(a2) < 1 && fabs(a1) < 1 + a2; }

static bool sections_hold(const struct cw_sections *s)
{
    bool good = isfinite(s->gain) && isfinite(s->top) && s->count >= 0 && s->count <= CW_SECTIONS_MAX;
    for (int k = 0; good && k < s->count; k++) {
        const struct cw_biquad *b = &s->section[k];
        good = isfinite(b->b0) && isfinite(b->b1) && isfinite(b->b2) && stable(b->a1, b->a2);
    }
    return good;
}

static bool modes_hold(const struct cw_sections *s)
{
    struct cw_modes m;
    if (s->silent || s->count == 0) {
        return true;
    }
    cw_modes_of(s, 1.0, &m);
    bool good = true;
    for (int k = 0; k < m.count; k++) {
        const struct cw_mode *o = &m.mode[k];
        good = good && isfinite(o->c0) && isfinite(o->c1) && stable(o->a1, o->a2);
    }
    for (int k = 0; k < m.delay + CW_MODES_OVERLAP; k++) {
        good = good && isfinite(m.head[k]);
    }
    return good;
}

/* The most over the limit, dB, from 4 Hz to half the rate; INFINITY where a level is no number. */
static double over_limit(const struct cw_sections *s, double rate, double limit)
{
    double most = -INFINITY;
    for (int k = 0; k < POINTS; k++) {
        double hz = 4 * pow(rate / 8, k / (POINTS - 1.0));
        double db = 10 * log10(cw_sections_power(s, hz, rate)) - limit;
        most = isnan(db) ? INFINITY : fmax(most, db);
    }
    return most;
}

static void try_one(struct rng *rng, long i, struct tally *tally)
{
    struct cw_setup setup[2];
    struct cw_transfer h[2];
    struct cw_sections s;
    for (int k = 0; k < 2; k++) {
        draw_setup(rng, (int)(i % 1000003) * (k ? 1 : 7), &setup[k]);
        transfer_of(&setup[k], &h[k]);
    }
    double rate = RATES[rng_pick(rng, RATE_COUNT)], limit = rng_pick(rng, 61);
    cw_digital_design(&h[0], rng_pick(rng, 2) ? &h[1] : NULL, rate, limit, &s);
    double over = over_limit(&s, rate, limit);
    tally->limited += s.limited;
    tally->sections = s.count > tally->sections ? s.count : tally->sections;
    tally->over = fmax(tally->over, over);
    if (sections_hold(&s) && modes_hold(&s) && over <= OVER_MOST) {
        return;
    }
    if (tally->bad++ < SHOWN) {
        printf("design %ld at %g Hz, limit %g dB, %g dB over it:\n%s\n", i, rate, limit, over,
               setups_describe(&setup[0]));
        printf("recorded: %s\n", setups_describe(&setup[1]));
    }
}

int main(int argc, char **argv)
{
    long count = argc > 1 ? strtol(argv[1], NULL, 10) : 0;
    struct rng rng = {argc > 2 ? strtoul(argv[2], NULL, 10) : 1};
    struct tally tally = {.over = -INFINITY};
    if (count <= 0) {
        fprintf(stderr, "usage: designs COUNT [SEED]\n");
        return 2;
    }
    for (long i = 0; i < count; i++) {
        try_one(&rng, i, &tally);
    }
    printf("%ld designs: %ld bad, %ld limited, at most %d sections, at most %.2g dB over the limit\n", count, tally.bad,
           tally.limited, tally.sections, tally.over);
    return tally.bad > 0;
}
