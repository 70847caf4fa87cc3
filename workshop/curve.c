/* SPDX-License-Identifier: ISC */
#include "curve.h"

#include <math.h>

#include "coil.h"
#include "constants.h"
#include "polynomial.h"
#include "setup.h"
#include "transfer.h"

static bool is_silent(const struct cw_transfer *h)
{
    for (int i = 0; i <= h->num.degree; i++) {
        if (h->num.c[i] != 0.0) {
            return false;
        }
    }
    return true;
}

void cw_curve_init(struct cw_curve *curve, const struct cw_setup *setup, const struct cw_setup *recorded)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &curve->response);
    cw_circuit_impedance(setup, &pickup, &curve->impedance);
    curve->divided = false;
    if (recorded) {
        cw_coil_solve(recorded, &pickup);
        cw_circuit_transfer(recorded, &pickup, CW_DRIVE_STRING, &curve->recorded);
        curve->divided = !is_silent(&curve->recorded);
    }
}

double cw_curve_db(const struct cw_curve *curve, double hz)
{
    double db = cw_transfer_db(&curve->response, hz);
    return curve->divided ? db - cw_transfer_db(&curve->recorded, hz) : db;
}

static double degrees(struct cw_complex z) { return atan2(z.im, z.re) * (180.0 / CW_PI); }

double cw_curve_degrees(const struct cw_curve *curve, double hz)
{
    double angle = degrees(cw_transfer_at(&curve->response, hz));
    if (curve->divided) {
        angle -= degrees(cw_transfer_at(&curve->recorded, hz));
    }
    return remainder(angle, 360.0);
}

double cw_curve_ohm(const struct cw_curve *curve, double hz) { return sqrt(cw_transfer_power(&curve->impedance, hz)); }

double cw_curve_ohm_degrees(const struct cw_curve *curve, double hz)
{
    return degrees(cw_transfer_at(&curve->impedance, hz));
}
