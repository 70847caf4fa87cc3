/* SPDX-License-Identifier: ISC */
#include "coil_limits.h"

#include "bench_load.h"
#include "circuit.h"
#include "coil.h"
#include "scatter.h"
#include "setup.h"
#include "statistics.h"

enum { DRAWS = 20000 };
static const uint64_t SEED = 1;

/* The meter corrects for the temperature; what is not of the coil is not there. */
static struct cw_scatter of_the_coil(const struct cw_scatter *scatter)
{
    struct cw_scatter own = *scatter;
    for (int i = 0; i < CW_SCATTERS; i++) {
        own.half[i] = cw_scatter_info[i].place == CW_PLACE_COIL ? own.half[i] : 0.0;
    }
    return own;
}

void cw_coil_limits(const struct cw_setup *setup, const struct cw_scatter *scatter,
                    struct cw_limits limits[CW_BENCH_READINGS])
{
    double value[CW_BENCH_READINGS][DRAWS];
    struct cw_scatter own = of_the_coil(scatter);
    struct cw_setup whole = cw_bench_setup(setup);
    struct cw_spread spread;
    cw_spread_start(&spread, &whole, &own);
    for (int i = 0; i < DRAWS; i++) {
        struct cw_deviation deviation;
        struct cw_setup made;
        struct cw_pickup pickup;
        cw_spread_draw(SEED, (uint64_t)i, &deviation);
        cw_spread_make(&spread, &deviation, &made, &pickup);
        value[CW_READING_RESISTANCE][i] = cw_circuit_dc_resistance(&made, &pickup);
        value[CW_READING_INDUCTANCE][i] = cw_circuit_lead_inductance(&made, &pickup, CW_BENCH_HZ);
        value[CW_READING_RESONANCE][i] = cw_bench_resonance(&made, &pickup);
    }
    for (int r = 0; r < CW_BENCH_READINGS; r++) {
        const double outside = 0.5 * (1.0 - CW_LIMITS_HOLD);
        cw_sort(value[r], DRAWS);
        limits[r].low = cw_quantile(value[r], DRAWS, outside);
        limits[r].high = cw_quantile(value[r], DRAWS, 1.0 - outside);
    }
}
