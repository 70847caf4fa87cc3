/* SPDX-License-Identifier: ISC */
/* Makes dsp/reference_table.inc: the EMF of a turn of the reference coil, in the unit that dsp/coil.c gives it,
 * and that coil's inductance at CW_BENCH_HZ. The program knows the last ones, and what it now gives against
 * them, so that their product is right whatever they were. */
#include <stdio.h>

#include "../coil.h"
#include "coil.h"
#include "setup.h"

#include "../reference_table.inc"

int main(void)
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    (void)reference_inductance; /* of no use here */
    cw_setup_defaults(&setup);
    setup.value[CW_P_COIL_FROM] = CW_FROM_WINDING;
    cw_coil_solve(&setup, &pickup);
    printf("/* SPDX-License-Identifier: ISC */\n/* Made by dsp/tables/reference.c (`make tables`). */\n");
    printf("static const double reference_emf = %.9g;\n", reference_emf * pickup.coil[0].emf);
    printf("static const double reference_inductance = %.9g;\n", cw_coil_inductance_at(&pickup.coil[0], CW_BENCH_HZ));
    return 0;
}
