/* SPDX-License-Identifier: ISC */
#include "bench_load.h"

#include "circuit.h"
#include "polynomial.h"
#include "resonance.h"
#include "transfer.h"

struct cw_setup cw_bench_setup(const struct cw_setup *setup)
{
    struct cw_setup whole = *setup;
    whole.value[CW_P_SPLIT] = 0.0;
    return whole;
}

/* The impedance num/den with a conductance and a capacitance beside it: num / (den + num (g + s c)). */
double cw_bench_resonance(const struct cw_setup *setup, const struct cw_pickup *pickup)
{
    struct cw_transfer z;
    cw_circuit_impedance(setup, pickup, &z);
    struct cw_poly load = cw_poly_linear(1.0 / CW_BENCH_LOAD_OHM, CW_BENCH_LOAD_FARAD);
    z.den = cw_poly_add(z.den, cw_poly_mul(z.num, load));
    return cw_resonance_of(setup, &z).hz;
}
