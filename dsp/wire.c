/* SPDX-License-Identifier: ISC */
#include "wire.h"

#include <assert.h>
#include <math.h>

#include "constants.h"

static const double mil = 25.4e-6;

/* Nominal bare diameter of the whole sizes 36 to 46, mil: the sizes of ASTM B258. */
static const double nominal_mils[] = {5.0, 4.5, 4.0, 3.5, 3.1, 2.8, 2.5, 2.2, 2.0, 1.76, 1.57};

static double nearest_size(double gauge) { return fmin(fmax(round(2.0 * gauge) / 2.0, CW_GAUGE_MIN), CW_GAUGE_MAX); }

double cw_wire_formula(double gauge) { return 0.127e-3 * pow(92.0, (36.0 - gauge) / 39.0); }

bool cw_wire_is_standard(double gauge)
{
    return gauge >= CW_GAUGE_MIN && gauge <= CW_GAUGE_MAX && gauge == floor(gauge);
}

static double nominal(double gauge)
{
    if (cw_wire_is_standard(gauge)) {
        return nominal_mils[(int)(gauge - CW_GAUGE_MIN)] * mil;
    }
    double steps_per_mil = gauge < 44.0 ? 10.0 : 100.0;
    return round(cw_wire_formula(gauge) / mil * steps_per_mil) / steps_per_mil * mil;
}

struct cw_diameter cw_wire_bare(double gauge)
{
    double size = nearest_size(gauge);
    double d = nominal(size);
    double tolerance = (size <= 44.0 ? 0.1 : 0.07) * mil;
    return (struct cw_diameter){d - tolerance, d, d + tolerance};
}

struct cw_diameter cw_wire_overall(double gauge, enum cw_insulation insulation)
{
    double d = nominal(nearest_size(gauge)) * (insulation == CW_INSULATION_HEAVY ? 1.225 : 1.108);
    return (struct cw_diameter){0.93 * d, d, 1.07 * d};
}

static double area(double diameter) { return CW_PI / 4.0 * diameter * diameter; }

double cw_wire_ohm_per_metre(double bare_diameter)
{
    assert(bare_diameter > 0.0);
    return 1.0 / (58e6 * area(bare_diameter));
}

double cw_wire_resistance_ratio(double celsius) { return 1.0 + 0.00393 * (celsius - 20.0); }

double cw_wire_mass_per_metre(double bare_diameter) { return 8890.0 * area(bare_diameter); }
