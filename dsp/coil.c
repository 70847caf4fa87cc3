#include "coil.h"

#include <math.h>

static double db_to_ratio(double db)
{
    return pow(10.0, db / 20.0);
}

/* The values at the leads of a pickup with its coils in series. */
static struct cw_coil measured(const struct cw_setup *setup)
{
    return (struct cw_coil){
        .emf = db_to_ratio(setup->value[CW_P_SENSITIVITY]),
        .resistance = setup->value[CW_P_RESISTANCE] * 1e3,
        .inductance = setup->value[CW_P_INDUCTANCE],
        .capacitance = setup->value[CW_P_CAPACITANCE] * 1e-12,
        .loss = setup->value[CW_P_LOSS] * 1e3,
    };
}

/* One of two equal, coupled coils that have the given values in series. */
static struct cw_coil half_of(struct cw_coil leads, double coupling)
{
    return (struct cw_coil){
        .emf = leads.emf / 2.0,
        .resistance = leads.resistance / 2.0,
        .inductance = leads.inductance / (2.0 * (1.0 + coupling)),
        .capacitance = leads.capacitance * 2.0,
        .loss = leads.loss / 2.0,
    };
}

/* The same coil with t times its turns. */
static struct cw_coil with_turns(struct cw_coil coil, double t)
{
    coil.emf *= t;
    coil.resistance *= t;
    coil.inductance *= t * t;
    coil.loss *= t * t;
    return coil;
}

void cw_coil_solve(const struct cw_setup *setup, struct cw_pickup *pickup)
{
    const double k = setup->value[CW_P_COUPLING];
    const double t = setup->value[CW_P_SECOND_TURNS] / 100.0;
    const struct cw_coil leads = measured(setup);

    *pickup = (struct cw_pickup){.coils = (enum cw_coils)setup->value[CW_P_COILS]};
    if (pickup->coils == CW_COILS_ONE) {
        pickup->coil[0] = leads;
        return;
    }
    pickup->coil[0] = half_of(leads, k);
    pickup->coil[1] = with_turns(pickup->coil[0], t);
    pickup->mutual = k * pickup->coil[0].inductance * t;
}
